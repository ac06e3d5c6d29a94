"""Which way a flat piece can be pulled out from among others in its plane, by pushing alone."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from barwright.geometry.vectors import Floats

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Arc: TypeAlias = tuple[float, float]
"""Directions from one angle to another [rad], counter-clockwise from x; equal for just one."""

TURN = 2.0 * math.pi


def free_directions(
    piece: BaseGeometry, others: BaseGeometry, *, within: float = 1e-6
) -> tuple[Arc, ...]:
    """All directions in which a piece slides away for good, without turning.

    The piece meets the others on its way along d just when a shift along d lies inside the set
    of shifts at which they overlap, their Minkowski difference. As seen from no shift at all,
    each connected part of that set hides one arc of directions; what is left is free. The piece
    is taken smaller by `within`, so that what it touches parts from it and sliding is free.

    Args:
        piece: area of the piece that is to come out; it must not overlap the others.
        others: area of all that stays.
        within: overlap this deep is let pass as touching [mm].

    Returns:
        The free arcs, each from 0 <= start <= end, in order; (0, 2 pi) alone where all is free,
        and none where the piece is caught.

    Raises:
        ValueError: the piece overlaps the others by more than `within`.

    >>> from shapely.geometry import box
    >>> wall = box(0, 0, 10, 1)
    >>> [tuple(round(math.degrees(a), 3) for a in arc)
    ...  for arc in free_directions(box(2, 1, 4, 3), wall)]
    [(0.0, 180.0)]
    """
    import shapely

    bad = _overlaps(piece.buffer(-within, join_style="mitre"), others)
    if bad.is_empty:
        return ((0.0, TURN),)
    if bad.distance(shapely.Point(0.0, 0.0)) == 0.0:
        raise ValueError("the piece overlaps what it is to be pulled out of")
    hidden = [_seen(part) for part in getattr(bad, "geoms", [bad])]
    return _left(hidden, 4.0 * within)


def _overlaps(piece: BaseGeometry, others: BaseGeometry) -> BaseGeometry:
    """The shifts at which the piece overlaps the others: others + (-piece), by triangles."""
    import shapely

    a, b = _triangles(piece), _triangles(others)
    sums = b[:, None, :, None] - a[None, :, None, :]
    hulls = shapely.convex_hull(shapely.multipoints(sums.reshape(-1, 9, 2)))
    return shapely.union_all(hulls)


def _triangles(area: BaseGeometry) -> Floats:
    """The area cut in triangles, shape (n, 3, 2)."""
    import shapely

    cut = shapely.get_parts(shapely.constrained_delaunay_triangles(area))
    corners = [np.asarray(t.exterior.coords)[:3, :2] for t in cut]
    return np.array(corners).reshape(-1, 3, 2)


def _seen(part: BaseGeometry) -> Arc:
    """The arc of directions in which a connected area is met, looking from the origin.

    Round the area's edge the direction goes up and down without a jump; once round the origin
    and it never comes back: then every direction is met.
    """
    ring = np.asarray(part.exterior.coords)  # type: ignore[attr-defined]
    angle = np.unwrap(np.arctan2(ring[:, 1], ring[:, 0]))
    if abs(angle[-1] - angle[0]) > math.pi:
        return (0.0, TURN)
    return (float(angle.min()), float(angle.max()))


def _left(hidden: list[Arc], narrow: float) -> tuple[Arc, ...]:
    """What a turn has left when some arcs are taken away."""
    if any(b - a >= TURN for a, b in hidden):
        return ()
    taken = sorted((a % TURN, a % TURN + (b - a)) for a, b in hidden)
    first, reach, free = taken[0][0], taken[0][1], []
    for a, b in [*taken[1:], (first + TURN, first + TURN)]:
        if a > reach:
            free.append((reach, a))
        reach = max(reach, b)
    return tuple(sorted(_tidy(a, b, narrow) for a, b in free))


def _tidy(a: float, b: float, narrow: float) -> Arc:
    if b - a <= narrow:
        a = b = 0.5 * (a + b)
    turns = math.floor((a + narrow) / TURN) * TURN
    return (max(a - turns, 0.0), max(b - turns, 0.0))
