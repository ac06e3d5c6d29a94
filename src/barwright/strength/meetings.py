"""Which places on which bars are welded, hinged or latched together?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from barwright.geometry.vectors import Point, point
from barwright.job.schema import Job, Leaf
from barwright.strength.feet import Feet, feet
from barwright.strength.mesh import Station, end_station, foot_station
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar, End

TOUCH = 3.0
"""An end that is coped against nothing still counts as welded to a tube this close [mm]."""


@dataclass(frozen=True, kw_only=True)
class Weld:
    """A bar's end welded to another bar.

    Attributes:
        end: the bar's end.
        to: the place on the other bar.
        off: how far the two centrelines are apart there [mm].
    """

    end: Station
    to: Station
    off: float


@dataclass(frozen=True, kw_only=True)
class Hanging:
    """How a leaf hangs: hinge and latch.

    Attributes:
        leaf: its name.
        sizes: the leaf whose hardware says its sizes: itself, or the one it mirrors.
        hinge: (leaf's place, standing place).
        through, along: the hinge axis [mm, unit].
        latch: (leaf's place, standing place); None for a leaf without a latch.
        gaps: from the leaf's ends to the standing tubes' surfaces, hinge and latch [mm].
    """

    leaf: str
    sizes: str
    hinge: tuple[Station, Station]
    through: Point
    along: Point
    latch: tuple[Station, Station] | None
    gaps: tuple[float, float] = (0.0, 0.0)


def welds(bars: Bars, motions: tuple[Motion, ...]) -> tuple[Weld, ...]:
    """Every bar end with the bars it is coped against, ends on, or touches."""
    riders = {name: m.leaf for m in motions for name in m.bars}
    ends = [(bar, finish) for bar in bars.bars for finish in (False, True)]
    origins = [(bar.finish if finish else bar.start).origin for bar, finish in ends]
    if not ends:
        return ()
    all_feet = feet(bars, np.array(origins))
    rides = [riders.get(bar.name) for bar in bars.bars]
    found = []
    for at, (bar, finish) in enumerate(ends):
        own = at // 2
        mates = [i for i, leaf in enumerate(rides) if i != own and leaf == rides[own]]
        found += _of_end(_At(bar, finish, at), bars, mates, all_feet)
    return tuple(found)


class _At(NamedTuple):
    """One end of a bar, and its number among all ends."""

    bar: BuiltBar
    finish: bool
    number: int


def _of_end(at: _At, bars: Bars, mates: list[int], all_feet: Feet) -> list[Weld]:
    bar, end = at.bar, at.bar.finish if at.finish else at.bar.start
    here = end_station(bar, finish=at.finish)
    found, touching = [], []
    for i in mates:
        other, off = bars.bars[i], float(all_feet.off[i, at.number])
        shared = end.mark in {other.start.mark, other.finish.mark}
        near = off <= other.radius + bar.radius + TOUCH
        if other.name in end.against or (shared and near):
            found.append(Weld(end=here, to=all_feet.station(i, at.number), off=off))
        elif off <= other.radius + TOUCH:
            touching.append(Weld(end=here, to=all_feet.station(i, at.number), off=off))
    return found or touching


def hangings(job: Job, bars: Bars, motions: tuple[Motion, ...]) -> tuple[Hanging, ...]:
    """How every leaf hangs; a leaf with no standing bar near is left out."""
    riders = {name for m in motions for name in m.bars}
    standing = tuple(b for b in bars.bars if b.name not in riders)
    if not standing:
        return ()
    return tuple(_hanging(job.leaf[m.twin_of or m.leaf], m, bars, standing) for m in motions)


def _hanging(leaf: Leaf, motion: Motion, bars: Bars, standing: tuple[BuiltBar, ...]) -> Hanging:
    own = [bars.named(n) for n in motion.bars]
    ends = [(_off_axis(motion, e.origin), b, f) for b in own for f, e in _ends(b)]
    near = min(ends, key=lambda row: row[0])
    far = max(ends, key=lambda row: row[0])
    use = leaf.hinge.model_dump() if leaf.hinge and not motion.twin_of else {}
    on_latch = leaf.latch or leaf.striker
    latch_use = on_latch.model_dump() if on_latch and not motion.twin_of else {}
    at_hinge, hinge_gap = _nearest(standing, _end(near), use.get("on"))
    latched, latch_gap = None, 0.0
    if on_latch is not None:
        at_latch, latch_gap = _nearest(standing, _end(far), latch_use.get("on"))
        latched = (end_station(far[1], finish=far[2]), at_latch)
    return Hanging(
        leaf=motion.leaf,
        sizes=motion.twin_of or motion.leaf,
        hinge=(end_station(near[1], finish=near[2]), at_hinge),
        through=_on_axis(motion, _end(near)),
        along=motion.along,
        latch=latched,
        gaps=(hinge_gap, latch_gap),
    )


def _ends(bar: BuiltBar) -> tuple[tuple[bool, End], ...]:
    return ((False, bar.start), (True, bar.finish))


def _end(row: tuple[float, BuiltBar, bool]) -> Point:
    return row[1].finish.origin if row[2] else row[1].start.origin


def _nearest(standing: tuple[BuiltBar, ...], at: Point, on: object) -> tuple[Station, float]:
    """The place on the bar named, or on the one whose surface is nearest, and the gap there."""
    named = [b for b in standing if b.name == on]
    rows = [(foot_station(b, at), b.radius) for b in named or standing]
    (station, off), radius = min(rows, key=lambda row: row[0][1] - row[1])
    return station, off - radius


def _off_axis(motion: Motion, at: Point) -> float:
    return math.dist(at, _on_axis(motion, at))


def _on_axis(motion: Motion, at: Point) -> Point:
    through, along = np.array(motion.through), np.array(motion.along)
    return point(through + ((np.array(at) - through) @ along) * along)
