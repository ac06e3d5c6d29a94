"""What do the loads do once the frame has moved? Equilibrium on the moved shape (P-delta).

Each case is solved again with the stiffness that its own axial forces add (push softens, pull
stiffens) until the moves stand still. Valid for small turns (a few degrees): sway and bow, not
large displacements. A case beyond the elastic buckling load has no answer and says so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Answer, Bools, Frame, Loads
from barwright.strength.members import geometric
from barwright.strength.solve import (
    Bones,
    Loose,
    Ready,
    answer,
    assemble,
    clamped_on_nodes,
    ends_of,
    factor,
    local_moves,
    on_nodes,
    one_case,
    ready,
)


@dataclass(frozen=True, kw_only=True, eq=False)
class SecondOrder:
    """Second-order answer.

    Attributes:
        answer: as of first order; a case that buckles has NaN throughout.
        stable: shape (k,), False for a case beyond the frame's buckling load.
    """

    answer: Answer
    stable: tuple[bool, ...]


def second_order(
    frame: Frame, loads: Loads, *, rounds: int = 30, at: Ready | None = None
) -> SecondOrder:
    """Every case solved on the moved shape.

    All cases go together with the frame factored once, as long as they come to rest so; a case
    near its buckling load is factored afresh each round.

    Args:
        frame: bars under push should be of several members each, so that their bow is carried.
        loads: k cases.
        rounds: how often the axial forces may be taken afresh.
        at: the frame made ready for these loads; None makes it ready.

    Raises:
        Loose: the frame can move without resistance even unloaded.
        ValueError: as for `solve`.
    """
    r = ready(frame, loads) if at is None else at
    together, resting = _together(r, loads)
    sure = bool(resting.any()) and stands(r, _axial(together.forces[resting]).min(axis=0))
    blank = _blank(frame)
    found, stable = [], []
    for case in range(len(loads.nodal)):
        own = _picked(together, case) if resting[case] else None
        if own is None or not (sure or _held_up(r.bones, own)):
            own = _one(r.bones, loads, case, rounds)
        stable.append(own is not None)
        found.append(own or blank)
    return SecondOrder(
        answer=Answer(
            moves=np.concatenate([c.moves for c in found]),
            forces=np.concatenate([c.forces for c in found]),
            reactions=np.concatenate([c.reactions for c in found]),
        ),
        stable=tuple(stable),
    )


ROUNDS = 24
"""How often the elastic frame is asked again before a case is taken by itself."""
REST, WILD = 1e-12, 1.0
"""A change this small, as a share of the largest movement, is none; one this large never rests."""
_TINY = np.finfo(float).tiny


def _together(r: Ready, loads: Loads) -> tuple[Answer, Bools]:
    """All cases at once, and which of them (k,) came to rest.

    K u = f - Kg(u) u, again and again with K factored: every round the error shrinks by about
    the load over the buckling load.
    """
    b, k = r.bones, len(loads.nodal)
    n = 6 * len(b.frame.nodes)
    push = np.asarray(b.reach.T @ (loads.nodal.reshape(k, n) - clamped_on_nodes(b)).T)
    unit = geometric(np.ones(len(b.length)), b.length)
    to_ends = ends_of(b)
    moved = r.lu.solve(np.ascontiguousarray(push))
    change, wild = np.ones(k), np.zeros(k, dtype=bool)
    for _ in range(ROUNDS):
        ends = (to_ends @ moved).reshape(len(b.length), 12, k)
        stretch = b.local[:, 6:7] @ ends - b.local[:, 0:1] @ ends
        axial = 0.5 * (stretch[:, 0] + (b.clamped[..., 6] - b.clamped[..., 0]).T)
        extra = (unit @ ends * axial[:, None]).reshape(-1, k)
        new = r.lu.solve(push - to_ends.T @ extra)
        change = np.abs(new - moved).max(axis=0) / np.maximum(np.abs(new).max(axis=0), _TINY)
        wild |= change > WILD
        moved = np.where(wild, 0.0, new)
        if (wild | (change <= REST)).all():
            break
    return _told(r, loads, moved, axial, unit), np.asarray((change <= REST) & ~wild)


def _told(r: Ready, loads: Loads, moved: Floats, axial: Floats, unit: Floats) -> Answer:
    """Movements, member forces and reactions from the independent movements (q, k)."""
    b, k = r.bones, len(loads.nodal)
    moves = (b.reach @ moved).T
    ends = local_moves(b, moves)
    forces = np.swapaxes(ends @ np.swapaxes(b.local, 1, 2), 0, 1)
    bowed = np.swapaxes(ends @ unit, 0, 1) * axial.T[..., None]
    push = loads.nodal.reshape(k, -1) - clamped_on_nodes(b)
    left = (r.whole @ moves.T).T + on_nodes(b, bowed) - push
    return Answer(
        moves=moves.reshape(k, -1, 6),
        forces=forces + bowed + b.clamped,
        reactions=left.reshape(k, -1, 6),
    )


def _picked(found: Answer, case: int) -> Answer:
    one = slice(case, case + 1)
    return Answer(moves=found.moves[one], forces=found.forces[one], reactions=found.reactions[one])


def _axial(forces: Floats) -> Floats:
    """Pull of each member from its end forces (..., m, 12)."""
    return np.asarray(0.5 * (forces[..., 6] - forces[..., 0]))


def stands(r: Ready, axial: Floats) -> bool:
    """Whether a frame resists every move while its members carry these pulls (m,) [N].

    More pull never makes it softer, so what stands the least pull of several cases stands each
    of them.
    """
    local = r.bones.local + geometric(axial, r.bones.length)
    try:
        pivots = factor(r.bones, assemble(r.bones, local)).U.diagonal()
    except Loose:
        return False
    return bool((pivots > 0.0).all())


def _one(every: Bones, loads: Loads, case: int, rounds: int) -> Answer | None:
    """One case; None when it buckles or does not come to rest."""
    b = replace(every, clamped=every.clamped[case : case + 1])
    load = one_case(loads, case)
    last = _with(b, load, np.zeros(len(b.length)))
    for _ in range(rounds):
        try:
            new = _with(b, load, _axial(last.forces[0]))
        except Loose:
            return None
        change = np.abs(new.moves - last.moves).max()
        last = new
        if change <= 1e-10 * np.abs(new.moves).max():
            return last if _held_up(b, last) else None
    return None


def _with(b: Bones, load: Loads, axial: Floats) -> Answer:
    local = b.local + geometric(axial, b.length)
    whole = assemble(b, local)
    return answer(b, load, factor(b, whole), whole, local)


def _held_up(b: Bones, last: Answer) -> bool:
    """Whether the moved frame still resists: all pivots of its stiffness are positive."""
    local = b.local + geometric(_axial(last.forces[0]), b.length)
    pivots = factor(b, assemble(b, local)).U.diagonal()
    return bool((pivots > 0.0).all())


def _blank(frame: Frame) -> Answer:
    n, m = len(frame.nodes), len(frame.ends)
    return Answer(
        moves=np.full((1, n, 6), np.nan),
        forces=np.full((1, m, 12), np.nan),
        reactions=np.full((1, n, 6), np.nan),
    )


def critical_factor(frame: Frame, loads: Loads, case: int = 0, at: Ready | None = None) -> float:
    """By what factor a load case must grow for the whole frame to buckle elastically.

    The smallest positive eigenvalue of (K + factor Kg) v = 0 with Kg from the first-order axial
    forces; infinity when nothing in the case pushes.

    Raises:
        Loose: the frame can move without resistance even unloaded.
    """
    from scipy.sparse.linalg import LinearOperator, eigsh

    load = one_case(loads, case)
    r = (ready(frame, loads) if at is None else at).case(case)
    b, whole, lu = r.bones, r.whole, r.lu
    axial = _axial(answer(b, load, lu, whole, b.local).forces[0])
    if not (axial < 0.0).any():
        return float("inf")
    kg = (b.reach.T @ assemble(b, geometric(axial, b.length)) @ b.reach).tocsc()
    k = (b.reach.T @ whole @ b.reach).tocsc()
    n = k.shape[0]
    back = LinearOperator((n, n), matvec=lu.solve, dtype=float)
    start = np.random.default_rng(0).standard_normal(n)
    # -Kg v = mu K v, factor = 1/mu: the largest mu is wanted.
    mu = eigsh(-kg, k=1, M=k, Minv=back, which="LA", v0=start, return_eigenvectors=False)
    return float(1.0 / mu[0]) if mu[0] > 0.0 else float("inf")
