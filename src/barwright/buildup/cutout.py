"""What has to be cut out of a plate so that a solid, standing or passing by, has room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from barwright.buildup.fine import ROUGH, fine_panels, fine_region, panel_prisms
from barwright.buildup.hulls import Hulls, Pieces, made_of
from barwright.buildup.results import Trim
from barwright.geometry.vectors import Floats, cross, square_to
from barwright.plates.folded import Panel
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
    corners = [_outline(solids, i) for i in range(len(solids))]
    shadows = [
        s for p in fine_panels(part) for s in _shadows(p, part.thickness, corners, by, clear)
    ]
    taken = shapely.union_all(shadows).buffer(clear) if shadows else Polygon()
    inside = taken & fine_region(part)
    return None if inside.area < ROUGH else inside


def _shadows(
    panel: Panel, thickness: float, solids: Sequence[Floats], by: Floats, clear: float
) -> list[BaseGeometry]:
    """What of each solid, swept along, lies in a panel's own slab, as flat areas."""
    back = panel.pose.inverse()
    shift = back.directions(by)
    flat = []
    for corners in solids:
        local = back.points(corners)
        swept = np.vstack([local, local + shift]) if by.any() else local
        inside = _in_slab(swept, -clear, thickness + clear)
        if len(inside) > 2:
            flat.append(shapely.linestrings(inside))
    hulls = shapely.convex_hull(np.array(flat, dtype=object))
    near = hulls[shapely.dwithin(hulls, panel.shape, clear)]
    if len(near) == 0:
        return []
    found = shapely.intersection(near, panel.shape.buffer(2.0 * clear))
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
    for level in (low, high):
        under, over = points[z < level], points[z > level]
        p, q = np.repeat(under, len(over), axis=0), np.tile(over, (len(under), 1))
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
    left = polygons(fine_region(part).difference(taken))
    if not left or left[0].area < 0.98 * sum(p.area for p in left):
        return None
    here: BaseGeometry = left[0]
    if math.isfinite(around):
        low_x, low_y, high_x, high_y = taken.bounds
        here &= box(low_x - around, low_y - around, high_x + around, high_y + around)
    panels = [replace(p, shape=q) for p in fine_panels(part) for q in polygons(p.shape & here)]
    return made_of([Pieces(straight=[c for p in panels for c in panel_prisms(p, part.thickness)])])


def trim_of(part: Part, taken: BaseGeometry, *, clears: bool) -> Trim:
    """The cut-out in numbers."""
    edge = fine_region(part).boundary
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
