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
from barwright.geometry.silhouettes import Window
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats
from barwright.plates.blank import Blank, Region
from barwright.plates.folded import beyond, width_of
from barwright.plates.part import Fold
from barwright.plates.relief import squared
from barwright.plates.shadow import bounds, shadow
from barwright.plates.shapes import polygons

SLICE = math.radians(10.0)
"""How much of a bend is taken as flat when it is cut [rad]."""


@dataclass(frozen=True, kw_only=True)
class Shadow:
    """What must be cut away.

    Attributes:
        cast: given a plane, two heights above it and a window in its x and y, what must go, in
            the plane's x and y; what goes outside the window does not count.
        near: whether anything of it may reach a box given by points, shape (n, 3).
        relief: how far past a bend's tangent lines a cut through the bend is taken [mm].
    """

    cast: Callable[[Pose, tuple[float, float], Window], BaseGeometry]
    near: Callable[[Floats], bool] = lambda _: True
    relief: float = 0.0


def following(body: Body, gap: float) -> Shadow:
    """The shadow of a standing body with a weld gap [mm] round it."""

    def cast(plane: Pose, z: tuple[float, float], window: Window) -> BaseGeometry:
        x0, y0, x1, y1 = window
        dark = shadow(body, plane, z, (x0 - gap, y0 - gap, x1 + gap, y1 + gap))
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
    slices = [_slices(r, b.plate.thickness) for r in b.regions]
    for dark in darks:
        cut_back = tuple(
            _cut(r, s, b.plate.thickness, dark) for r, s in zip(b.regions, slices, strict=True)
        )
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


@dataclass(frozen=True, kw_only=True, eq=False)
class _Slice:
    """A slice of a bend: the plane that touches it in its middle, and its band of the flat."""

    plane: Pose
    band: Polygon


def _slices(region: Region, thickness: float) -> list[_Slice]:
    """A bend in slices; none for a panel."""
    fold = region.fold
    if fold is None:
        return []
    n = max(1, math.ceil(abs(fold.angle) / SLICE))
    return [_slice(region, fold, thickness, i, n) for i in range(n)]


def _slice(region: Region, fold: Fold, thickness: float, i: int, n: int) -> _Slice:
    """The i-th of n slices of a bend."""
    width, out = width_of(fold, thickness), np.array(region.out)
    d = np.array(fold.end) - fold.start
    before = np.array(fold.start) - out * width / 2.0
    share = (i + 0.5) / n
    upto = replace(
        fold,
        start=tuple(before + out * width * share / 2.0),
        end=tuple(before + d + out * width * share / 2.0),
        angle=fold.angle * share,
    )
    lo, hi = before + out * width * i / n, before + out * width * (i + 1) / n
    return _Slice(
        plane=beyond(region.pose, upto, region.out, thickness),
        band=Polygon([lo - d, lo + 2 * d, hi + 2 * d, hi - d]),
    )


def _cut(region: Region, slices: list[_Slice], thickness: float, dark: Shadow) -> Region:
    """A region less its shadow; a bend less, in each slice, the slice's shadow."""
    if region.shape.is_empty:
        return region
    if region.fold is None:
        away = _cast(dark, region.pose, thickness, region.shape)
    else:
        pieces = [(s, region.shape & s.band) for s in slices]
        away = shapely.union_all(
            [
                _cast(dark, s.plane, thickness, piece) & s.band
                for s, piece in pieces
                if not piece.is_empty
            ]
        )
    return region if away.is_empty else replace(region, shape=region.shape.difference(away))


def _cast(dark: Shadow, plane: Pose, thickness: float, within: BaseGeometry) -> BaseGeometry:
    """The shadow on a piece of plate; nothing is worked out where nothing is near."""
    x0, y0, x1, y1 = within.bounds
    box = np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (0.0, thickness)])
    if not dark.near(plane.points(box)):
        return Polygon()
    return dark.cast(plane, (0.0, thickness), (x0, y0, x1, y1))
