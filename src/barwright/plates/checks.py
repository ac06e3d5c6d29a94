"""What a plate shop would send back: flanges too short, holes too near a bend, loose pieces.

The bounds are the trade's rules of thumb, not a standard's: each finding says so. They are held
in `Limits`, in plate thicknesses, and can be set otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from barwright.findings import Finding, Level
from barwright.geometry.distance import apart
from barwright.plates.folded import Folded, Panel, folded, strip_region
from barwright.plates.gauge import findings as gauge_findings
from barwright.plates.outline import points, region
from barwright.plates.part import Fold, Loop, Part
from barwright.plates.solids import panel_body

PRACTICE = "common practice, no source"


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Bounds in plate thicknesses t; common practice, no source.

    Attributes:
        flange: least flange, from the outside of the bend to its edge.
        hole_to_bend: least from a hole's edge to the bend's tangent line.
        hole: least hole diameter.
        edge: least plate between a hole and an edge.
        radius: least inside bend radius.
    """

    flange: float = 4.0
    hole_to_bend: float = 2.0
    hole: float = 1.0
    edge: float = 1.0
    radius: float = 0.8


def check(parts: tuple[Part, ...], limits: Limits = Limits()) -> tuple[Finding, ...]:
    """The findings about each part by itself."""
    return tuple(f for part in parts for f in check_one(part, limits))


def check_one(part: Part, limits: Limits = Limits()) -> tuple[Finding, ...]:
    """The findings about one part."""
    shape = region(part.outline)
    if not shape.is_valid:
        return (_crossed(part, shape),)
    f = folded(part)
    found = [_loose(part, f), *_flanges(part, f, limits), *_radii(part, limits)]
    found += [x for hole in part.holes for x in _hole(part, hole, shape, limits)]
    found += [*gauge_findings(part), *_grain(part), *_meet(part, f)]
    return tuple(x for x in found if x is not None)


def _crossed(part: Part, shape: BaseGeometry) -> Finding:
    return Finding(
        code="plates.outline",
        level=Level.MUST,
        subject=part.name,
        says=f"The outline crosses itself: {shapely.is_valid_reason(shape)}.",
        remedy="Change the fitting's parameters or the plate's corners so that it runs clear.",
    )


def _loose(part: Part, f: Folded) -> Finding | None:
    if f.loose <= 1.0:
        return None
    return Finding(
        code="plates.fold-across",
        level=Level.MUST,
        subject=part.name,
        says=f"{f.loose:.0f} mm² of the plate hangs past the end of a bend line.",
        measured=f.loose,
        allowed=1.0,
        unit="mm²",
        remedy="Let the bend line run right across the piece it bends, or cut a relief at its end.",
    )


def _flanges(part: Part, f: Folded, limits: Limits) -> list[Finding | None]:
    return [_flange(part, f, i, limits) for i in range(len(f.strips))]


def _flange(part: Part, f: Folded, i: int, limits: Limits) -> Finding | None:
    """The least of the two panels' reach square to the bend, outside of the bend included."""
    s, t = f.strips[i], part.thickness
    reaches = []
    for p in f.panels:
        if p.shape.distance(s.shape) > 1e-3:
            continue
        u = s.across(np.array(p.shape.exterior.coords))
        reaches.append(max(float(u.max()) - s.width, -float(u.min())))
    outside = min(reaches, default=0.0) + s.fold.radius + t
    if outside >= limits.flange * t:
        return None
    return Finding(
        code="plates.flange",
        level=Level.LOOK,
        subject=part.name,
        says=f"A flange is {outside:.1f} mm from the outside of its bend; a press brake wants "
        f"{limits.flange * t:.1f} mm.",
        measured=outside,
        allowed=limits.flange * t,
        unit="mm",
        source=PRACTICE,
        remedy=f"Make the flange {limits.flange * t - outside:.1f} mm longer.",
    )


def _radii(part: Part, limits: Limits) -> list[Finding | None]:
    least = limits.radius * part.thickness
    tight = [f.radius for f in part.folds if f.radius < least - 1e-9]
    if not tight:
        return []
    return [
        Finding(
            code="plates.bend-radius",
            level=Level.LOOK,
            subject=part.name,
            says=f"An inside radius of {min(tight):.1f} mm cracks {part.thickness:.1f} mm plate.",
            measured=min(tight),
            allowed=least,
            unit="mm",
            source=PRACTICE,
            remedy=f"Bend to {least:.1f} mm inside radius or more.",
        )
    ]


