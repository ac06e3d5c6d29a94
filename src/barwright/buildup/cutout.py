"""What has to be cut out of a plate so that a solid, standing or passing by, has room."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon, box
from shapely.geometry.base import BaseGeometry

from barwright.buildup.fine import ROUGH, panel_prisms
from barwright.buildup.hulls import Hulls, all_prisms, joined
from barwright.buildup.results import Trim
from barwright.geometry.vectors import Floats, cross, square_to
from barwright.plates.folded import Panel, folded_as
from barwright.plates.outline import region
from barwright.plates.part import Part
from barwright.plates.shapes import largest, polygons

CLEAR = 1.0
"""A cut-out stands clear of what passes by this [mm]."""
SIDES = 24
FINE = 2.0
"""How closely the new edge is followed to see how deep it lies [mm]."""


def cut_out(part: Part, solids: Hulls, by: Floats, clear: float = CLEAR) -> BaseGeometry | None:
    """The area to take off a plate, in its own flat frame; None where nothing meets it.

    Args:
        part: the plate.
        solids: what is to have room.
        by: the shift it makes, shape (3,) [mm]; zero where it only stands there.
        clear: room round it [mm].
    """
    whole = region(part.outline, part.holes, off=ROUGH)
    shadows = [
        s
        for p in folded_as(part, whole).panels
        for s in _shadows(p, part.thickness, solids, by, clear)
    ]
    taken = shapely.union_all(shadows).buffer(clear) if shadows else Polygon()
    inside = taken & whole
    return None if inside.area < ROUGH else inside


def _shadows(
    panel: Panel, thickness: float, solids: Hulls, by: Floats, clear: float
) -> list[BaseGeometry]:
    """What of each solid, swept along, lies in a panel's own slab, as flat areas."""
    back = panel.pose.inverse()
    found = []
    for i in range(len(solids)):
        local = back.points(_outline(solids, i))
        swept = np.vstack([local, local + back.directions(by)])
        flat = _in_slab(swept, -clear, thickness + clear)
        if len(flat) > 2:
            hull = MultiPoint(flat).convex_hull
            if hull.distance(panel.shape) <= clear:
                found.append(hull & panel.shape.buffer(2.0 * clear))
    return [f for f in found if f.area > 0.0]


def _outline(solids: Hulls, i: int) -> Floats:
    """Corners of a hull; a rod as a prism round it."""
    corners = solids.corners[i, : solids.sizes[i, 0]]
    if solids.radius[i] == 0.0:
        return corners
    turn = 2.0 * math.pi * np.arange(SIDES) / SIDES
    x = square_to(solids.axis[i])
    ring = np.cos(turn)[:, None] * x + np.sin(turn)[:, None] * cross(solids.axis[i], x)
    out = solids.radius[i] / math.cos(math.pi / SIDES) * ring
    return np.vstack([corners[0] + out, corners[-1] + out])


def _in_slab(points: Floats, low: float, high: float) -> Floats:
    """Flat points whose hull is the shadow of what the points' hull has between two heights."""
    z = points[:, 2]
    rows = [points[(z >= low) & (z <= high), :2]]
    i, j = np.array(list(combinations(range(len(points)), 2))).T
    for level in (low, high):
        cuts = (z[i] - level) * (z[j] - level) < 0.0
        p, q = points[i[cuts]], points[j[cuts]]
        share = (level - p[:, 2]) / (q[:, 2] - p[:, 2])
        rows.append((p + share[:, None] * (q - p))[:, :2])
    return np.vstack(rows)


def without(part: Part, taken: BaseGeometry, *, around: float = math.inf) -> Hulls | None:
    """The plate with an area taken off, as hulls; None where nothing in one piece is left.

    Args:
        part: the plate.
        taken: what comes off, in its own flat frame.
        around: how far from that the plate is given [mm]; all of it by default.
    """
    whole = region(part.outline, part.holes, off=ROUGH)
    left = polygons(whole.difference(taken))
    if not left or left[0].area < 0.98 * sum(p.area for p in left):
        return None
    f = folded_as(part, left[0])
    low_x, low_y, high_x, high_y = taken.bounds
    if math.isfinite(around):
        here = box(low_x - around, low_y - around, high_x + around, high_y + around)
        panels = [replace(p, shape=q) for p in f.panels for q in polygons(p.shape & here)]
    else:
        panels = list(f.panels)
    return joined(*all_prisms([c for p in panels for c in panel_prisms(p, part.thickness)]))


def trim_of(part: Part, taken: BaseGeometry, *, clears: bool) -> Trim:
    """The cut-out in numbers."""
    edge = region(part.outline, part.holes, off=ROUGH).boundary
    ring = shapely.get_exterior_ring(largest(taken).simplify(ROUGH))
    corners = shapely.get_coordinates(ring)[:-1]
    gone = edge & largest(taken).buffer(ROUGH)
    along = shapely.points(shapely.get_coordinates(shapely.segmentize(ring, FINE)))
    deep = float(shapely.distance(edge if gone.is_empty else gone, along).max())
    return Trim(
        part=part.name,
        outline=tuple((float(x), float(y)) for x, y in corners),
        deep=deep,
        area=float(taken.area),
        clears=clears,
    )
