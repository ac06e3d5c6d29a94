"""Outside corners rounded a little: a plate beside a seat must not cut a hand or a sleeve."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely.geometry import Point

from barwright.geometry.vectors import Floats
from barwright.plates.folded import strip_region
from barwright.plates.outline import fillet
from barwright.plates.part import Loop, Part, Vertex

SHARP = math.radians(20.0)
"""A corner that turns by less is no corner to a hand [rad]; common practice, no source."""
SHORTEST = 3.0
"""Edges shorter than this [mm] are left as they are."""


def eased(part: Part, radius: float) -> Part:
    """The part with its outside corners rounded, where two straights meet away from its bends.

    Only taken off, never added. A round takes no more than half of either edge.

    Args:
        part: its outline runs anticlockwise.
        radius: of the rounds [mm]; 0 leaves it as it is.

    >>> from barwright.plates.outline import area, rectangle
    >>> plate = Part(name="p", thickness=3.0, material="", outline=rectangle(0, 0, 30, 20))
    >>> round(area(eased(plate, 2.0).outline), 6) == round(600 - 4 * (4 - math.pi), 6)
    True
    """
    if radius <= 0.0:
        return part
    v = part.outline.vertices
    rows: list[Vertex] = []
    for i, (x, y, bulge) in enumerate(v):
        before, at, after = v[i - 1], np.array([x, y]), np.array(v[(i + 1) % len(v)][:2])
        straight = before[2] == 0.0 == bulge
        if straight and _sharp(np.array(before[:2]), at, after) and _free(part, at, radius):
            rows.extend(fillet(np.array(before[:2]), at, after, radius))
        else:
            rows.append((x, y, bulge))
    return replace(part, outline=Loop(vertices=tuple(rows)))


def _sharp(before: Floats, at: Floats, after: Floats) -> bool:
    """Whether the outline turns left here, sharply, between edges long enough."""
    u, w = at - before, after - at
    if min(np.hypot(*u), np.hypot(*w)) < SHORTEST:
        return False
    return math.atan2(u[0] * w[1] - u[1] * w[0], u @ w) > SHARP


def _free(part: Part, at: Floats, radius: float) -> bool:
    """Whether a corner lies clear of every bend: its ends stay square."""
    dot = Point(at)
    return all(strip_region(f, part.thickness).distance(dot) > radius for f in part.folds)
