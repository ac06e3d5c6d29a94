"""Relief: what is cut out at the ends of a bend so that it does not tear.

Sizes are common practice, no source: as wide as the plate is thick, and past the bend's tangent
line by the inside radius and half a thickness, with a round bottom.
"""

from __future__ import annotations

import numpy as np
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from barwright.geometry.vectors import Floats
from barwright.plates.part import Flat


def size(radius: float, thickness: float) -> tuple[float, float]:
    """Width and depth [mm] of the relief at a bend's end.

    >>> size(3.0, 2.0)
    (2.0, 4.0)
    """
    return max(thickness, 1.0), radius + thickness / 2.0


def bend_reliefs(
    base: BaseGeometry, start: Flat, end: Flat, *, radius: float, thickness: float
) -> tuple[Polygon, ...]:
    """The reliefs a bend needs at its two ends: one where the base goes on past the bend.

    Args:
        base: what it is folded from.
        start: where the bend's tangent line begins, the base to its left [mm].
        end: where it ends.
        radius: inside radius [mm].
        thickness: of the plate [mm].
    """
    a, b = np.array(start, dtype=float), np.array(end, dtype=float)
    along = (b - a) / float(np.hypot(*(b - a)))
    inward = np.array([-along[1], along[0]])
    made = []
    for tip, way in ((a, -along), (b, along)):
        beside = tip + 0.2 * way + 0.2 * inward
        if base.contains(Point(beside)):
            made.append(_notch(tip, way, inward, size(radius, thickness)))
    return tuple(made)


def _notch(tip: Floats, way: Floats, inward: Floats, of: tuple[float, float]) -> Polygon:
    """A round-bottomed notch beside a bend's end, open at the plate's edge."""
    width, depth = of
    middle = tip + way * width / 2.0
    bottom = middle + inward * max(depth - width / 2.0, 0.0)
    top = middle - inward * width
    run = LineString([top, bottom]).buffer(width / 2.0, quad_segs=32)
    return Polygon(run.exterior)


def squared(
    gone: list[Polygon], *, start: Flat, along: Floats, out: Floats, width: float, past: float
) -> tuple[Polygon, ...]:
    """What is cut from a bend's strip, squared off right across it and past it both ways.

    A bend that a mouth runs into ends square there, with room behind its tangent lines.

    Args:
        gone: what is cut from the strip, in the flat pattern.
        start: a point on the bend's near tangent line.
        along: unit direction of the bend.
        out: unit direction across it, away from the near panel.
        width: of the strip [mm].
        past: how far past both tangent lines [mm].
    """
    made = []
    for piece in gone:
        ring = np.array(piece.exterior.coords) - start
        lo, hi = float((ring @ along).min()), float((ring @ along).max())
        if hi - lo < 1e-6:
            continue
        u0, u1 = -past, width + past
        corners = [(lo, u0), (hi, u0), (hi, u1), (lo, u1)]
        made.append(Polygon([np.array(start) + t * along + u * out for t, u in corners]))
    return tuple(made)
