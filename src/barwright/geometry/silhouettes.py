"""What solids cover between two planes, seen square on, as shapely shapes."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pose import Pose
from barwright.geometry.slices import Hull, hulls_of, outline_points
from barwright.geometry.solids import Solid
from barwright.geometry.vectors import Floats

Shapes: TypeAlias = NDArray[np.object_]


def silhouette(
    solids: Iterable[Solid], local: Pose, z: tuple[float, float], within: float
) -> BaseGeometry:
    """What solids cover between two heights of a frame, seen along its z.

    Args:
        solids: on the vehicle [mm].
        local: from the vehicle to the frame.
        z: lower and upper height [mm]; may be infinite.
        within: how much too large it may be [mm]; it is never too small.

    Returns:
        A shape in the frame's x and y; empty where nothing lies between.

    >>> from barwright.geometry.solids import Block
    >>> corners = tuple((x, y, z) for x in (0, 2) for y in (0, 3) for z in (0, 1))
    >>> silhouette([Block(corners=corners)], Pose(), (0.2, 0.4), 0.1).area
    6.0
    """
    hulls = (h for solid in solids for h in hulls_of(solid, within))
    alike = groupby(hulls, lambda h: (h.edges.shape, h.fat))
    parts = [_cast(list(some), fat, local, z) for (_, fat), some in alike]
    return shapely.union_all(np.concatenate(parts) if parts else [])


def _cast(hulls: list[Hull], fat: float, local: Pose, z: tuple[float, float]) -> Shapes:
    """The outlines of hulls with as many edges each."""
    edges, (low, high) = local.points(np.array([h.edges for h in hulls])), (z[0] - fat, z[1] + fat)
    heights = edges[..., 2].reshape(len(edges), -1)
    edges = edges[(heights.min(axis=1) <= high) & (heights.max(axis=1) >= low)]
    cut = outline_points(edges, low, high)[..., :2].reshape(len(edges), 2 * edges.shape[1], 2)
    shapes = convex_hulls(cut)
    shapes = np.asarray(shapely.buffer(shapes, fat)) if fat > 0.0 else shapes
    return np.asarray(shapes[shapely.get_dimensions(shapes) == 2])


def convex_hulls(points: Floats) -> Shapes:
    """The convex hull of each row of points (k, n, 2); rows of nan alone leave nothing."""
    gone = np.isnan(points[..., 0])
    left = points[~gone.all(axis=1)]
    if len(left) == 0:
        return np.array([], dtype=object)
    gone = np.isnan(left[..., :1])
    first = np.take_along_axis(left, np.argmin(gone, axis=1)[:, :, None], axis=1)
    runs = shapely.linestrings(np.where(gone, first, left))
    return np.atleast_1d(np.asarray(shapely.convex_hull(runs)))
