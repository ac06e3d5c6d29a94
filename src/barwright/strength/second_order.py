"""What do the loads do once the frame has moved? Equilibrium on the moved shape (P-delta).

Each case is solved again with the stiffness that its own axial forces add (push softens, pull
stiffens) until the moves stand still. Valid for small turns (a few degrees): sway and bow, not
large displacements. A case beyond the elastic buckling load has no answer and says so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Answer, Frame, Loads
from barwright.strength.members import geometric
from barwright.strength.solve import (
    Bones,
    Loose,
    answer,
    assemble,
    bones,
    factor,
    one_case,
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


def second_order(frame: Frame, loads: Loads, *, rounds: int = 30) -> SecondOrder:
    """Every case solved on the moved shape.

    Args:
        frame: bars under push should be of several members each, so that their bow is carried.
        loads: k cases.
        rounds: how often the axial forces may be taken afresh.

    Raises:
        Loose: the frame can move without resistance even unloaded.
        ValueError: as for `solve`.
    """
    every = bones(frame, loads)
    cases = [_one(every, loads, case, rounds) for case in range(len(loads.nodal))]
    stable = tuple(c is not None for c in cases)
    blank = _blank(frame)
    found = [c or blank for c in cases]
    return SecondOrder(
        answer=Answer(
            moves=np.concatenate([c.moves for c in found]),
            forces=np.concatenate([c.forces for c in found]),
            reactions=np.concatenate([c.reactions for c in found]),
        ),
        stable=stable,
    )


def _one(every: Bones, loads: Loads, case: int, rounds: int) -> Answer | None:
    """One case; None when it buckles or does not come to rest."""
    b = replace(every, clamped=every.clamped[case : case + 1])
    load = one_case(loads, case)
    last = _with(b, load, np.zeros(len(b.length)))
    for _ in range(rounds):
        try:
            new = _with(b, load, 0.5 * (last.forces[0, :, 6] - last.forces[0, :, 0]))
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
    local = b.local + geometric(0.5 * (last.forces[0, :, 6] - last.forces[0, :, 0]), b.length)
    pivots = factor(b, assemble(b, local)).U.diagonal()
    return bool((pivots > 0.0).all())


def _blank(frame: Frame) -> Answer:
    n, m = len(frame.nodes), len(frame.ends)
    return Answer(
        moves=np.full((1, n, 6), np.nan),
        forces=np.full((1, m, 12), np.nan),
        reactions=np.full((1, n, 6), np.nan),
    )


def critical_factor(frame: Frame, loads: Loads, case: int = 0) -> float:
    """By what factor a load case must grow for the whole frame to buckle elastically.

    The smallest positive eigenvalue of (K + factor Kg) v = 0 with Kg from the first-order axial
    forces; infinity when nothing in the case pushes.

    Raises:
        Loose: the frame can move without resistance even unloaded.
    """
    from scipy.sparse.linalg import LinearOperator, eigsh

    load = one_case(loads, case)
    b = bones(frame, load)
    whole = assemble(b, b.local)
    lu = factor(b, whole)
    forces = answer(b, load, lu, whole, b.local).forces[0]
    axial = 0.5 * (forces[:, 6] - forces[:, 0])
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
