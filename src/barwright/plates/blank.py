"""Building a flat pattern: a base, flanges folded from its edges, and what is cut out of it.

A `Blank` grows by verbs that return a new one. Everything is drawn in the flat pattern's own x
and y; each flange begins at the tangent line of its bend, one bend allowance beyond the edge it
is folded from.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely.geometry import Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pose import Pose
from barwright.geometry.vectors import Floats
from barwright.plates.arcs import loops_of
from barwright.plates.bends import k_factor
from barwright.plates.folded import beyond, strip_region, width_of
from barwright.plates.outline import points
from barwright.plates.part import Etch, Flat, Fold, Loop, Part
from barwright.plates.relief import bend_reliefs
from barwright.plates.shapes import polygons

ROUGH = 0.1
"""How far off its arcs an outline is taken when letters are placed [mm]."""


class NothingLeft(ValueError):  # noqa: N818 - it is what happened
    """A plate that is cut away where it must stay."""


@dataclass(frozen=True, kw_only=True)
class Plate:
    """What a part is cut from: thickness, inside bend radius, kerf [mm]; K-factor; material."""

    thickness: float
    radius: float
    material: str = "a36"
    k: float | None = None
    kerf: float = 0.0
    grain: float | None = None

    @property
    def factor(self) -> float:
        """The K-factor: the sheet's own, or DIN 6935's."""
        return self.k if self.k is not None else k_factor(self.radius, self.thickness)


@dataclass(frozen=True, kw_only=True, eq=False)
class Region:
    """A piece of the flat pattern before cutting: a panel, or the strip of a bend.

    Attributes:
        shape: in the flat pattern's x and y [mm].
        pose: flat frame -> vehicle of the panel (for a strip: of the panel it bends from).
        fold: the bend of a strip; None for a panel.
        out: across the bend, away from the nearer panel.
    """

    shape: BaseGeometry
    pose: Pose
    fold: Fold | None = None
    out: Flat = (0.0, 0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Blank:
    """A flat pattern in the making.

    Attributes:
        plate: what it is cut from.
        regions: panels and strips; the base panel first.
        holes: cut out as they are drawn, arcs exact.
        relief: shapes cut out of everything: bend and corner relief.
    """

    plate: Plate
    regions: tuple[Region, ...]
    holes: tuple[Loop, ...] = ()
    relief: tuple[BaseGeometry, ...] = field(default=())

    def shape(self) -> BaseGeometry:
        """The flat pattern without its holes."""
        pieces = [r.shape.buffer(1e-6, join_style="mitre") for r in self.regions]
        whole = shapely.union_all(pieces).buffer(-1e-6, join_style="mitre")
        return whole.difference(shapely.union_all(self.relief)) if self.relief else whole


def blank(plate: Plate, base: Polygon, placed: Pose) -> Blank:
    """A blank of one flat panel: its shape, and where it stands."""
    return Blank(plate=plate, regions=(Region(shape=base, pose=placed),))


def flange(b: Blank, start: Flat, end: Flat, *, reach: float, angle: float, on: int = 0) -> Blank:
    """The blank with a flange folded from a straight edge, relieved where the edge goes on.

    Args:
        b: what it is folded from.
        start: where the bend's near tangent line begins, on the edge [mm]; the blank lies to the
            left of it, the way an anticlockwise outline runs.
        end: where it ends.
        reach: from the bend's far tangent line to the flange's own edge [mm].
        angle: how far it is folded [rad], up positive.
        on: the region it is folded from: 0 the base, or the index `panels` gives.
    """
    a, d = np.array(start, dtype=float), np.array(end, dtype=float) - start
    out = np.array([d[1], -d[0]]) / math.hypot(*d)
    proto = Fold(start=start, end=end, angle=angle, radius=b.plate.radius, k=b.plate.k)
    width = width_of(proto, b.plate.thickness)
    middle = a + out * width / 2.0
    fold = replace(proto, start=_flat(middle), end=_flat(middle + d))
    away = _flat(out)
    panel = Polygon(
        [
            a + width * out,
            a + (width + reach) * out,
            a + d + (width + reach) * out,
            a + d + width * out,
        ]
    )
    pose = beyond(b.regions[on].pose, fold, away, b.plate.thickness)
    strip = Region(
        shape=strip_region(fold, b.plate.thickness), pose=b.regions[on].pose, fold=fold, out=away
    )
    room = bend_reliefs(
        b.regions[on].shape, start, end, radius=b.plate.radius, thickness=b.plate.thickness
    )
    return replace(
        b,
        regions=(*b.regions, strip, Region(shape=panel, pose=pose)),
        relief=(*b.relief, *room),
    )


def panels(b: Blank) -> tuple[int, ...]:
    """Which regions are panels."""
    return tuple(i for i, r in enumerate(b.regions) if r.fold is None)


def bored(b: Blank, *holes: Loop) -> Blank:
    """The blank with holes."""
    return replace(b, holes=(*b.holes, *holes))


def part_of(
    b: Blank, name: str, *, keep: Flat = (0.0, 0.0), rides: str = "", etch: tuple[Etch, ...] = ()
) -> Part:
    """The blank as a part: one outline with arcs, its folds trimmed to where there is material.

    Args:
        b: the blank.
        name: of the part; etched on it.
        keep: the piece that holds this point is the part; what was cut loose falls away.
        rides: the leaf it swings with.
        etch: marks beside the name and the bends' directions.

    Raises:
        NothingLeft: nothing is left of the plate at `keep`.
    """
    whole = _kept(b.shape(), keep)
    outline, inner = loops_of(whole)
    folds = tuple(f for f in (_trimmed(r, whole, b.plate.thickness) for r in b.regions) if f)
    part = Part(
        name=name,
        thickness=b.plate.thickness,
        material=b.plate.material,
        outline=outline,
        holes=(*b.holes, *inner),
        folds=folds,
        grain=b.plate.grain,
        placed=b.regions[0].pose,
        rides=rides,
    )
    return replace(part, etch=(*etched(part), *etch))


def _kept(shape: BaseGeometry, keep: Flat) -> Polygon:
    pieces = polygons(shape)
    if not pieces:
        raise NothingLeft("nothing is left of the plate")
    best = min(pieces, key=lambda p: (p.distance(Point(keep)), -p.area))
    if best.distance(Point(keep)) > 1.0:
        raise NothingLeft("what must stay of the plate is cut away")
    return best


def _trimmed(region: Region, whole: Polygon, thickness: float) -> Fold | None:
    """The bend's line from where the material begins to where it ends."""
    if region.fold is None:
        return None
    f = region.fold
    band = strip_region(f, thickness) & whole
    if not polygons(band) or band.area < 0.02 * strip_region(f, thickness).area:
        return None
    a, d = np.array(f.start), np.array(f.end) - f.start
    d = d / math.hypot(*d)
    pieces = polygons(band)
    t = np.concatenate([(np.array(g.exterior.coords) - a) @ d for g in pieces])
    return replace(f, start=_flat(a + float(t.min()) * d), end=_flat(a + float(t.max()) * d))


