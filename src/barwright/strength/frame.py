"""How does a frame of bars move under load? Its nodes, members, joints, and what is found.

A small-displacement frame in space: six movements a node (three shifts, three turns), members
that stretch, bend and twist (Euler-Bernoulli: shear strain is left out, which is right for tubes
ten diameters long and more). Units are the caller's own as long as they agree; the house uses
N and mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats, Point

Ints: TypeAlias = NDArray[np.int64]
Bools: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Join:
    """One node that follows another as if a stiff bracket held it, but for the turns set free.

    Attributes:
        slave, master: node numbers; the slave's shifts are the master's, carried along the offset.
        free: unit axes about which the slave may turn by itself: none for a weld, one for a
            hinge, three for a ball.
        stiffness: resistance [N mm/rad] to each free turn; empty for none at all.
    """

    slave: int
    master: int
    free: tuple[Point, ...] = ()
    stiffness: tuple[float, ...] = ()


BALL: tuple[Point, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
"""Free to turn every way."""


@dataclass(frozen=True, kw_only=True)
class Spring:
    """Two nodes held together by springs, as a joint with some give.

    Attributes:
        start, end: node numbers; the springs sit at `end`, on a stiff arm from `start`.
        shift: stiffness against parting, every way [N/mm].
        turn: stiffness against turning, every way [N mm/rad].
    """

    start: int
    end: int
    shift: float
    turn: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Frame:
    """A frame as the solver sees it: n nodes, m members.

    Attributes:
        nodes: shape (n, 3) [mm].
        ends: shape (m, 2), the node numbers a member runs from and to.
        EA: shape (m,) stretch stiffness [N].
        EIy, EIz: shape (m,) bending stiffness [N mm²] about local y and z.
        GJ: shape (m,) twist stiffness [N mm²].
        toward: shape (m, 3), any direction whose part square to the member is its local y.
        centres: shape (m, 3), the centre of an arc member [mm]; NaN for a straight one. An arc
            bends about local z (the normal of its plane) with EIz; it turns less than half round.
        released: shape (m, 12), member-end movements (local, start then end) that carry nothing.
        held: shape (n, 6), movements held still.
        joins: nodes that follow others.
        springs: nodes held together with some give.
    """

    nodes: Floats
    ends: Ints
    EA: Floats
    EIy: Floats
    EIz: Floats
    GJ: Floats
    toward: Floats
    held: Bools
    centres: Floats
    released: Bools
    joins: tuple[Join, ...] = ()
    springs: tuple[Spring, ...] = ()


@dataclass(frozen=True, kw_only=True, eq=False)
class Loads:
    """k load cases at once.

    Attributes:
        nodal: shape (k, n, 6), forces [N] and moments [N mm] on the nodes.
        along: shape (k, m, 3), even load [N/mm] along the straight members, vehicle axes; None
            for none.
    """

    nodal: Floats
    along: Floats | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Answer:
    """What the frame does under each case.

    Attributes:
        moves: shape (k, n, 6), shifts [mm] and turns [rad].
        forces: shape (k, m, 12), what the nodes put on each member's ends in its local axes (of
            the chord, for an arc): three forces [N] and three moments [N mm], start then end.
        reactions: shape (k, n, 6), what supports and joints put on each node [N, N mm].
    """

    moves: Floats
    forces: Floats
    reactions: Floats


def frame(
    nodes: Floats,
    ends: Ints,
    *,
    EA: Floats | float,
    EIy: Floats | float,
    EIz: Floats | float,
    GJ: Floats | float,
    held: Bools,
    toward: Floats | None = None,
    centres: Floats | None = None,
    released: Bools | None = None,
    joins: tuple[Join, ...] = (),
    springs: tuple[Spring, ...] = (),
) -> Frame:
    """A frame with what is usual filled in: numbers spread over the members, nothing released.

    Without `toward`, local y is the vehicle's up made square to the member (forward, for one
    that stands upright); for round tubes it does not matter.

    >>> f = frame(np.array([[0.0, 0, 0], [1000.0, 0, 0]]), np.array([[0, 1]]), EA=1e6, EIy=1e9,
    ...           EIz=1e9, GJ=1e9, held=np.array([[True] * 6, [False] * 6]))
    >>> f.EA.tolist(), f.toward.tolist()
    ([1000000.0], [[0.0, 0.0, 1.0]])
    """
    m = len(ends)
    xyz = np.asarray(nodes, dtype=float)
    return Frame(
        nodes=xyz,
        ends=np.asarray(ends, dtype=np.int64),
        EA=_spread(EA, m),
        EIy=_spread(EIy, m),
        EIz=_spread(EIz, m),
        GJ=_spread(GJ, m),
        toward=_upward(xyz, ends) if toward is None else np.asarray(toward, dtype=float),
        held=np.asarray(held, dtype=bool),
        centres=np.full((m, 3), np.nan) if centres is None else np.asarray(centres, dtype=float),
        released=np.zeros((m, 12), bool) if released is None else np.asarray(released, bool),
        joins=joins,
        springs=springs,
    )


def _spread(value: Floats | float, m: int) -> Floats:
    return np.broadcast_to(np.asarray(value, dtype=float), (m,)).copy()


def _upward(nodes: Floats, ends: Ints) -> Floats:
    """Up for every member but the upright ones: forward for those."""
    run = nodes[ends[:, 1]] - nodes[ends[:, 0]]
    upright = np.abs(run[:, 2]) > 0.9 * np.linalg.norm(run, axis=1)
    return np.where(upright[:, None], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
