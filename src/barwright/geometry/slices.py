"""What a solid leaves in a slab: its outline between two parallel planes, seen square on.

A solid is taken as convex pieces, each the hull of straight edges, made so that the pieces
together hold the whole solid. The part of a hull that lies between two planes is the hull of
its edges clipped to them, which is what `outline_points` gives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np

from barwright.geometry.path import Arc
from barwright.geometry.solids import Block, Elbow, Rod, Solid
from barwright.geometry.vectors import Floats, Point, rotation, square_to, unit

PIECE = 4.0
"""Length of the pieces a rod is cut in, in radii."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Hull:
    """A convex piece: the hull of some edges, widened by a ball.

    Attributes:
        edges: shape (n, 2, 3) [mm].
        fat: radius of the ball [mm].
    """

    edges: Floats
    fat: float


def hulls_of(solid: Solid, within: float) -> tuple[Hull, ...]:
    """Convex pieces that hold the solid and stand proud of it by at most `within` [mm].

    Round sections become polygons drawn round them; arcs become chords, with the height of the
    chord's arc as the ball that widens them.

    >>> rod = Rod(start=(0.0, 0.0, 0.0), end=(9.0, 0.0, 0.0), radius=2.0)
    >>> bool(np.hypot(*hulls_of(rod, 0.01)[0].edges[0, 0, 1:]) >= 2.0)
    True
    """
    if isinstance(solid, Block):
        return (_block_hull(solid),)
    sides = _sides(solid.radius, 0.5 * within)
    if isinstance(solid, Rod):
        return _rod_hulls(solid, sides)
    return _elbow_hulls(solid, sides, 0.5 * within)


def outline_points(edges: Floats, low: float, high: float) -> Floats:
    """The edges clipped to low <= z <= high: shape (..., n, 2, 3), nan where nothing is left.

    Args:
        edges: shape (..., n, 2, 3) [mm].
        low: the slab's low face [mm].
        high: its high face [mm].
    """
    a, b = edges[..., 0, :], edges[..., 1, :]
    rise = b[..., 2] - a[..., 2]
    level = np.abs(rise) < 1e-12
    safe = np.where(level, 1.0, rise)
    s, t = (low - a[..., 2]) / safe, (high - a[..., 2]) / safe
    inside = (a[..., 2] >= low) & (a[..., 2] <= high)
    first = np.where(level, 0.0, np.clip(np.minimum(s, t), 0.0, 1.0))
    last = np.where(level, 1.0, np.clip(np.maximum(s, t), 0.0, 1.0))
    gone = np.where(level, ~inside, (np.maximum(s, t) < 0.0) | (np.minimum(s, t) > 1.0))
    ends = np.stack([first, last], axis=-1)
    cut = a[..., None, :] + ends[..., None] * (b - a)[..., None, :]
    return np.where(gone[..., None, None], np.nan, cut)


def _sides(radius: float, within: float) -> int:
    """How many sides a polygon round a circle needs to stand proud by at most `within`."""
    half = math.acos(radius / (radius + within)) if radius > 0.0 else 1.0
    return max(12, math.ceil(math.pi / half))


def _ring(centre: Floats, x: Floats, y: Floats, radius: float, sides: int) -> Floats:
    turn = 2.0 * math.pi * np.arange(sides) / sides
    proud = radius / math.cos(math.pi / sides)
    return np.asarray(centre + proud * (np.outer(np.cos(turn), x) + np.outer(np.sin(turn), y)))


def _prism(first: Floats, last: Floats) -> Floats:
    """The edges between and round two rings of corners, shape (3 n, 2, 3)."""
    pairs = [(first, last), (first, np.roll(first, 1, axis=0)), (last, np.roll(last, 1, axis=0))]
    return np.concatenate([np.stack(p, axis=1) for p in pairs])


def _rod_hulls(rod: Rod, sides: int) -> tuple[Hull, ...]:
    """The rod in lengths of a few diameters: short pieces move more nearly all alike."""
    start, end = np.array(rod.start), np.array(rod.end)
    along = unit(end - start)
    x = square_to(along)
    count = max(1, math.ceil(math.dist(rod.start, rod.end) / (PIECE * rod.radius)))
    first = _ring(start, x, np.cross(along, x), rod.radius, sides)
    rings = [first + (end - start) * (i / count) for i in range(count + 1)]
    return tuple(Hull(edges=_prism(a, b), fat=0.0) for a, b in pairwise(rings))


def _elbow_hulls(elbow: Elbow, sides: int, within: float) -> tuple[Hull, ...]:
    arc = elbow.arc
    outer = math.dist(arc.centre, arc.start) + elbow.radius
    step = 2.0 * math.acos(max(0.0, 1.0 - within / outer))
    count = max(1, math.ceil(arc.angle / step))
    fat = outer * (1.0 - math.cos(0.5 * arc.angle / count))
    rings = [_arc_ring(arc, elbow.radius, arc.angle * i / count, sides) for i in range(count + 1)]
    return tuple(Hull(edges=_prism(a, b), fat=fat) for a, b in pairwise(rings))


def _arc_ring(arc: Arc, radius: float, turn: float, sides: int) -> Floats:
    centre = np.array(arc.centre)
    out = rotation(arc.axis, turn) @ (np.array(arc.start) - centre)
    return _ring(centre + out, unit(out), np.array(arc.axis), radius, sides)


def _block_hull(block: Block) -> Hull:
    """Every line between two corners: among them all edges of the hull."""
    pairs: list[tuple[Point, Point]] = list(combinations(block.corners, 2))
    return Hull(edges=np.array(pairs), fat=0.0)
