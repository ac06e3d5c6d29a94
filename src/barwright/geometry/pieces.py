"""Bodies taken apart into curves and blocks, as arrays that distances are worked out on.

A curve is a rod's or an elbow's centreline, P(t) for t in 0..1, with the radius round it:
P(t) = base + t run + cos(turn t) even + sin(turn t) odd. A rod has no even and odd part, an
elbow no run.

Near an end that goes on into the next solid of the same tube without a kink, all within the
radius of the end lies inside the tube; such an end needs no flat face. The others are `free`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from barwright.geometry.convex import Bools, Ints
from barwright.geometry.path import Arc
from barwright.geometry.points import ahead, crossed, run
from barwright.geometry.pose import Pose
from barwright.geometry.solids import Block, Body, Elbow, Rod, Solid
from barwright.geometry.vectors import Floats, Point

JOINED = 1e-6
"""Ends closer than this are one [mm], directions closer than this are in line [rad]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Pieces:
    """n pieces of some bodies, in one frame.

    Attributes:
        body: which body each belongs to, shape (n,).
        block: row of `corners` for a block, -1 for a curve, shape (n,).
        base, run, even, odd: of the curves, shape (n, 3) [mm].
        turn: how far an elbow bends [rad], shape (n,); 0 for rods.
        bend: the elbow's centreline radius [mm], shape (n,); 0 for rods.
        radius: of the bar [mm], shape (n,); 0 for blocks.
        length: of the centreline [mm], shape (n,); 0 for blocks.
        free: whether an end is a flat face in the open, shape (n, 2).
        corners: of the blocks, shape (m, v, 3) [mm], padded with a block's own corners.
        middle, reach: a ball round each piece, shapes (n, 3) and (n,) [mm].
    """

    body: Ints
    block: Ints
    base: Floats
    run: Floats
    even: Floats
    odd: Floats
    turn: Floats
    bend: Floats
    radius: Floats
    length: Floats
    free: Bools
    corners: Floats
    middle: Floats
    reach: Floats

    def at(self, rows: Ints, t: Floats) -> Floats:
        """Points of the centrelines, shape (k, 3) [mm]."""
        angle = self.turn[rows] * t
        arc = np.cos(angle)[:, None] * self.even[rows] + np.sin(angle)[:, None] * self.odd[rows]
        return np.asarray(self.base[rows] + t[:, None] * self.run[rows] + arc)

    def heading(self, rows: Ints, t: Floats) -> Floats:
        """Unit directions of the centrelines, shape (k, 3); zero for blocks."""
        angle, turn = self.turn[rows] * t, self.turn[rows][:, None]
        arc = np.cos(angle)[:, None] * self.odd[rows] - np.sin(angle)[:, None] * self.even[rows]
        length = np.maximum(self.length[rows], 1e-300)
        return np.asarray((self.run[rows] + turn * arc) / length[:, None])


def pieces(bodies: Sequence[Body], local: Pose) -> Pieces:
    """All solids of some bodies, placed by `local`.

    Args:
        bodies: the parts.
        local: from their frame to the one wanted; it must not mirror.
    """
    apart = [_apart(body) for body in bodies] or [_apart(Body(name="", solids=()))]
    table = np.concatenate([a.rows for a in apart])
    kind, run = table[:, 0] > 0.0, table[:, 4:7]
    turn, bend = table[:, 13], table[:, 14]
    placed = Pieces(
        body=np.repeat(np.arange(len(apart)), [len(a.rows) for a in apart]),
        block=np.where(kind, np.cumsum(kind) - 1, -1),
        base=local.points(table[:, 1:4]),
        run=local.directions(run),
        even=local.directions(table[:, 7:10]),
        odd=local.directions(table[:, 10:13]),
        turn=turn,
        bend=bend,
        radius=table[:, 15],
        length=np.linalg.norm(run, axis=1) + turn * bend,
        free=np.concatenate([a.free for a in apart]),
        corners=local.points(_padded([a.corners for a in apart])),
        middle=np.zeros((len(table), 3)),
        reach=np.zeros(len(table)),
    )
    return _with_balls(placed)


def joined(lots: Sequence[Pieces]) -> Pieces:
    """Pieces of several lots in one; each keeps its lot's frame and its body's number there."""
    if len(lots) == 1:
        return lots[0]
    some = {name: [getattr(lot, name) for lot in lots] for name in _COLUMNS}
    begun = np.cumsum([0, *(len(c) for c in some["corners"])])
    some["block"] = [np.where(b < 0, b, b + k) for b, k in zip(some["block"], begun, strict=False)]
    some["corners"] = [_padded(some["corners"])]
    return Pieces(**{name: np.concatenate(columns) for name, columns in some.items()})


_COLUMNS = tuple(Pieces.__dataclass_fields__)

_Row = tuple[float, ...]
"""Whether a block, base, run, even, odd, turn, bend, radius: 16 numbers."""

_NOTHING = (0.0,) * 15


