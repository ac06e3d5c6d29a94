"""Where a bar that was bent beforehand stands between its two marks.

Its ends go on the marks: an end straight is trimmed until the ends are as far apart as the
marks. Then the bar may still be spun about the line between the marks. `level` lays the bend
as level as the line allows, bulging away from the vehicle's centre plane (to the left on it);
where the line runs across the vehicle or stands plumb there is no such side, and the bend
bulges forward. An angle counts from there by the right hand about the line from -> to; a mark's
name turns the bulge toward that mark. The bulge is where the bar is farthest from the line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.bending import CannotBend, from_table, table_of
from barwright.geometry.path import BendTable, Centreline, length, moved, point_at, tangent_at
from barwright.geometry.pose import frame
from barwright.geometry.vectors import FORWARD, LEFT, ORIGIN, UP, Floats, rotation, unit
from barwright.job.schema import Bar
from barwright.survey.marks import Marks

CLOSE = 1.0
"""Misfit [mm] that a root gap takes up: common practice, no source."""
_PLUMB = 0.985
"""A line whose vertical share is above this (within 10° of plumb) has no level side."""


class Misfit(Exception):  # noqa: N818 - it says what it is
    """A bar that as bent does not reach from mark to mark; carries the finding."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.says)
        self.finding = finding


@dataclass(frozen=True, kw_only=True)
class Trim:
    """How much is cut off each end [mm], and what is then missing between the marks [mm]."""

    at_from: float
    at_to: float
    misfit: float


def placed(name: str, bar: Bar, marks: Marks, clr: float) -> Centreline:
    """The centreline of a prebent bar, trimmed and placed.

    Raises:
        Misfit: its counts are wrong, or its ends cannot reach both marks.
    """
    table, local = _as_bent(name, bar, clr)
    a, b = np.array(marks.at(bar.from_ or "")), np.array(marks.at(bar.to or ""))
    wanted = float(np.linalg.norm(b - a))
    if wanted <= CLOSE:
        raise Misfit(_finding(name, f"{name}: its two marks coincide.", wanted, 0.0, "move one"))
    trim = trimmed(local, table, wanted, "none" if bar.prebent is None else bar.trim)
    if abs(trim.misfit) > CLOSE:
        raise Misfit(_misfit(name, bar, local, wanted, trim))
    cut = from_table(shortened(table, trim), ORIGIN, FORWARD, LEFT)
    tip, bulge = _tip(cut), _bulge(cut)
    toward = _spun(name, bar, a, b, marks)
    pose = frame(a, b - a, toward).after(frame(ORIGIN, tip, bulge).inverse())
    return moved(cut, pose)


def trimmed(local: Centreline, table: BendTable, wanted: float, where: str) -> Trim:
    """What to cut off so that the ends are `wanted` [mm] apart.

    With v from end to end and w the sum of the trimmed ends' directions, |v - t w| = wanted is
    a quadratic in the trim t; its least root that an end straight can give is taken.

    Args:
        local: the bar as bent.
        table: the same as straights, bends, turns.
        wanted: distance between the marks [mm].
        where: "from", "to", "both" (the same off each) or "none".
    """
    first, last = where in {"from", "both"}, where in {"to", "both"}
    v, ways = _tip(local), tangent_at(local, [0.0, length(local)])
    w = first * ways[0] + last * ways[1]
    room = min(table.straights[0] if first else math.inf, table.straights[-1] if last else math.inf)
    for t in _roots(float(w @ w), float(v @ w), float(v @ v) - wanted**2):
        if -1e-9 <= t <= room + 1e-9:
            cut = max(t, 0.0)
            return Trim(at_from=cut * first, at_to=cut * last, misfit=0.0)
    return Trim(at_from=0.0, at_to=0.0, misfit=wanted - float(np.linalg.norm(v)))


def longer_by(local: Centreline, wanted: float) -> float | None:
    """How much longer [mm] the last straight must be to put the ends `wanted` [mm] apart.

    None where no last straight does it.
    """
    v, w = _tip(local), tangent_at(local, length(local))
    found = [-t for t in _roots(1.0, float(v @ w), float(v @ v) - wanted**2) if t < 0.0]
    return min(found, default=None)


def shortened(table: BendTable, trim: Trim) -> BendTable:
    """The table with its end straights trimmed."""
    straights = list(table.straights)
    straights[0] = max(straights[0] - trim.at_from, 0.0)
    straights[-1] = max(straights[-1] - trim.at_to, 0.0)
    return replace(table, straights=tuple(straights))


