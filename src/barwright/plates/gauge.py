"""Break-off tabs: an edge parallel to the bend where the part itself has none.

A press brake gauges on an edge parallel to the bend. A flange cut off askew, or by a tube or a
mouth, has none; so it is cut with a strip beyond it, hung on two necks, that is broken off and
ground smooth once the bend is made. Common practice, no source. The part's own outline stays as
it will be; `as_cut` gives the outline to cut.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from barwright.findings import Finding, Level
from barwright.geometry.vectors import Floats
from barwright.plates.arcs import loops_of
from barwright.plates.folded import Panel, Strip, folded
from barwright.plates.outline import points, region
from barwright.plates.part import Part
from barwright.plates.shapes import largest, polygons

PRACTICE = "common practice, no source"
PARALLEL = math.radians(0.25)
"""How far an edge may be off the bend's direction and still be gauged on [rad]."""
SHARE, LEAST = 0.4, 12.0
"""Least edge to gauge on: a share of the bend's length, and no less than this [mm]."""
DEEP = 10.0
"""Depth of a break-off strip [mm]."""


def gauged(part: Part) -> Part:
    """The part with the break-off tabs its bends need; its outline is left as it is."""
    tabs = [t for s in folded(part).strips if (t := _needed(part, s)) is not None]
    loops = tuple(loops_of(t)[0] for t in tabs)
    return replace(part, gauge=loops) if loops else part


def as_cut(part: Part) -> Part:
    """The part with its break-off tabs joined to its outline: what is sent to be cut.

    >>> from barwright.plates.outline import rectangle
    >>> plain = Part(name="p", thickness=2.0, material="", outline=rectangle(0, 0, 9, 9))
    >>> as_cut(plain) is plain
    True
    """
    if not part.gauge:
        return part
    whole: BaseGeometry = region(part.outline)
    for loop in part.gauge:
        whole = whole.union(Polygon(points(loop)).buffer(1e-6, join_style="mitre"))
    outline, inner = loops_of(largest(whole))
    return replace(part, outline=outline, holes=(*part.holes, *inner), gauge=())


def findings(part: Part) -> tuple[Finding, ...]:
    """Says that there are tabs to break off."""
    if not part.gauge:
        return ()
    return (
        Finding(
            code="plates.gauge-tab",
            level=Level.GOOD,
            subject=part.name,
            says=f"{len(part.gauge)} break-off tab gives the brake an edge parallel to the bend.",
            measured=float(len(part.gauge)),
            source=PRACTICE,
            remedy="Break it off after bending and grind the necks smooth.",
        ),
    )


def _needed(part: Part, strip: Strip) -> Polygon | None:
    """The break-off tab a bend needs; None where either side has an edge to gauge on."""
    sides = [p for p in folded(part).panels if p.shape.distance(strip.shape) < 1e-3]
    along = np.array(strip.fold.end) - strip.fold.start
    long = float(np.hypot(*along))
    need = max(SHARE * long, LEAST)
    if any(_parallel(p, strip, along / long) >= need for p in sides):
        return None
    for panel in sorted(sides, key=lambda p: p.shape.area):
        tab = _tab(part, panel, strip, along / long)
        if tab is not None:
            return tab
    return None


def _parallel(panel: Panel, strip: Strip, along: Floats) -> float:
    """The most straight edge parallel to the bend at one distance from it [mm]."""
    ring = np.array(panel.shape.exterior.coords)
    d = np.diff(ring, axis=0)
    size = np.hypot(*d.T)
    u = strip.across((ring[:-1] + ring[1:]) / 2.0)
    off = np.maximum(-u, u - strip.width)
    leans = np.abs(d[:, 0] * along[1] - d[:, 1] * along[0])
    there = (size >= 1.0) & (off >= 1.0) & (leans <= size * math.sin(PARALLEL))
    if not there.any():
        return 0.0
    _, at = np.unique(off[there].round(1), return_inverse=True)
    return float(np.bincount(at, weights=size[there]).max())


def _tab(part: Part, panel: Panel, strip: Strip, along: Floats) -> Polygon | None:
    """A strip beyond a panel, parallel to the bend, on two necks; None where it meets the part."""
    t = part.thickness
    u = strip.across(np.array(panel.shape.exterior.coords))
    beyond = float(u.max()) > strip.width + 1e-3
    out = np.array(strip.out) * (1.0 if beyond else -1.0)
    far = float(u.max()) - strip.width if beyond else -float(u.min())
    edge = strip.width / 2.0 + far + 1.5 * t
    a, b = np.array(strip.fold.start), np.array(strip.fold.end)
    bar = Polygon(
        [a + edge * out, b + edge * out, b + (edge + DEEP) * out, a + (edge + DEEP) * out]
    )
    necks = [
        _neck(panel, a + s * (b - a), along * t / 2.0, (edge + 0.5) * out) for s in (0.15, 0.85)
    ]
    found = [n for n in necks if n is not None]
    if len(found) < 2:
        return None
    whole = bar.union(found[0]).union(found[1])
    rest = region(part.outline).difference(panel.shape.buffer(0.5))
    if whole.buffer(0.5 * t).intersects(rest.difference(strip.shape.buffer(0.5))):
        return None
    return largest(whole)


def _neck(panel: Panel, foot: Floats, half: Floats, up: Floats) -> Polygon | None:
    """From the strip back to the panel's edge and 0.2 mm into it; None where it meets nothing."""
    lane = Polygon([foot - half, foot + half, foot + half + up, foot - half + up])
    if not polygons(panel.shape & lane, least=0.05):
        return None
    free = polygons(lane.difference(panel.shape.buffer(-0.2)))
    return next((p for p in free if p.distance(Point(foot + up)) < 0.3), None)
