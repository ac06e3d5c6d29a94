"""Where do the frame's nodes lie along each bar? Ends, joints, loads, and fine steps between."""

from __future__ import annotations

import math
from bisect import bisect
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from barwright.geometry.foot import foot_on
from barwright.geometry.path import Arc, Centreline, length, piece_length, point_at
from barwright.geometry.vectors import Floats, Point
from barwright.strength.frame import Ints
from barwright.tubes.bars import BuiltBar

SAME = 0.5
"""Stations closer than this along a bar are one [mm]."""
ARC_STEP = math.radians(15.0)
"""An arc is parted into members of no more than this."""
PARTS = 4
"""A bar has at least this many members, so that its bow under push is seen."""

Station = tuple[str, float]
"""A bar by name, and how far along its centreline [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """The bars cut into members.

    Attributes:
        bars: the bars, in order.
        nodes: shape (n, 3) [mm].
        ends: shape (m, 2), node numbers.
        centres: shape (m, 3), NaN for straight members.
        bar_of: shape (m,), which bar each member is of.
        stations: for each bar, (along [mm], node number) in order.
        joints: for each bar, the stations [mm] that were asked for: ends, joints, loads.
    """

    bars: tuple[BuiltBar, ...]
    nodes: Floats
    ends: Ints
    centres: Floats
    bar_of: Ints
    stations: tuple[tuple[tuple[float, int], ...], ...]
    joints: tuple[tuple[float, ...], ...]

    def node(self, station: Station) -> int:
        """The node at a station that was asked for, or the nearest one."""
        name, along = station
        row = self.stations[self.index(name)]
        at = bisect(row, (along,))
        return min(row[max(at - 1, 0) : at + 1], key=lambda s: abs(s[0] - along))[1]

    def index(self, name: str) -> int:
        """Which bar has that name.

        Raises:
            KeyError: none has.
        """
        return self._places[name]

    @cached_property
    def _places(self) -> dict[str, int]:
        return {bar.name: i for i, bar in enumerate(self.bars)}


def end_station(bar: BuiltBar, *, finish: bool) -> Station:
    """A bar's own end as a station."""
    return (bar.name, length(bar.centreline) if finish else 0.0)


def foot_station(bar: BuiltBar, at: Point) -> tuple[Station, float]:
    """The station of a bar nearest to a point, and how far off the point is [mm]."""
    foot = foot_on(bar.centreline, at)
    return (bar.name, foot.along), foot.distance


def mesh(bars: tuple[BuiltBar, ...], wanted: Iterable[Station]) -> Mesh:
    """Cut the bars into members with nodes at all the stations wanted.

    Args:
        bars: the bars.
        wanted: joints and loads; the bars' ends are always nodes.
    """
    asked = list(wanted)
    nodes: list[Floats] = []
    ends, centres, bar_of = [], [], []
    rows, joints = [], []
    count = 0
    for i, bar in enumerate(bars):
        stops = _merged([0.0, length(bar.centreline), *(s for n, s in asked if n == bar.name)])
        along = _parted(bar.centreline, stops)
        numbers = range(count, count + len(along))
        nodes.append(point_at(bar.centreline, np.array(along)))
        ends += list(pairwise(numbers))
        centres += [_centre(bar.centreline, 0.5 * (a + b)) for a, b in pairwise(along)]
        bar_of += [i] * (len(along) - 1)
        rows.append(tuple(zip(along, numbers, strict=True)))
        joints.append(tuple(stops))
        count += len(along)
    return Mesh(
        bars=bars,
        nodes=np.concatenate(nodes),
        ends=np.array(ends, dtype=np.int64),
        centres=np.array(centres),
        bar_of=np.array(bar_of, dtype=np.int64),
        stations=tuple(rows),
        joints=tuple(joints),
    )


def _merged(stops: list[float]) -> list[float]:
    """In order, those that are the same left out; the last is the bar's own end."""
    end = max(stops[:2])
    kept = [0.0]
    for s in sorted(min(max(s, 0.0), end) for s in stops[1:]):
        if s - kept[-1] > SAME:
            kept.append(s)
    if end - kept[-1] < SAME and len(kept) > 1:
        kept[-1] = end
    return kept


def _parted(line: Centreline, stops: list[float]) -> list[float]:
    """The stops with the bends' ends and the fine steps between them."""
    bounds, travelled = list(stops), 0.0
    arcs: list[tuple[float, float, float]] = []
    for piece in line.pieces:
        span = piece_length(piece)
        if isinstance(piece, Arc):
            arcs.append((travelled, travelled + span, piece.angle / span))
        travelled += span
        bounds.append(travelled)
    edges = _apart(bounds, keep=set(stops))
    longest = travelled / PARTS
    out = [edges[0]]
    for a, b in pairwise(edges):
        bend = next((k for lo, hi, k in arcs if lo - SAME <= a and b <= hi + SAME), 0.0)
        steps = max(math.ceil((b - a) / longest - 1e-9), math.ceil((b - a) * bend / ARC_STEP), 1)
        out += [a + (b - a) * k / steps for k in range(1, steps + 1)]
    return out


def _apart(bounds: list[float], keep: set[float]) -> list[float]:
    """Sorted, and where two are the same the one that was asked for stays."""
    kept: list[float] = []
    for s in sorted(bounds):
        if kept and s - kept[-1] <= SAME:
            if s in keep and kept[-1] not in keep:
                kept[-1] = s
            continue
        kept.append(s)
    return kept


def _centre(line: Centreline, along: float) -> Point:
    """The centre of the arc at a place along; NaN on a straight."""
    travelled = 0.0
    for piece in line.pieces:
        travelled += piece_length(piece)
        if along <= travelled:
            return piece.centre if isinstance(piece, Arc) else (math.nan,) * 3
    return (math.nan,) * 3
