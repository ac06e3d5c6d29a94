"""Cutting a blank back from what it must keep clear of: tubes it follows, bars that swing through.

Each panel is cut by the shadow within its own thickness, in its own plane; each bend by slices a
few degrees wide, each in the plane that touches it in the middle.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pose import Pose
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats
from barwright.plates.blank import Blank, Region
from barwright.plates.folded import beyond, width_of
from barwright.plates.shadow import bounds, shadow

SLICE = math.radians(10.0)
"""How much of a bend is taken as flat when it is cut [rad]."""


@dataclass(frozen=True, kw_only=True)
class Shadow:
    """What must be cut away.

    Attributes:
        cast: given a plane and two heights above it, what must go, in the plane's x and y.
        near: whether anything of it may reach a box given by points, shape (n, 3).
    """

    cast: Callable[[Pose, tuple[float, float]], BaseGeometry]
    near: Callable[[Floats], bool] = lambda _: True


def following(body: Body, gap: float) -> Shadow:
    """The shadow of a standing body with a weld gap [mm] round it."""

    def cast(plane: Pose, z: tuple[float, float]) -> BaseGeometry:
        dark = shadow(body, plane, z)
        return dark.buffer(gap, quad_segs=64) if gap > 0.0 else dark

    low, high = bounds(body)

    def meets(points: Floats) -> bool:
        a, b = points.min(axis=0) - gap, points.max(axis=0) + gap
        return bool(np.any(np.all((low <= b) & (high >= a), axis=1)))

    return Shadow(cast=cast, near=meets)


def cut(b: Blank, *darks: Shadow) -> Blank:
    """The blank with shadows cut out of every panel and every bend."""
    for dark in darks:
        b = replace(b, regions=tuple(_cut(r, b, dark) for r in b.regions))
    return b


def _cut(region: Region, b: Blank, dark: Shadow) -> Region:
    if region.shape.is_empty:
        return region
    t = b.plate.thickness
    if region.fold is None:
        away = _cast(dark, region.pose, t, region.shape)
    else:
        away = shapely.union_all([_slice(region, b, dark, s, n) for s, n in _slices(region)])
    return replace(region, shape=region.shape.difference(away))


def _cast(dark: Shadow, plane: Pose, thickness: float, within: BaseGeometry) -> BaseGeometry:
    """The shadow on a piece of plate; nothing is worked out where nothing is near."""
    x0, y0, x1, y1 = within.bounds
    box = np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (0.0, thickness)])
    if not dark.near(plane.points(box)):
        return Polygon()
    return dark.cast(plane, (0.0, thickness))


def _slices(region: Region) -> list[tuple[int, int]]:
    fold = region.fold
    assert fold is not None  # noqa: S101 - only strips are sliced
    n = max(1, math.ceil(abs(fold.angle) / SLICE))
    return [(i, n) for i in range(n)]


def _slice(region: Region, b: Blank, dark: Shadow, i: int, n: int) -> BaseGeometry:
    """What is cut from the i-th of n slices of a bend: its shadow within its own band."""
    fold, t = region.fold, b.plate.thickness
    assert fold is not None  # noqa: S101
    width, out = width_of(fold, t), np.array(region.out)
    d = np.array(fold.end) - fold.start
    before = np.array(fold.start) - out * width / 2.0
    share = (i + 0.5) / n
    upto = replace(
        fold,
        start=tuple(before + out * width * share / 2.0),
        end=tuple(before + d + out * width * share / 2.0),
        angle=fold.angle * share,
    )
    plane = beyond(region.pose, upto, region.out, t)
    lo, hi = before + out * width * i / n, before + out * width * (i + 1) / n
    band = Polygon([lo - d, lo + 2 * d, hi + 2 * d, hi - d])
    piece = region.shape & band
    return Polygon() if piece.is_empty else _cast(dark, plane, t, piece) & band
