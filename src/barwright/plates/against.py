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
from barwright.plates.relief import squared
from barwright.plates.shadow import bounds, shadow
from barwright.plates.shapes import polygons

SLICE = math.radians(10.0)
"""How much of a bend is taken as flat when it is cut [rad]."""


@dataclass(frozen=True, kw_only=True)
class Shadow:
    """What must be cut away.

    Attributes:
        cast: given a plane and two heights above it, what must go, in the plane's x and y.
        near: whether anything of it may reach a box given by points, shape (n, 3).
        relief: how far past a bend's tangent lines a cut through the bend is taken [mm].
    """

    cast: Callable[[Pose, tuple[float, float]], BaseGeometry]
    near: Callable[[Floats], bool] = lambda _: True
    relief: float = 0.0


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
    """The blank with shadows cut out of every panel and every bend.

    What is cut from a bend is squared off right across it, so that what is left of the bend ends
    square.
    """
    for dark in darks:
        cut_back = tuple(_cut(r, b, dark) for r in b.regions)
        room = [s for r, c in zip(b.regions, cut_back, strict=True) for s in _room(r, c, b, dark)]
        b = replace(b, regions=cut_back, relief=(*b.relief, *room))
    return b


def _room(before: Region, after: Region, b: Blank, dark: Shadow) -> tuple[Polygon, ...]:
    """The squared-off cuts through a bend."""
    fold = before.fold
    if fold is None:
        return ()
    gone = polygons(before.shape.difference(after.shape))
    if not gone:
        return ()
    width, out = width_of(fold, b.plate.thickness), np.array(before.out)
    d = np.array(fold.end) - fold.start
    start = np.array(fold.start) - out * width / 2.0
    return squared(
        gone,
        start=(float(start[0]), float(start[1])),
        along=d / np.hypot(*d),
        out=out,
        width=width,
        past=dark.relief,
    )


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
