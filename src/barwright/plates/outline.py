"""Loops of straights and arcs in the plane: their area, their points, their shapes.

An arc is written as its bulge, b = tan(θ/4), θ the angle it turns through, positive to the left:
the convention of DXF's LWPOLYLINE. Outlines run anticlockwise, holes clockwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike
from shapely import unary_union
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from barwright.geometry.vectors import Floats
from barwright.plates.part import Flat, Loop, Vertex
from barwright.plates.shapes import largest

FINE = 0.002
"""How far a sampled arc's chord may lie off the arc [mm]."""


def area(loop: Loop) -> float:
    """The loop's signed area [mm²], exact with its arcs; positive anticlockwise.

    Shoelace for the chords, plus R²(θ - sin θ)/2 for each arc, R = c/(2 sin(θ/2)).

    >>> round(area(circle((3.0, 4.0), 10.0)) / math.pi, 9)
    100.0
    """
    v = np.array(loop.vertices)
    x, y, bulge = v.T
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    chords = 0.5 * float(np.sum(x * y1 - x1 * y))
    return chords + sum(
        _segment(math.hypot(dx, dy), b)
        for dx, dy, b in zip(x1 - x, y1 - y, bulge, strict=True)
        if b
    )


def _segment(chord: float, bulge: float) -> float:
    """Area between an arc and its chord, signed by the bulge."""
    theta = 4.0 * math.atan(bulge)
    if abs(theta) < 1e-3:  # the closed form cancels; c² b / 3 (1 + b²/5 …) to the first term
        return chord * chord * bulge / 3.0
    radius = chord / (2.0 * math.sin(theta / 2.0))
    return 0.5 * radius * radius * (theta - math.sin(theta))


def length(loop: Loop) -> float:
    """How long the cut is [mm]: chords and arcs."""
    total = 0.0
    for (x, y, b), (x1, y1, _) in _edges(loop):
        chord = math.hypot(x1 - x, y1 - y)
        half = 2.0 * math.atan(abs(b))
        total += chord * (half / math.sin(half) if half else 1.0)
    return total


def arc_of(start: Flat, end: Flat, bulge: float) -> tuple[Flat, float]:
    """Centre and radius [mm] of a bulged edge.

    >>> centre, radius = arc_of((0, 0), (2, 0), 1.0)
    >>> [round(c, 12) for c in centre], radius
    ([1.0, 0.0], 1.0)
    """
    (x, y), (x1, y1) = start, end
    k = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = ((x + x1) / 2.0 - k * (y1 - y), (y + y1) / 2.0 + k * (x1 - x))
    return centre, math.hypot(x1 - x, y1 - y) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))


def points(loop: Loop, *, off: float = FINE, outside: bool = False) -> Floats:
    """The loop as points, shape (n, 2), not closed.

    Args:
        loop: straights and arcs.
        off: how far a chord may lie off its arc [mm].
        outside: hold the material within: arcs that bulge out are drawn by tangents, those that
            bulge in by chords (for an anticlockwise outline).
    """
    return _points(loop, off, outside)


@lru_cache(512)
def _points(loop: Loop, off: float, outside: bool) -> Floats:
    rows: list[Floats] = []
    for (x, y, b), (x1, y1, _) in _edges(loop):
        rows.append(np.array([(x, y)]))
        if b:
            rows.append(_arc_points((x, y), (x1, y1), b, off=off, tangents=outside and b > 0.0))
    found = np.concatenate(rows) if rows else np.array([])
    found.flags.writeable = False  # it is remembered: nobody may write into it
    return found


def _arc_points(start: Flat, end: Flat, bulge: float, *, off: float, tangents: bool) -> Floats:
    """Points between the ends of a bulged edge, shape (n, 2)."""
    (cx, cy), radius = arc_of(start, end, bulge)
    theta = 4.0 * math.atan(bulge)
    step = 2.0 * math.acos(max(1.0 - min(off, 0.3 * radius) / radius, 0.5))
    n = max(2, math.ceil(abs(theta) / step))
    first = math.atan2(start[1] - cy, start[0] - cx)
    reach = radius / math.cos(theta / n / 2.0) if tangents else radius
    turns = (np.arange(n) + 0.5) / n if tangents else np.arange(1, n) / n
    a = first + turns * theta
    return np.stack([cx + reach * np.cos(a), cy + reach * np.sin(a)], axis=1)


