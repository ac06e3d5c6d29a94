"""What solids cover between two planes, seen square on, as shapely shapes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pose import Pose
from barwright.geometry.slices import REMEMBERED, Ints, hulls_of, sections
from barwright.geometry.solids import Solid
from barwright.geometry.vectors import Floats

Shapes: TypeAlias = NDArray[np.object_]
Window: TypeAlias = tuple[float, float, float, float]

EVERYWHERE: Window = (-math.inf, -math.inf, math.inf, math.inf)
"""A window that everything lies in."""


def silhouette(
    solids: Iterable[Solid],
    local: Pose,
    z: tuple[float, float],
    within: float,
    window: Window = EVERYWHERE,
) -> BaseGeometry:
    """What solids cover between two heights of a frame, seen along its z.

    Args:
        solids: on the vehicle [mm].
        local: from the vehicle to the frame.
        z: lower and upper height [mm]; may be infinite.
        within: how much too large it may be [mm]; it is never too small.
        window: least x and y, greatest x and y [mm]: what does not reach into it may be left out.

    Returns:
        A shape in the frame's x and y; empty where nothing lies between.

    >>> from barwright.geometry.solids import Block
    >>> corners = tuple((x, y, z) for x in (0, 2) for y in (0, 3) for z in (0, 1))
    >>> silhouette([Block(corners=corners)], Pose(), (0.2, 0.4), 0.1).area
    6.0
    """
    room = (np.array([*window[:2], z[0]]), np.array([*window[2:], z[1]]))
    found: dict[float, list[Shapes]] = {}
    alike = groupby((_stack(solid, within) for solid in solids), lambda s: (s.corners.shape, s.fat))
    for (_, fat), some in alike:
        shapes = _cast(_joined(list(some)), local, room)
        if len(shapes):
            found.setdefault(fat, []).append(shapes)
    return _union([_fattened(_union(np.concatenate(f)), fat) for fat, f in found.items()])


@dataclass(frozen=True, kw_only=True, eq=False)
class _Stack:
    """Hulls with as many corners each.

    Attributes:
        corners: shape (k, m, 3) [mm].
        lines: which two corners each edge joins, shape (n, 2).
        fat: radius of the ball that widens each [mm].
        low, high: corners of a box round each, the ball not counted, shape (k, 3) [mm].
    """

    corners: Floats
    lines: Ints
    fat: float
    low: Floats
    high: Floats


@lru_cache(REMEMBERED)
def _stack(solid: Solid, within: float) -> _Stack:
    hulls = hulls_of(solid, within, math.inf)
    corners = np.array([h.corners for h in hulls])
    return _Stack(
        corners=corners,
        lines=hulls[0].lines,
        fat=hulls[0].fat,
        low=corners.min(axis=1),
        high=corners.max(axis=1),
    )


def _joined(stacks: list[_Stack]) -> _Stack:
    if len(stacks) == 1:
        return stacks[0]
    return replace(
        stacks[0],
        corners=np.concatenate([s.corners for s in stacks]),
        low=np.concatenate([s.low for s in stacks]),
        high=np.concatenate([s.high for s in stacks]),
    )


def _cast(stack: _Stack, local: Pose, room: tuple[Floats, Floats]) -> Shapes:
    """The outlines of what hulls have in a room, their balls not counted but left room for."""
    (low, high), fat = room, stack.fat
    middle = local.points(0.5 * (stack.low + stack.high))
    reach = 0.5 * (stack.high - stack.low) @ np.abs(np.array(local.matrix)).T + fat
    near = ((middle - reach <= high) & (middle + reach >= low)).all(axis=1)
    if not near.any():
        return np.array([], dtype=object)
    corners = local.points(stack.corners[near])
    shapes, _ = outlines(corners, stack.lines, low[2] - fat, high[2] + fat)
    return np.asarray(shapes[shapely.get_dimensions(shapes) == 2])


def _union(shapes: Shapes | list[BaseGeometry]) -> BaseGeometry:
    return shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)


def _fattened(shape: BaseGeometry, fat: float) -> BaseGeometry:
    return shape.buffer(fat, quad_segs=8) if fat > 0.0 else shape


def outlines(corners: Floats, lines: Ints, low: float, high: float) -> tuple[Shapes, Ints]:
    """The outlines of what some hulls have between two heights, seen along z.

    Args:
        corners: shape (k, m, 3) [mm].
        lines: which two corners each edge joins, shape (n, 2).
        low: the lower height [mm].
        high: the upper height [mm].

    Returns:
        Convex shapes, which may be but a line or a point, and the hull that each belongs to: hulls
        that have nothing there are left out.
    """
    points, owners = sections(corners, lines, low, high)
    if len(points) == 0:
        return np.array([], dtype=object), owners
    there, whose = np.unique(owners, return_inverse=True)
    shapes = shapely.convex_hull(shapely.linestrings(points[:, :2], indices=whose))
    return np.asarray(shapes), there


def convex_hulls(points: Floats) -> Shapes:
    """The convex hull of each row of points, shape (k, n, 2)."""
    if len(points) == 0:
        return np.array([], dtype=object)
    return np.atleast_1d(np.asarray(shapely.convex_hull(shapely.linestrings(points))))
