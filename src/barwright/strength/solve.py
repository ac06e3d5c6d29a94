"""What does the frame do under its loads? Stiffness put together, factored once, solved."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Answer, Frame, Ints, Loads
from barwright.strength.frame import frame as frame_of
from barwright.strength.joints import Sparse, reduction
from barwright.strength.members import axes_of, even_load, release, stiffness, turn_all


class Loose(ValueError):  # noqa: N818 - what the frame is, not a class of bug
    """The frame can move without resistance: it is not held, or is a mechanism."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Bones:
    """What does not change while a frame is solved again and again.

    Attributes:
        frame: the frame itself.
        axes, length: the members' local axes (m, 3, 3) and lengths (m,) [mm].
        local: members' stiffness (m, 12, 12) in those axes.
        clamped: end forces (k, m, 12) of even loads with the ends held.
        reach: all movements from the independent ones, sparse (6n, q).
        springs: shape (q,) [N mm/rad].
    """

    frame: Frame
    axes: Floats
    length: Floats
    local: Floats
    clamped: Floats
    reach: Sparse
    springs: Floats


def bones(frame: Frame, loads: Loads) -> Bones:
    """The frame's parts for some loads.

    Raises:
        ValueError: a member without length, a release or joint that makes no sense.
    """
    axes, length = axes_of(frame)
    local = stiffness(frame, axes, length)
    clamped = np.zeros((len(loads.nodal), len(frame.ends), 12))
    if loads.along is not None:
        clamped = even_load(loads.along, axes, length)
    if frame.released.any():
        release(local, clamped, frame.released)
    reach, springs = reduction(frame)
    return Bones(
        frame=frame,
        axes=axes,
        length=length,
        local=local,
        clamped=clamped,
        reach=reach,
        springs=springs,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Ready:
    """A frame put together and factored once, for all that is asked of it.

    Attributes:
        bones: its parts, for some loads.
        whole: its stiffness (6n, 6n), sparse.
        lu: that of the independent movements, factored.
    """

    bones: Bones
    whole: Sparse
    lu: Any

    def case(self, case: int) -> Ready:
        """The same for one of its load cases by itself."""
        clamped = self.bones.clamped[case : case + 1]
        return replace(self, bones=replace(self.bones, clamped=clamped))


def ready(frame: Frame, loads: Loads) -> Ready:
    """A frame made ready to be solved.

    Raises:
        Loose: the frame can move without resistance.
        ValueError: a member without length, a release or joint that makes no sense.
    """
    b = bones(frame, loads)
    whole = assemble(b, b.local)
    return Ready(bones=b, whole=whole, lu=factor(b, whole))


def solve(frame: Frame, loads: Loads, at: Ready | None = None) -> Answer:
    """First-order answer: equilibrium on the frame as built.

    Args:
        frame: n nodes, m members.
        loads: k cases.
        at: the frame made ready for these loads; None makes it ready.

    Raises:
        Loose: the frame can move without resistance.
        ValueError: a member without length, a release or joint that makes no sense.

    >>> f = cantilever()
    >>> push = np.zeros((1, 2, 6)); push[0, 1, 1] = 100.0
    >>> a = solve(f, Loads(nodal=push))
    >>> round(float(a.moves[0, 1, 1]), 9) == round(100.0 * 1000.0**3 / (3 * 9e9), 9)
    True
    """
    r = ready(frame, loads) if at is None else at
    return answer(r.bones, loads, r.lu, r.whole, r.bones.local)


def cantilever() -> Frame:
    """A metre of bar clamped at one end, for the examples in this folder."""
    held = np.zeros((2, 6), dtype=bool)
    held[0] = True
    nodes = np.array([[0.0, 0.0, 0.0], [1000.0, 0.0, 0.0]])
    return frame_of(nodes, np.array([[0, 1]]), EA=6e7, EIy=9e9, EIz=9e9, GJ=7e9, held=held)


def assemble(b: Bones, local: Floats) -> Sparse:
    """The whole frame's stiffness (6n, 6n), sparse, from members' (m, 12, 12) local ones."""
    from scipy import sparse

    k = turn_all(local, b.axes)
    at = movements(b.frame)
    if b.frame.springs:
        more, where = spring_stiffness(b.frame)
        k, at = np.concatenate([k, more]), np.concatenate([at, where])
    row = np.repeat(at, 12, axis=1).ravel()
    col = np.tile(at, (1, 12)).ravel()
    n = 6 * len(b.frame.nodes)
    return sparse.coo_array((k.ravel(), (row, col)), (n, n)).tocsc()


def spring_stiffness(frame: Frame) -> tuple[Floats, Ints]:
    """Stiffness (s, 12, 12) of the springs in vehicle axes, and their movements (s, 12)."""
    ends = np.array([(s.start, s.end) for s in frame.springs])
    arm = frame.nodes[ends[:, 1]] - frame.nodes[ends[:, 0]]
    part = np.zeros((len(ends), 6, 12))
    part[:, :, 6:] = np.eye(6)
    part[:, :, :6] = -np.eye(6)
    x, y, z = arm.T
    for row, col, value in ((0, 4, -z), (0, 5, y), (1, 3, z), (1, 5, -x), (2, 3, -y), (2, 4, x)):
        part[:, row, col] = value
    k = np.array([[s.shift] * 3 + [s.turn] * 3 for s in frame.springs])
    at = 6 * ends[:, :, None] + np.arange(6)
    return np.swapaxes(part, 1, 2) @ (k[:, :, None] * part), at.reshape(-1, 12)


def movements(frame: Frame) -> Ints:
    """The movements (m, 12) of each member's ends, as numbers."""
    at = 6 * frame.ends[:, :, None] + np.arange(6)
    return np.asarray(at.reshape(len(frame.ends), 12))


def factor(b: Bones, whole: Sparse) -> Any:  # noqa: ANN401 - scipy's LU object has no type
    """The independent movements' stiffness, factored.

    Raises:
        Loose: it cannot be: something moves without resistance.
    """
    from scipy.sparse import diags_array
    from scipy.sparse.linalg import splu

    reduced = _reduced(b, whole)
    if b.springs.any():
        reduced = (reduced + diags_array(b.springs)).tocsc()
    try:
        lu = splu(
            reduced,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},  # pivots stay on the diagonal
        )
    except RuntimeError:
        raise Loose("the frame can move without resistance") from None
    pivots = np.abs(lu.U.diagonal())
    if pivots.size and (pivots / _size(reduced)[lu.perm_c.argsort()]).min() < 1e-13:
        raise Loose("the frame can move without resistance")
    return lu