def region(outline: Loop, holes: Sequence[Loop] = (), *, off: float = FINE) -> Polygon:
    """The outline less its holes as a shapely polygon, arcs as chords.

    A hole that runs out through the edge is a notch.

    >>> round(region(rectangle(0, 0, 3, 2)).area, 9)
    6.0
    """
    whole = Polygon(points(outline, off=off))
    cut = [Polygon(points(h, off=off)) for h in holes]
    if cut and whole.is_valid and not all(whole.contains_properly(h) for h in cut):
        return orient(largest(whole.difference(unary_union(cut))))
    return orient(Polygon(whole.exterior, [h.exterior for h in cut]))


def circle(centre: Flat, radius: float, *, hole: bool = False) -> Loop:
    """A full circle as two half turns; clockwise for a hole.

    >>> area(circle((0, 0), 1.0, hole=True)) < 0
    True
    """
    (x, y), b = centre, -1.0 if hole else 1.0
    return Loop(vertices=((x - radius, y, b), (x + radius, y, b)))


def slot(centre: Flat, width: float, over_all: float, turn: float) -> Loop:
    """A round-ended slot as a hole (clockwise); its long axis at an angle [rad] to x.

    >>> round(-area(slot((0, 0), 2.0, 6.0, 0.5)), 9) == round(math.pi + 8.0, 9)
    True
    """
    if over_all <= width:
        return circle(centre, width / 2.0, hole=True)
    h, w = (over_all - width) / 2.0, width / 2.0
    corners = ((-h, w, 0.0), (h, w, -1.0), (h, -w, 0.0), (-h, -w, -1.0))
    return moved(Loop(vertices=corners), turn=turn, shift=centre)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Loop:
    """A rectangle between two corners, anticlockwise."""
    return Loop(vertices=((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)))


def moved(loop: Loop, *, turn: float = 0.0, shift: Flat = (0.0, 0.0)) -> Loop:
    """The loop turned about the origin [rad], then shifted [mm]."""
    c, s = math.cos(turn), math.sin(turn)
    return Loop(
        vertices=tuple(
            (c * x - s * y + shift[0], s * x + c * y + shift[1], b) for x, y, b in loop.vertices
        )
    )


def backwards(loop: Loop) -> Loop:
    """The same loop run the other way round."""
    v = loop.vertices
    return Loop(vertices=tuple((*v[-i][:2], -v[-i - 1][2]) for i in range(len(v))))


def flipped(loop: Loop) -> Loop:
    """The loop mirrored in the x axis, run the same way round as before.

    >>> one = Loop(vertices=((0, 0, 0), (2, 0, 0), (2, 1, 0.3)))
    >>> round(area(flipped(one)) - area(one), 12)
    0.0
    """
    return backwards(Loop(vertices=tuple((x, -y, -b) for x, y, b in loop.vertices)))


def rounded(corners: ArrayLike, radius: float) -> Loop:
    """A polygon with each corner filleted by an arc, as large as the edges allow.

    Args:
        corners: shape (n, 2) [mm], anticlockwise.
        radius: of the fillets [mm].

    >>> square = rounded([(0, 0), (10, 0), (10, 10), (0, 10)], 2.0)
    >>> round(area(square), 9) == round(100 - 4 * 4 + math.pi * 4, 9)
    True
    """
    p = np.asarray(corners, dtype=float)
    rows: list[Vertex] = []
    for i in range(len(p)):
        rows.extend(fillet(p[i - 1], p[i], p[(i + 1) % len(p)], radius))
    return Loop(vertices=tuple(rows))


def fillet(before: Floats, at: Floats, after: Floats, radius: float) -> list[Vertex]:
    """The vertices that round the corner between two straights, at most half of either taken."""
    u, v = before - at, after - at
    lu, lv = float(np.hypot(*u)), float(np.hypot(*v))
    u, v = u / lu, v / lv
    turn = math.pi - math.acos(float(np.clip(u @ v, -1.0, 1.0)))
    if radius <= 0.0 or turn < 1e-6:
        return [(float(at[0]), float(at[1]), 0.0)]
    back = min(radius * math.tan(turn / 2.0), 0.5 * lu, 0.5 * lv)
    left = v[0] * u[1] - v[1] * u[0] > 0.0
    bulge = math.copysign(math.tan(turn / 4.0), 1.0 if left else -1.0)
    a, b = at + back * u, at + back * v
    return [(float(a[0]), float(a[1]), bulge), (float(b[0]), float(b[1]), 0.0)]


def _edges(loop: Loop) -> Iterable[tuple[Vertex, Vertex]]:
    return zip(loop.vertices, (*loop.vertices[1:], loop.vertices[0]), strict=True)
