"""What a solid leaves in a slab: its outline between two parallel planes, seen square on.

A solid is taken as convex pieces, each the hull of some corners, made so that the pieces
together hold the whole solid. The part of a hull that lies between two planes is the hull of
its corners there and of the points where its edges cross them, which `sections` gives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.solids import Block, Elbow, Rod, Solid
from barwright.geometry.vectors import Floats, cross, square_to, unit

Ints: TypeAlias = NDArray[np.intp]

PIECE = 4.0
"""Length of the pieces a rod is cut in, in radii."""

REMEMBERED = 128
"""Solids whose pieces are kept: one tube is cut out of a plate many times over."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Hull:
    """A convex piece: the hull of some corners, widened by a ball.

    Attributes:
        corners: shape (m, 3) [mm].
        lines: which two corners each edge joins, shape (n, 2).
        fat: radius of the ball [mm].
    """

    corners: Floats
    lines: Ints
    fat: float

    @property
    def edges(self) -> Floats:
        """From corner to corner, shape (n, 2, 3) [mm]."""
        return self.corners[self.lines]


@lru_cache(REMEMBERED)
def hulls_of(solid: Solid, within: float, long: float = PIECE) -> tuple[Hull, ...]:
    """Convex pieces that hold the solid and stand proud of it by at most `within` [mm].

    Round sections become polygons drawn round them; arcs become chords, with the height of the
    chord's arc as the ball that widens them. A rod is cut in pieces of `long` radii, or of less.

    >>> rod = Rod(start=(0.0, 0.0, 0.0), end=(9.0, 0.0, 0.0), radius=2.0)
    >>> bool(np.hypot(*hulls_of(rod, 0.01)[0].edges[0, 0, 1:]) >= 2.0)
    True
    """
    if isinstance(solid, Block):
        return (_block_hull(solid),)
    sides = _sides(solid.radius, 0.5 * within)
    if isinstance(solid, Rod):
        return _rod_hulls(solid, sides, long)
    return _elbow_hulls(solid, sides, 0.5 * within)


def sections(corners: Floats, lines: Ints, low: float, high: float) -> tuple[Floats, Ints]:
    """What bounds some hulls between two heights: corners there, and edges cut at the heights.

    Args:
        corners: shape (k, m, 3) [mm].
        lines: which two corners each edge joins, shape (n, 2), alike in all hulls.
        low: the slab's low face [mm].
        high: its high face [mm].

    Returns:
        Points, shape (p, 3) [mm], and which hull each belongs to, rising, shape (p,). A hull that
        has any has its first point twice.
    """
    z, (i, j) = corners[..., 2], lines.T
    inside = np.nonzero((z >= low) & (z <= high))
    points, owners = [corners[inside]], [inside[0]]
    for face in (low, high):
        under = z < face
        if under.all() or not under.any():
            continue
        owner, line = np.nonzero(under[:, i] != under[:, j])
        a, b = corners[owner, i[line]], corners[owner, j[line]]
        share = (face - a[:, 2]) / (b[:, 2] - a[:, 2])
        points.append(a + share[:, None] * (b - a))
        owners.append(owner)
    whose = np.concatenate(owners)
    order = np.argsort(whose, kind="stable")
    order = np.repeat(order, 1 + _begins(whose[order]))
    return np.concatenate(points)[order], whose[order]


def _begins(rising: Ints) -> Ints:
    """1 where each run of equal numbers begins, else 0."""
    return np.concatenate([rising[:1] >= 0, np.diff(rising) > 0]).astype(np.intp)


def _sides(radius: float, within: float) -> int:
    """How many sides a polygon round a circle needs to stand proud by at most `within`."""
    half = math.acos(radius / (radius + within)) if radius > 0.0 else 1.0
    return max(12, math.ceil(math.pi / half))


def _rings(middles: Floats, x: Floats, y: Floats, radius: float, sides: int) -> Floats:
    """Polygons round circles, shape (k, sides, 3): their middles, and two directions each."""
    turn = 2.0 * math.pi * np.arange(sides) / sides
    proud = radius / math.cos(math.pi / sides)
    out = np.cos(turn)[:, None] * x[:, None] + np.sin(turn)[:, None] * y[:, None]
    return np.asarray(middles[:, None] + proud * out)


def _prisms(rings: Floats, fat: float) -> tuple[Hull, ...]:
    """The hulls of each two rings, shape (k, n, 3), that follow one another."""
    n = rings.shape[1]
    at = np.arange(n)
    on, round_ = np.stack([at, at + n], axis=1), np.stack([at, np.roll(at, 1)], axis=1)
    lines = np.concatenate([on, round_, round_ + n])
    both = np.concatenate([rings[:-1], rings[1:]], axis=1)
    return tuple(Hull(corners=corners, lines=lines, fat=fat) for corners in both)


def _rod_hulls(rod: Rod, sides: int, long: float) -> tuple[Hull, ...]:
    """The rod in lengths of a few diameters: short pieces move more nearly all alike."""
    start, run = np.array(rod.start), np.subtract(rod.end, rod.start)
    along = unit(run)
    x = square_to(along)
    count = max(1, math.ceil(math.dist(rod.start, rod.end) / (long * rod.radius)))
    middles = start + np.linspace(0.0, 1.0, count + 1)[:, None] * run
    rings = _rings(middles, x[None], cross(along, x)[None], rod.radius, sides)
    return _prisms(rings, 0.0)


def _elbow_hulls(elbow: Elbow, sides: int, within: float) -> tuple[Hull, ...]:
    arc = elbow.arc
    outer = math.dist(arc.centre, arc.start) + elbow.radius
    step = 2.0 * math.acos(max(0.0, 1.0 - within / outer))
    count = max(1, math.ceil(arc.angle / step))
    fat = outer * (1.0 - math.cos(0.5 * arc.angle / count))
    out = np.subtract(arc.start, arc.centre)
    turn = np.linspace(0.0, arc.angle, count + 1)[:, None]
    arms = np.cos(turn) * out + np.sin(turn) * cross(arc.axis, out)
    away = arms / np.linalg.norm(out)
    rings = _rings(arms + arc.centre, away, np.array([arc.axis]), elbow.radius, sides)
    return _prisms(rings, fat)


def _block_hull(block: Block) -> Hull:
    """Every line between two corners: among them all edges of the hull."""
    lines = np.array(list(combinations(range(len(block.corners)), 2)))
    return Hull(corners=np.array(block.corners), lines=lines, fat=0.0)
