"""Taking apart what shapely gives back: the polygons of any shape."""

from __future__ import annotations

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

CRUMB = 1e-3
"""Pieces smaller than this [mm²] come from rounding and are left out."""


def polygons(shape: BaseGeometry, *, least: float = CRUMB) -> list[Polygon]:
    """The polygons of a shape, largest first; lines, points and crumbs are left out.

    >>> from shapely.geometry import box
    >>> [p.area for p in polygons(box(0, 0, 1, 1) | box(2, 0, 4, 1))]
    [2.0, 1.0]
    """
    pieces = getattr(shape, "geoms", [shape])
    flat = [q for p in pieces for q in getattr(p, "geoms", [p])]
    found = [p for p in flat if isinstance(p, Polygon) and p.area > least]
    return sorted(found, key=lambda p: -p.area)


def largest(shape: BaseGeometry) -> Polygon:
    """The largest polygon of a shape.

    Raises:
        ValueError: there is none.
    """
    found = polygons(shape)
    if not found:
        raise ValueError("nothing is left of the shape")
    return found[0]
