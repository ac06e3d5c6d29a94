"""Arithmetic of single points and directions as plain floats: for one, numpy's calls cost more.

Every argument and result is a `Point`: three floats.
"""

from __future__ import annotations

import math

from barwright.geometry.vectors import Point


def ahead(start: Point, way: Point, far: float) -> Point:
    """The point so far from a start along a way.

    >>> ahead((1.0, 0.0, 0.0), (0.0, 0.0, 2.0), 3.0)
    (1.0, 0.0, 6.0)
    """
    return (start[0] + far * way[0], start[1] + far * way[1], start[2] + far * way[2])


def run(start: Point, end: Point) -> Point:
    """From one point to another.

    >>> run((1.0, 2.0, 3.0), (2.0, 2.0, 5.0))
    (1.0, 0.0, 2.0)
    """
    return (end[0] - start[0], end[1] - start[1], end[2] - start[2])


def dot(a: Point, b: Point) -> float:
    """The scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def crossed(a: Point, b: Point) -> Point:
    """The vector product.

    >>> crossed((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    (0.0, 0.0, 1.0)
    """
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def one_long(way: Point) -> Point:
    """The direction, of unit length.

    Raises:
        ValueError: it has no length, so it has no direction.
    """
    size = math.hypot(*way)
    if size == 0.0:
        raise ValueError("a vector of no length has no direction")
    return (way[0] / size, way[1] / size, way[2] / size)


def turned_by(arm: Point, axis: Point, angle: float) -> Point:
    """An arm turned by an angle [rad], right hand about a unit axis through its foot (Rodrigues).

    >>> [round(v, 12) for v in turned_by((1.0, 0.0, 5.0), (0.0, 0.0, 1.0), math.pi / 2)]
    [0.0, 1.0, 5.0]
    """
    c, s = math.cos(angle), math.sin(angle)
    side, along = crossed(axis, arm), (1.0 - c) * dot(axis, arm)
    return (
        c * arm[0] + s * side[0] + along * axis[0],
        c * arm[1] + s * side[1] + along * axis[1],
        c * arm[2] + s * side[2] + along * axis[2],
    )