@dataclass(frozen=True, kw_only=True, eq=False)
class _Apart:
    """A body's solids as numbers.

    Attributes:
        rows: one a solid, shape (n, 16); see `_Row`.
        free: whether an end is a flat face in the open, shape (n, 2).
        corners: of its blocks, shape (m, v, 3) [mm], padded with a block's first corner.
    """

    rows: Floats
    free: Bools
    corners: Floats


@lru_cache(1024)
def _apart(body: Body) -> _Apart:
    """A body's solids as numbers; remembered, since most bodies stay."""
    blocks = [s.corners for s in body.solids if isinstance(s, Block)]
    most = max((len(b) for b in blocks), default=1)
    full = [(*b, *(b[0],) * (most - len(b))) for b in blocks]
    return _Apart(
        rows=np.array([_row(s) for s in body.solids], dtype=float).reshape(-1, 16),
        free=np.array(_free(body), dtype=bool).reshape(-1, 2),
        corners=np.array(full, dtype=float).reshape(-1, most, 3),
    )


def _row(solid: Solid) -> _Row:
    if isinstance(solid, Block):
        return (1.0, *_NOTHING)
    if isinstance(solid, Rod):
        return (0.0, *solid.start, *run(solid.start, solid.end), *_NOTHING[:8], solid.radius)
    arc = solid.arc
    even = run(arc.centre, arc.start)
    ends = (*_NOTHING[:3], *even, *crossed(arc.axis, even))
    return (0.0, *arc.centre, *ends, arc.angle, math.hypot(*even), solid.radius)


def _padded(blocks: list[Floats]) -> Floats:
    """Blocks (m, v, 3) in one array with as many corners as the richest, the first repeated."""
    some = [b for b in blocks if len(b)]
    most = max((b.shape[1] for b in some), default=1)
    rows = np.repeat(np.arange(len(some)), [len(b) for b in some])
    full = np.empty((len(rows), most, 3))
    for size in {b.shape[1] for b in some}:
        alike = np.concatenate([b for b in some if b.shape[1] == size])
        at = np.flatnonzero(np.array([b.shape[1] == size for b in some])[rows])
        full[at, :size], full[at, size:] = alike, alike[:, :1]
    return full


def _with_balls(placed: Pieces) -> Pieces:
    n = len(placed.body)
    rows = np.arange(n)
    ends = [placed.at(rows, np.full(n, t)) for t in (0.0, 0.5, 1.0)]
    middle = np.where((placed.turn > 0.0)[:, None], ends[1], 0.5 * (ends[0] + ends[2]))
    reach = np.linalg.norm(ends[2] - middle, axis=1) + placed.radius
    if len(placed.corners):
        at = placed.block[placed.block >= 0]
        own = placed.corners[at]
        centre = 0.5 * (own.min(axis=1) + own.max(axis=1))
        middle[placed.block >= 0] = centre
        away = np.linalg.norm(own - centre[:, None], axis=2)
        reach[placed.block >= 0] = away.max(axis=1)
    placed.middle[...] = middle
    placed.reach[...] = reach
    return placed


def _free(body: Body) -> list[tuple[bool, bool]]:
    """For each solid, whether its two ends are flat faces in the open."""
    ends = [None if isinstance(s, Block) else _ends(s) for s in body.solids]
    return [
        (False, False) if own is None else (_open(own[0], i, ends), _open(own[1], i, ends))
        for i, own in enumerate(ends)
    ]


_End = tuple[Point, Point, float, float]
"""Where an end is, which way leads out of it, the bar's radius, and its length."""


def _ends(solid: Rod | Elbow) -> tuple[_End, _End]:
    if isinstance(solid, Rod):
        way = run(solid.start, solid.end)
        length = math.hypot(*way)
        out = _times(1.0 / max(length, 1e-300), way)
        return (
            (solid.start, _times(-1.0, out), solid.radius, length),
            (solid.end, out, solid.radius, length),
        )
    return _arc_ends(solid.arc, solid.radius)


def _times(k: float, a: Point) -> Point:
    return (k * a[0], k * a[1], k * a[2])


def _arc_ends(arc: Arc, radius: float) -> tuple[_End, _End]:
    even = run(arc.centre, arc.start)
    odd = crossed(arc.axis, even)
    bend = math.hypot(*even)
    c, s = math.cos(arc.angle), math.sin(arc.angle)
    last = ahead(ahead(arc.centre, even, c), odd, s)
    out = _times(1.0 / bend, run(_times(s, even), _times(c, odd)))
    first: _End = (arc.start, _times(-1.0 / bend, odd), radius, bend * arc.angle)
    return first, (last, out, radius, bend * arc.angle)


def _open(own: _End, i: int, ends: list[tuple[_End, _End] | None]) -> bool:
    at, out, radius, _ = own
    return not any(
        math.dist(at, other_at) < JOINED
        and math.dist(out, _times(-1.0, other_out)) < JOINED
        and abs(radius - other_radius) < JOINED
        and length >= radius
        for j, pair in enumerate(ends)
        if j != i and pair is not None
        for other_at, other_out, other_radius, length in pair
    )