def _reduced(b: Bones, whole: Sparse) -> Sparse:
    """Stiffness of the independent movements: rows and columns picked, or combined by joins."""
    if not b.frame.joins:
        keep = b.reach.indices
        return whole[keep][:, keep].tocsc()
    return (b.reach.T @ whole @ b.reach).tocsc()


def _size(reduced: Sparse) -> Floats:
    """What each movement's own stiffness is, against which its pivot is judged."""
    return np.asarray(np.maximum(np.abs(reduced.diagonal()), np.finfo(float).tiny))


def answer(b: Bones, loads: Loads, lu: Any, whole: Sparse, local: Floats) -> Answer:  # noqa: ANN401 - as above
    """Movements, member forces and reactions of every case from a factored stiffness."""
    k, n = len(loads.nodal), len(b.frame.nodes)
    push = loads.nodal.reshape(k, 6 * n) - clamped_on_nodes(b)
    moves = (b.reach @ lu.solve(np.ascontiguousarray(b.reach.T @ push.T))).T
    forces = local_moves(b, moves) @ np.swapaxes(local, 1, 2)
    left = (whole @ moves.T).T - push
    return Answer(
        moves=moves.reshape(k, n, 6),
        forces=np.swapaxes(forces, 0, 1) + b.clamped,
        reactions=left.reshape(k, n, 6),
    )


def local_moves(b: Bones, moves: Floats) -> Floats:
    """Members' end movements (m, k, 12) in local axes from all movements (k, 6n)."""
    ends = moves[:, movements(b.frame)].reshape(len(moves), -1, 4, 3)
    turned = np.einsum("mij,kmbj->mkbi", b.axes, ends)
    return np.asarray(turned.reshape(len(b.axes), len(moves), 12))


def clamped_on_nodes(b: Bones) -> Floats:
    """What even loads put on the nodes with the ends held (k, 6n), to be taken away."""
    k = len(b.clamped)
    if b.clamped.any():
        return on_nodes(b, b.clamped)
    return np.zeros((k, 6 * len(b.frame.nodes)))


def on_nodes(b: Bones, forces: Floats) -> Floats:
    """Members' end forces (k, m, 12) in their own axes, added up on the nodes (k, 6n)."""
    k, m, _ = forces.shape
    out = np.zeros((k, 6 * len(b.frame.nodes)))
    f = np.einsum("mji,kmbj->kmbi", b.axes, forces.reshape(k, m, 4, 3)).reshape(k, -1)
    np.add.at(out.T, movements(b.frame).ravel(), f.T)
    return out


def ends_of(b: Bones) -> Sparse:
    """All members' end movements in their own axes from the independent ones, sparse (12m, q)."""
    from scipy import sparse

    m, n = len(b.length), 6 * len(b.frame.nodes)
    at = movements(b.frame).reshape(m, 4, 3)
    value = np.broadcast_to(b.axes[:, None], (m, 4, 3, 3))
    col = np.broadcast_to(at[:, :, None, :], value.shape)
    start = 3 * np.arange(12 * m + 1)
    turn = sparse.csr_array((value.ravel(), col.ravel(), start), (12 * m, n))
    return (turn @ b.reach).tocsr()


def one_case(loads: Loads, case: int) -> Loads:
    """One of the cases by itself."""
    along = None if loads.along is None else loads.along[case : case + 1]
    return replace(loads, nodal=loads.nodal[case : case + 1], along=along)
