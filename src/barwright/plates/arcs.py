"""From many short chords back to arcs: what a cutter follows smoothly and a drawing can show."""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from barwright.geometry.vectors import Floats
from barwright.plates.part import Flat, Loop, Vertex

OFF = 0.02
"""How far a point may lie off the arc it is taken into [mm]."""
SAGITTA = 0.05
"""How far a chord may lie off its arc and still be a chord of it [mm]."""
LARGEST = 2000.0
"""Arcs flatter than this radius [mm] are left as chords."""


def loops_of(polygon: Polygon) -> tuple[Loop, tuple[Loop, ...]]:
    """The outline (anticlockwise) and the holes (clockwise) of a polygon, arcs found again.

    Runs of short chords that lie on one circle to `OFF` become one arc; points in line are left
    out. Straights keep their corners exactly.

    >>> from shapely.geometry import Point
    >>> outline, _ = loops_of(Point(0, 0).buffer(10.0, quad_segs=64))
    >>> len(outline.vertices) <= 4
    True
    """
    p = orient(polygon)
    return (
        loop_of(np.array(p.exterior.coords)[:-1]),
        tuple(loop_of(np.array(ring.coords)[:-1]) for ring in p.interiors),
    )


def loop_of(ring: Floats) -> Loop:
    """A loop through the points of a ring, shape (n, 2), arcs found again."""
    p = _without_doubles(ring)
    p = np.roll(p, -_sharpest(p), axis=0)
    closed = np.vstack([p, p[:1]])
    corners: list[Flat] = [(x, y) for x, y in closed.tolist()]
    rows: list[Vertex] = []
    i, n = 0, len(p)
    while i < n:
        j, bulge = _longest(closed, corners, i)
        rows.append((*corners[i], bulge))
        i = j
    return Loop(vertices=tuple(_in_line(rows)))


def _without_doubles(ring: Floats) -> Floats:
    gap = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    return np.asarray(ring[gap > 1e-6])


def _sharpest(p: Floats) -> int:
    u = p - np.roll(p, 1, axis=0)
    v = np.roll(p, -1, axis=0) - p
    turn = np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], np.sum(u * v, axis=1))
    return int(np.argmax(np.abs(turn)))


def _longest(p: Floats, corners: list[Flat], i: int) -> tuple[int, float]:
    """The furthest point an arc from point i may reach, and its bulge; the next, 0 with none.

    The points are given twice: as an array, shape (n, 2), and in plain numbers.
    """
    best, bulge = i + 1, 0.0
    good, step, j = i + 2, 2, i + 3
    last = len(p) - 1
    while good < j <= last:  # gallop, then halve
        circle = _circle(corners, i, j)
        found = None if circle is None else _bulge(p[i : j + 1], *circle)
        if found is not None:
            best, bulge, good = j, found, j
            step *= 2
            j = min(j + step, last)
        elif j - best > 1 and best > i + 1:
            j = best + (j - best) // 2
            step = 1
        else:
            break
    return best, bulge


def _bulge(run: Floats, centre: Flat, radius: float) -> float | None:
    """The bulge of the arc from first to last point, if all points lie on the circle; or None."""
    rel = run - centre
    if float(np.max(np.abs(np.hypot(*rel.T) - radius))) > OFF:
        return None
    turns = np.arctan2(
        rel[:-1, 0] * rel[1:, 1] - rel[:-1, 1] * rel[1:, 0], np.sum(rel[:-1] * rel[1:], axis=1)
    )
    one_way = bool(np.all(turns > 0.0) or np.all(turns < 0.0))
    sagitta = radius * (1.0 - math.cos(float(np.max(np.abs(turns))) / 2.0))
    theta = float(np.sum(turns))
    if not one_way or sagitta > SAGITTA or abs(theta) > 1.1 * math.pi:
        return None
    return math.tan(theta / 4.0)


def _circle(corners: list[Flat], i: int, j: int) -> tuple[Flat, float] | None:
    """Centre and radius of the circle through points i, j and the middle one; none too large.

    In plain numbers, since most runs are short and lie on none: the second point tells at once.
    """
    (ax, ay), (qx, qy) = corners[i], corners[i + 1]
    (mx, my), (bx, by) = corners[i + (j + 1 - i) // 2], corners[j]
    bx, by, mx, my = bx - ax, by - ay, mx - ax, my - ay
    cross = bx * my - by * mx
    if abs(cross) < 1e-9:
        return None
    s, t = bx * bx + by * by, mx * mx + my * my
    x, y = (my * s - by * t) / (2.0 * cross), (bx * t - mx * s) / (2.0 * cross)
    radius = math.hypot(x, y)
    if radius > LARGEST or abs(math.hypot(qx - ax - x, qy - ay - y) - radius) > OFF:
        return None
    return (ax + x, ay + y), radius


def _in_line(rows: list[Vertex]) -> list[Vertex]:
    """The vertices without those that stand on the straight between their neighbours."""
    kept: list[Vertex] = []
    for k, (x, y, b) in enumerate(rows):
        x0, y0, b0 = kept[-1] if kept else rows[-1]
        x1, y1, _ = rows[(k + 1) % len(rows)]
        across = (x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)
        straight = b == 0.0 == b0 and abs(across) < 1e-6 * math.hypot(x1 - x0, y1 - y0)
        if not straight:
            kept.append((x, y, b))
    return kept
