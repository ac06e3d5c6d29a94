"""Which convex pieces make up a flat shape: its triangles, joined while they stay convex.

The shape is split into triangles along its own corners. The largest triangle left takes in those
round it, smallest first, for as long as it stays convex: a triangle may be taken in across a side
where both of the side's ends turn the right way afterwards. No two pieces left could be joined, so
there are at most four times as many as need be (S. Hertel and K. Mehlhorn, 1983; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from barwright.geometry.vectors import Floats
from barwright.plates.shapes import largest, polygons

DENT = 1e-6
"""Twice the area [mm²] that a corner may be dented by and still count as straight."""
SPECK = 1e-9
"""Twice the area [mm²] that a corner may stand out by and be left out, being straight."""


def convex_pieces(shape: BaseGeometry) -> list[Floats]:
    """Convex polygons, shape (n, 2) each, corners anticlockwise, that make up a shape [mm].

    >>> from shapely.geometry import box
    >>> ell = box(0, 0, 3, 1) | box(0, 0, 1, 3)
    >>> [len(piece) for piece in convex_pieces(ell)]
    [4, 4]
    """
    return [piece for p in polygons(shape) for piece in _pieces(p)]


def _pieces(polygon: Polygon) -> list[Floats]:
    clean = largest(polygon.simplify(1e-6))
    if not clean.interiors and clean.convex_hull.area - clean.area < 1e-9 * clean.area:
        ring = shapely.get_coordinates(clean)[:-1]
        return [ring if clean.exterior.is_ccw else ring[::-1]]
    rings = shapely.get_coordinates(shapely.constrained_delaunay_triangles(clean))
    return _joined(rings.reshape(-1, 4, 2)[:, :3])


@dataclass(frozen=True, kw_only=True, eq=False)
class _Corners:
    """Where the numbered corners lie."""

    x: list[float]
    y: list[float]

    def left(self, a: int, b: int, c: int) -> float:
        """How far the way from a over b to c turns left: twice the triangle's area [mm²]."""
        x, y = self.x, self.y
        return (x[b] - x[a]) * (y[c] - y[b]) - (y[b] - y[a]) * (x[c] - x[b])


def _joined(triangles: Floats) -> list[Floats]:
    """Triangles of one polygon, shape (k, 3, 2), all wound alike, joined while convex."""
    (ux, uy), (vx, vy) = ((triangles[:, i] - triangles[:, 0]).T for i in (1, 2))
    twice = ux * vy - uy * vx
    if twice.sum() < 0.0:
        triangles = triangles[:, ::-1]
    by_size = np.argsort(-np.abs(twice).round(9), kind="stable")
    numbers: dict[tuple[float, float], int] = {}
    rows = [
        [numbers.setdefault((x, y), len(numbers)) for x, y in triangle]
        for triangle in triangles[by_size].tolist()
    ]
    p = np.array(list(numbers))
    corners = _Corners(x=p[:, 0].tolist(), y=p[:, 1].tolist())
    return [p[ring] for ring in (_bare(corners, r) for r in _rings(corners, rows)) if len(ring) > 2]


def _rings(corners: _Corners, triangles: list[list[int]]) -> list[list[int]]:
    """Rings of corners' numbers: triangles grown one after the other, in the order given."""
    around: list[list[int]] = [[] for _ in corners.x]
    for k, triangle in enumerate(triangles):
        for corner in triangle:
            around[corner].append(k)
    free = set(range(len(triangles)))
    rings = []
    for k, triangle in enumerate(triangles):
        if k in free:
            free.discard(k)
            rings.append(_grown(corners, triangle, triangles, around, free))
    return rings


def _grown(
    corners: _Corners,
    ring: list[int],
    triangles: list[list[int]],
    around: list[list[int]],
    free: set[int],
) -> list[int]:
    """A ring with all the free triangles it can take in; those are free no longer."""
    grown = True
    while grown:
        grown = False
        near = free.intersection(k for corner in ring for k in around[corner])
        for k in sorted(near, reverse=True):
            wider = _with(corners, ring, triangles[k])
            if wider:
                ring, grown = wider, True
                free.discard(k)
    return ring


def _with(corners: _Corners, ring: list[int], triangle: list[int]) -> list[int]:
    """The ring with a triangle taken in; empty where they share no side or would be dented."""
    new = [corner for corner in triangle if corner not in ring]
    if len(new) != 1:
        return []
    apex = new[0]
    k = triangle.index(apex)
    end, start = triangle[k - 2], triangle[k - 1]
    at = ring.index(start)
    ring = ring[at + 1 :] + ring[: at + 1]
    if ring[0] != end:
        return []
    dented = min(corners.left(ring[-2], start, apex), corners.left(apex, end, ring[1])) < -DENT
    return [] if dented else [*ring, apex]


def _bare(corners: _Corners, ring: list[int]) -> list[int]:
    """A ring without the corners that it goes straight on at."""
    n = len(ring)
    return [
        b for k, b in enumerate(ring) if corners.left(ring[k - 1], b, ring[(k + 1) % n]) > SPECK
    ]