def _grain(part: Part) -> list[Finding | None]:
    """Bends along the grain crack first: best across it, at least 30° off it."""
    if part.grain is None:
        return []
    worst = min((_off_grain(f, part.grain) for f in part.folds), default=math.pi / 2.0)
    if worst >= math.radians(30.0):
        return []
    return [
        Finding(
            code="plates.grain",
            level=Level.LOOK,
            subject=part.name,
            says=f"A bend runs {math.degrees(worst):.0f}° off the grain and may crack along it.",
            measured=math.degrees(worst),
            allowed=30.0,
            unit="deg",
            source=PRACTICE,
            remedy=f"Turn the part on the sheet by {30.0 - math.degrees(worst):.0f}° or more.",
        )
    ]


def _off_grain(fold: Fold, grain: float) -> float:
    d = np.subtract(fold.end, fold.start)
    off = abs(math.atan2(float(d[1]), float(d[0])) - grain) % math.pi
    return min(off, math.pi - off)


def _meet(part: Part, f: Folded) -> list[Finding | None]:
    """Panels that are not neighbours must not run into one another once folded."""
    if len(f.panels) < 3:
        return []
    bodies = [panel_body(p, part) for p in f.panels]
    for i, j in combinations(range(len(f.panels)), 2):
        if _neighbours(f, i, j):
            continue
        gap = apart(bodies[i], bodies[j], within=0.05).low
        if gap <= 0.0:
            return [_run_together(part, f.panels[j])]
    return []


def _neighbours(f: Folded, i: int, j: int) -> bool:
    one, two = f.panels[i].shape, f.panels[j].shape
    return any(one.distance(s.shape) < 1e-3 and two.distance(s.shape) < 1e-3 for s in f.strips)


def _run_together(part: Part, panel: Panel) -> Finding:
    c = panel.shape.centroid
    return Finding(
        code="plates.folds-meet",
        level=Level.MUST,
        subject=part.name,
        says=f"Folded, the panel at ({c.x:.1f}, {c.y:.1f}) mm runs into another panel of the part.",
        remedy="Shorten one of the two, or set its bend back.",
    )


def _hole(part: Part, hole: Loop, shape: Polygon, limits: Limits) -> list[Finding | None]:
    ring, t = Polygon(points(hole)), part.thickness
    found: list[Finding | None] = []
    for fold in part.folds:
        gap = ring.distance(strip_region(fold, t))
        if gap < limits.hole_to_bend * t - 1e-6:
            found.append(_near_bend(part, gap, limits.hole_to_bend * t, ring))
    edge = ring.distance(shape.exterior) if shape.contains(ring) else 0.0
    if edge < limits.edge * t - 1e-6:
        found.append(_near_edge(part, edge, limits.edge * t, ring))
    wide = limits.hole * t
    # a shape without holes holds a circle of radius area / length (Bonnesen; from memory)
    if 2.0 * ring.area < wide * ring.length and (small := _least_width(ring)) < wide - 1e-6:
        found.append(_small(part, small, wide))
    return found


def _least_width(ring: Polygon) -> float:
    line = shapely.maximum_inscribed_circle(ring)
    return 2.0 * float(line.length)


def _at(ring: Polygon) -> str:
    return f"at ({ring.centroid.x:.1f}, {ring.centroid.y:.1f}) mm in the flat pattern"


def _near_bend(part: Part, gap: float, need: float, ring: Polygon) -> Finding:
    return Finding(
        code="plates.hole-to-bend",
        level=Level.LOOK,
        subject=part.name,
        says=f"The hole {_at(ring)} is {gap:.1f} mm from a bend and will be drawn out of shape.",
        measured=gap,
        allowed=need,
        unit="mm",
        source=PRACTICE,
        remedy=f"Move it {need - gap:.1f} mm away from the bend.",
    )


def _near_edge(part: Part, gap: float, need: float, ring: Polygon) -> Finding:
    return Finding(
        code="plates.hole-to-edge",
        level=Level.MUST if gap <= 0.0 else Level.LOOK,
        subject=part.name,
        says=f"The hole {_at(ring)} leaves {gap:.1f} mm to the plate's edge.",
        measured=gap,
        allowed=need,
        unit="mm",
        source=PRACTICE,
        remedy=f"Move it {need - gap:.1f} mm inward.",
    )


def _small(part: Part, width: float, need: float) -> Finding:
    return Finding(
        code="plates.hole-size",
        level=Level.LOOK,
        subject=part.name,
        says=f"A hole {width:.1f} mm wide is less than the plate is thick: cutters do not hold it.",
        measured=width,
        allowed=need,
        unit="mm",
        source=PRACTICE,
        remedy=f"Make it {need:.1f} mm or drill it.",
    )
