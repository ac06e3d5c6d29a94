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
from barwright.geometry.vectors import Bools, Floats
from barwright.plates.blank import Blank, Region
from barwright.plates.folded import beyond, width_of
from barwright.plates.part import Fold
from barwright.plates.relief import squared
from barwright.plates.shadow import may_reach, shadow
from barwright.plates.shapes import polygons

SLICE = math.radians(10.0)
"""How much of a bend is taken as flat when it is cut [rad]."""


@dataclass(frozen=True, kw_only=True)
class Shadow:
    """What must be cut away.

    Attributes:
        cast: given a plane, two heights above it and a window in its x and y, what must go, in
            the plane's x and y; what goes outside the window does not count.
        near: which boxes anything of it may reach, shape (n,), given by their corners, shape
            (n, 8, 3): the first corner's neighbours are the second, the third and the fifth.
        relief: how far past a bend's tangent lines a cut through the bend is taken [mm].
    """

    cast: Callable[[Pose, tuple[float, float], Window], BaseGeometry]
    near: Callable[[Floats], Bools] = lambda boxes: np.ones(len(boxes), dtype=bool)
    relief: float = 0.0


def following(body: Body, gap: float) -> Shadow:
    """The shadow of a standing body with a weld gap [mm] round it."""

    def cast(plane: Pose, z: tuple[float, float], window: Window) -> BaseGeometry:
        x0, y0, x1, y1 = window
        dark = shadow(body, plane, z, (x0 - gap, y0 - gap, x1 + gap, y1 + gap))
        return dark if gap <= 0.0 or dark.is_empty else dark.buffer(gap, quad_segs=64)

    return Shadow(cast=cast, near=lambda boxes: may_reach(body, boxes, gap))


def cut(b: Blank, *darks: Shadow) -> Blank:
    """The blank with shadows cut out of every panel and every bend.

    What is cut from a bend is squared off right across it, so that what is left of the bend ends
    square.
    """
    slices = [_slices(r, b.plate.thickness) for r in b.regions]
    boxes = np.array([s.box for some in slices for s in some]).reshape(-1, 8, 3)
    for dark in darks:
        near = iter(dark.near(boxes))
        reached = [[s for s in some if next(near)] for some in slices]
        cut_back = tuple(
            _cut(r, some, b.plate.thickness, dark)
            for r, some in zip(b.regions, reached, strict=True)
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
    """What is taken as flat when it is cut: a panel, or a slice of a bend.

    Attributes:
        plane: the panel's, or the one that touches the bend in the slice's middle.
        band: the slice's band of the flat; None for a panel.
        window: least x and y, greatest x and y of what there is of the flat in it [mm].
        box: the corners of a box that holds it, shape (8, 3) [mm].
    """

    plane: Pose
    band: BaseGeometry | None
    window: Window
    box: Floats


def _slices(region: Region, thickness: float) -> list[_Slice]:
    """A bend in slices; a panel as one."""
    fold = region.fold
    if region.shape.is_empty:
        return []
    if fold is None:
        window = region.shape.bounds
        box = _box(region.pose, window, thickness)
        return [_Slice(plane=region.pose, band=None, window=window, box=box)]
    n = max(1, math.ceil(abs(fold.angle) / SLICE))
    width, out = width_of(fold, thickness), np.array(region.out)
    d = np.array(fold.end) - fold.start
    lines = np.array(fold.start) - out * width / 2.0 + out * width * np.arange(n + 1)[:, None] / n
    lo, hi = lines[:-1], lines[1:]
    corners = np.stack([lo - d, lo + 2 * d, hi + 2 * d, hi - d], axis=1)
    bands = np.asarray(shapely.polygons(corners))
    windows = shapely.bounds(shapely.intersection(region.shape, bands)).tolist()
    planes = [_touching(region, fold, thickness, (i + 0.5) / n) for i in range(n)]
    return [
        _Slice(plane=plane, band=band, window=window, box=_box(plane, window, thickness))
        for plane, band, window in zip(planes, bands, windows, strict=True)
        if not math.isnan(window[0])
    ]


def _touching(region: Region, fold: Fold, thickness: float, share: float) -> Pose:
    """The plane that touches a bend at a share of its turn."""
    width, out = width_of(fold, thickness), np.array(region.out)
    d = np.array(fold.end) - fold.start
    before = np.array(fold.start) - out * width / 2.0
    upto = replace(
        fold,
        start=tuple(before + out * width * share / 2.0),
        end=tuple(before + d + out * width * share / 2.0),
        angle=fold.angle * share,
    )
    return beyond(region.pose, upto, region.out, thickness)


def _box(plane: Pose, window: Window, thickness: float) -> Floats:
    """The corners of a piece of plate's box, shape (8, 3)."""
    x0, y0, x1, y1 = window
    return plane.points([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (0.0, thickness)])


def _cut(region: Region, slices: list[_Slice], thickness: float, dark: Shadow) -> Region:
    """A region less the shadow in those of its slices that it may reach."""
    if not slices:
        return region
    away = shapely.union_all([_cast(dark, s, thickness) for s in slices])
    return region if away.is_empty else replace(region, shape=region.shape.difference(away))


def _cast(dark: Shadow, s: _Slice, thickness: float) -> BaseGeometry:
    """The shadow on a panel, or on a slice of a bend."""
    found = dark.cast(s.plane, (0.0, thickness), s.window)
    return found if s.band is None or found.is_empty else found & s.band