def etched(part: Part) -> tuple[Etch, ...]:
    """The part's name, where there is most room and in letters that fit; none below 2 mm."""
    free = _free(part)
    if free is None:
        return ()
    line = shapely.maximum_inscribed_circle(free)
    (x, y), room = line.coords[0], 2.0 * float(line.length)
    height = min(5.0, max(room / 2.5, 1.4 * room / len(part.name)))
    width = 0.7 * height * len(part.name)
    west, south, east, north = free.bounds
    x = min(max(x - width / 2.0, west + 1.0), max(east - width - 1.0, west + 1.0))
    y = min(max(y - height / 2.0, south + 1.0), north - height - 1.0)
    fits = box(x, y, x + width, y + height).within(free)
    if not fits:
        x, y, height = _smaller(line, part.name)
    return (Etch(text=part.name, at=(x, y), height=height),) if height >= 1.5 else ()


def _smaller(line: BaseGeometry, name: str) -> tuple[float, float, float]:
    """Letters that fit a circle's chord in the widest place, given by a radius of the circle."""
    (x, y), r = line.coords[0], float(line.length)
    height = 2.0 * r / math.hypot(0.7 * len(name), 1.0)
    return x - 0.35 * height * len(name), y - height / 2.0, height


def _free(part: Part) -> Polygon | None:
    """The largest piece of the flat pattern clear of holes and bends."""
    bands = [strip_region(f, part.thickness).buffer(0.5) for f in part.folds]
    holes = [Polygon(points(h, off=ROUGH)).buffer(1.0) for h in part.holes]
    whole = Polygon(points(part.outline, off=ROUGH))
    return next(iter(polygons(whole.difference(shapely.union_all([*bands, *holes])))), None)


def _flat(v: Floats) -> Flat:
    return (float(v[0]), float(v[1]))


__all__ = ["Blank", "Plate", "Region", "blank", "bored", "etched", "flange", "panels", "part_of"]
