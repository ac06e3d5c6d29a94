"""Is a part caged for sure: every shift it can make is followed, and none gets it away.

Shifts are followed cell by cell on a grid, from where the part stands to every neighbour at which
it stands in nothing deeper than half a cell's diagonal. The depth of an overlap changes by no
more than the shift does, so wherever a path of shifts leads, a cell within half a diagonal of it
is followed too: if the cells come to an end, so does every path (first principles). Turns are not
followed: a part that comes out only by turning while it is shifted is called caged.
"""

from __future__ import annotations

import math
from itertools import product

import numpy as np

from barwright.buildup.differences import KINDS, near_pairs, planes
from barwright.buildup.hulls import Hulls
from barwright.buildup.service import Piece, Scene, parted, states
from barwright.buildup.ways import SLACK
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats

CELL = 2.0
"""Distance between neighbouring cells [mm]."""
HALF = CELL * math.sqrt(3.0) / 2.0
"""Half a cell's diagonal [mm]."""
RIM = 0.02
"""A rod's rim may be taken too large by this share of its radius (see `differences`)."""
NEAR = 15.0
"""What is nearer than this [mm] is looked at first."""
MOST = 3000
"""Cells after which the search is given up: not proven."""
_NEXT = np.array([s for s in product((-1, 0, 1), repeat=3) if any(s)])

Table = list[tuple[Floats, Floats, Floats]]
"""For each pair of hulls normals (k, 3) and c along and against them (k,)."""


def caged(s: Scene, piece: Piece, gone: set[str]) -> float | None:
    """How far a piece gets by any shifts at most, closed and with its leaf open [mm].

    None where it gets farther than its own length, or where too many places would have to be
    followed: then nothing is proven.
    """
    found = [_held(*parted(s, piece, gone, state)) for state in states(s.all, piece)]
    return None if None in found else max(f for f in found if f is not None)


def _held(piece: Hulls, others: Hulls, skip: Bools | None) -> float | None:
    """The same in one state: what is near first, and farther only where it gets there."""
    long = float((piece.high.max(axis=0) - piece.low.min(axis=0)).max())
    near = min(NEAR, long)
    found = _reach(piece, others, skip, near)
    return _reach(piece, others, skip, long) if found is None and near < long else found


def _reach(piece: Hulls, others: Hulls, skip: Bools | None, limit: float) -> float | None:
    """How far it gets, if that is not beyond a limit."""
    allowed = SLACK + HALF + RIM * float(piece.radius.max())
    table = _table(piece, others, skip, limit + CELL)
    there = {(0, 0, 0)}
    front = np.zeros((1, 3), dtype=np.intp)
    while len(front):
        cells = np.unique((front[:, None] + _NEXT).reshape(-1, 3), axis=0)
        new = np.array([c for c in cells if tuple(c) not in there]).reshape(-1, 3)
        front = new[_deepest(table, CELL * new) <= allowed]
        there |= {(int(x), int(y), int(z)) for x, y, z in front}
        if len(there) > MOST or bool((np.linalg.norm(CELL * front, axis=1) > limit).any()):
            return None
    return CELL * float(np.linalg.norm(np.array(sorted(there)), axis=1).max()) + HALF


def _table(piece: Hulls, others: Hulls, skip: Bools | None, within: float) -> Table:
    i, j = near_pairs(piece, others, within)
    if skip is not None:
        kept = ~skip[i, j]
        i, j = i[kept], j[kept]
    return [_pair(piece, others, i[[k]], j[[k]]) for k in range(len(i))]


def _pair(a: Hulls, b: Hulls, i: Ints, j: Ints) -> tuple[Floats, Floats, Floats]:
    all_ = [planes(a, b, i, j, kind) for kind in KINDS]
    plus, minus = (np.concatenate([p[c][0] for p in all_]) for c in (1, 2))
    return np.hstack([p[0][0] for p in all_]).T, plus, minus


def _deepest(table: Table, shifts: Floats) -> Floats:
    """How deep a piece shifted so stands in anything, shape (m,) [mm]."""
    deep = np.full(len(shifts), -np.inf)
    for normals, plus, minus in table:
        lean = normals @ shifts.T
        own = np.minimum(plus[:, None] - lean, minus[:, None] + lean).min(axis=0)
        np.maximum(deep, own, out=deep)
    return deep