def _as_bent(name: str, bar: Bar, clr: float) -> tuple[BendTable, Centreline]:
    made = bar.prebent or bar.table
    assert made is not None  # noqa: S101 - the caller asks only for such bars
    table = BendTable(straights=made.straights, bends=made.bends, turns=made.turns, clr=clr)
    try:
        return table, from_table(table, ORIGIN, FORWARD, LEFT)
    except CannotBend as fault:
        says = f"{name} cannot be bent from its table: {fault}."
        raise Misfit(_finding(name, says, None, None, "correct the table")) from None


def _roots(square: float, half: float, rest: float) -> tuple[float, ...]:
    """The roots of square t² - 2 half t + rest = 0, least first."""
    inside = half * half - square * rest
    if square <= 0.0 or inside < 0.0:
        return ()
    root = math.sqrt(inside)
    return ((half - root) / square, (half + root) / square)


def _tip(line: Centreline) -> Floats:
    """From the first point to the last, (3,) [mm]."""
    ends = point_at(line, [0.0, length(line)])
    return np.asarray(ends[1] - ends[0])


def _bulge(line: Centreline) -> Floats:
    """Where the bar is farthest from the line between its ends, square to that line (3,)."""
    way = unit(_tip(line))
    gap = point_at(line, np.linspace(0.0, length(line), 721)) - point_at(line, 0.0)
    off = gap - (gap @ way)[:, None] * way
    far = off[int(np.argmax(np.sum(off * off, axis=1)))]
    if float(np.linalg.norm(far)) < 1e-6:
        return np.cross(way, LEFT if abs(way[1]) < 0.9 else FORWARD)
    return np.asarray(far)


def _spun(name: str, bar: Bar, a: Floats, b: Floats, marks: Marks) -> Floats:
    """Where the bulge points, (3,).

    Raises:
        Misfit: it is to point toward a mark that shows no side.
    """
    level = level_side(a, b)
    if bar.spin == "level":
        return level
    if isinstance(bar.spin, float):
        return np.asarray(rotation(b - a, bar.spin) @ level)
    if bar.spin not in marks:
        says = f"{name}: no reading says where {bar.spin} is, toward which it is to bulge."
        raise Misfit(_finding(name, says, None, None, f"add readings that tie {bar.spin}"))
    way, toward = unit(b - a), np.array(marks.at(bar.spin)) - a
    side = toward - (toward @ way) * way
    off = float(np.linalg.norm(side))
    if off <= CLOSE:
        says = f"{name}: {bar.spin} lies {off:.1f} mm off its line and shows no side to bulge to."
        raise Misfit(_finding(name, says, off, CLOSE, "name a mark beside the line, or an angle"))
    return np.asarray(side)


def level_side(a: Floats, b: Floats) -> Floats:
    """The level direction square to the line a -> b, out from the centre plane (3,)."""
    way = unit(b - a)
    if abs(way[2]) > _PLUMB:
        ahead = np.array(FORWARD)
        return unit(ahead - (ahead @ way) * way)
    side = unit(np.cross(UP, way))
    if abs(side[1]) < 1e-6 or abs(side[1]) < abs(side[0]) * 0.1:
        return side if side[0] > 0.0 else -side
    outward = -1.0 if (a + b)[1] < -1e-6 else 1.0
    return side if side[1] * outward > 0.0 else -side


def _misfit(name: str, bar: Bar, local: Centreline, wanted: float, trim: Trim) -> Finding:
    has, between = float(np.linalg.norm(_tip(local))), f"between {bar.from_} and {bar.to}"
    more = longer_by(local, wanted)
    if trim.misfit < 0.0:
        says = f"{name} is {-trim.misfit:.1f} mm too long {between}, as bent"
        says += "." if bar.prebent is None else ", and trimming cannot take that up."
        remedy = f"trim another end, or move a mark by {-trim.misfit:.1f} mm"
        less = trimmed(local, table_of(local), wanted, "to").at_to
        if bar.prebent is None and less > 0.0:
            remedy = f"bend one with its last straight {less:.1f} mm shorter, or move a mark"
    elif more is None:
        says = f"{name} is {trim.misfit:.1f} mm too short {between}, and no straight can mend it."
        remedy = f"bend it less, or move a mark by {trim.misfit:.1f} mm"
    else:
        says = f"{name} is {trim.misfit:.1f} mm too short {between}."
        remedy = f"bend one with its last straight {more:.1f} mm longer, or move a mark"
    return _finding(name, says, has, wanted, remedy)


def _finding(
    name: str, says: str, measured: float | None, allowed: float | None, remedy: str
) -> Finding:
    return Finding(
        code="tubes.misfit",
        level=Level.MUST,
        subject=f"bar.{name}",
        says=says,
        measured=measured,
        allowed=allowed,
        unit="mm",
        source="geometry",
        remedy=remedy,
    )
