"""Tabs and the slots they enter: sizes with clearance and kerf, and where the slot goes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pose import Pose
from barwright.plates.outline import moved, rectangle
from barwright.plates.part import Flat, Loop, Part
from barwright.plates.shadow import shadow
from barwright.plates.solids import exact_body

SKIN = 0.02
"""What lies this near to a plate's faces [mm] touches it and does not stand in it."""


@dataclass(frozen=True, kw_only=True)
class Tab:
    """A tab on a straight edge.

    Attributes:
        foot: middle of the tab on the edge, in its own plate's flat frame [mm].
        along: unit direction of the edge.
        out: unit direction in which it stands out.
        width: along the edge [mm].
        height: how far it stands out [mm]: the other plate's thickness and what stays proud.
    """

    foot: Flat
    along: Flat
    out: Flat
    width: float
    height: float


def drawn_slot(*, thickness: float, clearance: float, kerf: float = 0.0) -> float:
    """The slot's width as drawn [mm] for a tab of this thickness: t + c - kerf.

    The kerf is taken off where the cutter's path runs on the drawn line; with a path that the
    service offsets itself, kerf is 0.

    >>> round(drawn_slot(thickness=3.0, clearance=0.2, kerf=0.3), 9)
    2.9
    """
    return thickness + clearance - kerf


def with_tab(shape: Polygon, tab: Tab) -> BaseGeometry:
    """The outline with the tab joined on."""
    f, a, o = (np.array(v) for v in (tab.foot, tab.along, tab.out))
    w, deep = a * tab.width / 2.0, 0.5 * o
    corners = [f - w - deep, f + w - deep, f + w + tab.height * o, f - w + tab.height * o]
    return shape.union(Polygon(corners))


def slot_for(tab: Tab, *, thickness: float, tabbed: Pose, slotted: Pose, clearance: float) -> Loop:
    """The slot a tab needs in another plate, as a hole in that plate's flat frame.

    Args:
        tab: in its own plate's flat frame.
        thickness: of the plate with the tab [mm].
        tabbed: pose of the panel with the tab, on the vehicle.
        slotted: pose of the panel with the slot.
        clearance: in all, along and across [mm].
    """
    home = slotted.inverse()
    middle = home.points(tabbed.points((*tab.foot, thickness / 2.0)))
    along = home.directions(tabbed.directions((*tab.along, 0.0)))
    turn = math.atan2(float(along[1]), float(along[0]))
    x = (tab.width + clearance) / 2.0
    y = drawn_slot(thickness=thickness, clearance=clearance) / 2.0
    hole = moved(rectangle(-x, -y, x, y), turn=turn, shift=(float(middle[0]), float(middle[1])))
    return Loop(vertices=tuple(reversed(hole.vertices)))


def overlap(tabbed: Part, slotted: Part, pose: Pose, panel: Polygon) -> float:
    """How much of a tabbed plate stands in another plate's material [mm²]: 0 when it enters.

    Args:
        tabbed: the plate with tabs.
        slotted: the plate with slots.
        pose: where the slotted plate's panel stands.
        panel: its shape with its holes, in its flat frame.
    """
    dark = shadow(exact_body(tabbed), pose, (SKIN, slotted.thickness - SKIN))
    return float((dark & panel).area)
