"""Whether a hole saw can cut a cope: at which angle, how far off centre, with which saw.

A hole saw cuts a round hole of one diameter straight through: it makes a cope against one
straight tube, set at the angle between the tubes, off centre by the distance between their
axes, in one pass where its cup is as deep as the cut is long along the receiver.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.cope import STATIONS
from barwright.geometry.foot import foot_on
from barwright.geometry.path import Straight, point_at, tangent_at
from barwright.geometry.vectors import Floats, unit
from barwright.tubes.bars import Bars, BuiltBar, Bushing, End

CUP = 41.0
"""Depth [mm] of a common hole saw's cup: common practice, no source."""
EIGHTH = 3.175
"""Hole saws come in eighths of an inch: common practice, no source."""
LOOSE = 1.6
"""A saw larger than the tube by more than this [mm] leaves too wide a gap: common practice."""
FLATTEST = math.radians(30.0)
"""A jig holds the tube down to this angle between the axes: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class SawCut:
    """What a hole saw makes of one end.

    Attributes:
        possible: whether a hole saw makes this cope at all.
        one_pass: whether it does in one pass.
        angle: between tube and saw [rad]; 90° is square.
        offset: distance between the two axes [mm].
        saw: diameter of the saw [mm].
        deep: how deep its cup must be [mm].
        why_not: what is in the way, for a person; empty where nothing is.
    """

    possible: bool
    one_pass: bool
    angle: float
    offset: float
    saw: float
    deep: float
    why_not: str = ""


def hole_saw(bars: Bars, bar: BuiltBar, end: End, *, cup: float = CUP) -> SawCut | None:
    """How a hole saw would cut an end; None where no bar or bushing is there to cut for.

    Args:
        bars: all bars, to look up the receiver.
        bar: the bar that is coped.
        end: one of its ends.
        cup: depth of the saw's cup [mm].
    """
    receiver = next((b for b in bars.bars if b.name in end.against), end.bushing)
    if receiver is None:
        return None
    foot = foot_on(receiver.centreline, end.origin)
    way = unit(tangent_at(receiver.centreline, foot.along))
    along, origin = np.array(end.along), np.array(end.origin)
    cross = np.cross(along, way)
    angle = math.asin(min(float(np.linalg.norm(cross)), 1.0))
    at = point_at(receiver.centreline, foot.along)
    offset = abs(float((origin - at) @ unit(cross)))
    saw, deep = saw_for(2.0 * receiver.radius), _deep(bar, end, way)
    trouble = _trouble(bar, end, receiver, angle, saw)
    short = f"the cup must be {deep:.0f} mm deep" if deep > cup else ""
    return SawCut(
        possible=not trouble,
        one_pass=not trouble and not short,
        angle=angle,
        offset=offset,
        saw=saw,
        deep=deep,
        why_not=trouble or short,
    )


def saw_for(od: float) -> float:
    """The smallest saw [mm] in eighths of an inch that is not smaller than a tube.

    >>> round(saw_for(38.1) / 25.4, 3), round(saw_for(45.0) / 25.4, 3)
    (1.5, 1.875)
    """
    return math.ceil(od / EIGHTH - 1e-6) * EIGHTH


def _deep(bar: BuiltBar, end: End, way: Floats) -> float:
    """How long the cut's edge on the skin is along the receiver [mm]."""
    zero, along = np.array(end.zero), np.array(end.along)
    phi = STATIONS[:, None]
    spokes = np.cos(phi) * zero + np.sin(phi) * np.cross(along, zero)
    edge = bar.radius * spokes + end.cope[:, None] * along
    return float(np.ptp(edge @ way))


def _trouble(
    bar: BuiltBar, end: End, receiver: BuiltBar | Bushing, angle: float, saw: float
) -> str:
    """Why no hole saw makes it; empty where one does."""
    bent = any(not isinstance(piece, Straight) for piece in receiver.centreline.pieces)
    if len(end.against) > 1:
        return f"it meets {len(end.against)} tubes, and a saw cuts for one"
    if bent and _near_a_bend(bar, end, receiver):
        return f"{receiver.name} is bent there"
    if receiver.radius < bar.radius:
        return f"{receiver.name} is thinner than the bar"
    if angle < FLATTEST:
        return f"{math.degrees(angle):.0f}° is flatter than a jig holds"
    if saw - 2.0 * receiver.radius > LOOSE:
        return f"no saw comes closer to {2.0 * receiver.radius:.1f} mm than {saw:.1f} mm"
    return ""


def _near_a_bend(bar: BuiltBar, end: End, receiver: BuiltBar | Bushing) -> bool:
    """Whether the receiver bends within the joint."""
    foot = foot_on(receiver.centreline, end.origin).along
    reach = 2.0 * (bar.radius + receiver.radius)
    ways = tangent_at(receiver.centreline, [foot - reach, foot, foot + reach])
    return bool(np.max(np.linalg.norm(ways - ways[1], axis=1)) > 1e-9)
