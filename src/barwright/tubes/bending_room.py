"""Whether a bar can swing free in the bender: against itself, the bender's bed and the floor.

The machine stands still: the tube comes along +x with its centre at height 0, bends begin at
x = 0 in the level plane toward +y (seen from above, to the left), and the part already bent
swings round with the die. While it swings no point of it changes height, so the floor is an
exact check; the bed and the straight tube behind are held clear of the swinging part's
centreline, sampled every few millimetres and fractions of a degree, with what lies between
samples added to the tube's radius: a clash cannot slip through, a near miss may be reported.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.bending import from_table
from barwright.geometry.path import BendTable, Centreline, length, point_at, tangent_at
from barwright.geometry.vectors import FORWARD, LEFT, ORIGIN, Floats
from barwright.job.schema import Bender

_STEP = 4.0
"""Distance [mm] between samples along the tube."""
_TURNS = 90
"""Steps into which each bend is divided."""


@dataclass(frozen=True, kw_only=True)
class Clash:
    """What the swinging part runs into.

    Attributes:
        bend: which bend, from 1 in the order of bending.
        what: "floor", "bed" or "itself".
        deep: how deep it would get [mm].
    """

    bend: int
    what: str
    deep: float


def clashes(table: BendTable, radius: float, bender: Bender, after: float) -> tuple[Clash, ...]:
    """What a bar meets while it is bent, in the order of its table.

    Args:
        table: straights, bends, turns in the order of bending; trims included.
        radius: of the tube [mm].
        bender: floor height, bed length, width and drop [mm].
        after: straight tube behind the last bend [mm].
    """
    found = list[Clash]()
    for i, angle in enumerate(table.bends):
        ahead, behind = _ahead(table, i), _left(table, i, after)
        found += _floor(ahead, radius, bender, i + 1)
        swept, slack = _swept(ahead, table.clr, angle)
        found += _itself(swept, slack, radius, i + 1, behind)
        found += _bed(swept, slack, radius, bender, i + 1)
    return tuple(found)


def room_findings(name: str, table: BendTable, radius: float, bender: Bender) -> Iterator[Finding]:
    """What is to be said about a bar in the bender, and whether the other end serves better."""
    met = clashes(table, radius, bender, table.straights[-1])
    if not met:
        return
    other = replace(
        table, straights=table.straights[::-1], bends=table.bends[::-1], turns=table.turns[::-1]
    )
    free = not clashes(other, radius, bender, other.straights[-1])
    for clash in met:
        where = {"itself": "the tube behind it"}.get(clash.what, f"the {clash.what}")
        yield Finding(
            code="tubes.bender",
            level=Level.LOOK,
            subject=f"bar.{name}",
            says=f"{name}: at bend {clash.bend} the part already bent runs {clash.deep:.0f} mm "
            f"into {where}.",
            measured=clash.deep,
            allowed=0.0,
            unit="mm",
            source="the bender's floor height and bed, from the job",
            remedy="bend it from the other end, which is free"
            if free
            else "bend it in two parts, or raise the bender",
        )


def _left(table: BendTable, i: int, after: float) -> float:
    """Straight tube behind bend i [mm]: what is not bent yet."""
    rest = math.fsum(table.straights[i + 1 : -1]) + after
    return rest + table.clr * math.fsum(table.bends[i + 1 :])


def _ahead(table: BendTable, i: int) -> Floats:
    """The part already bent when bend i begins, (n, 3): the machine's frame, x < 0 turned ahead.

    The bar is laid out from its first end; then the straight that enters bend i is put on the
    x axis, ending at the die, with bend i's plane level.
    """
    part = BendTable(
        straights=table.straights[: i + 1],
        bends=table.bends[:i],
        turns=table.turns[: max(i - 1, 0)],
        clr=table.clr,
    )
    probe = replace(
        part,
        straights=(*part.straights, 1.0),
        bends=(*part.bends, 0.5),
        turns=table.turns[:i],
    )
    line = from_table(probe, ORIGIN, FORWARD, LEFT)
    done = length(from_table(part, ORIGIN, FORWARD, LEFT))
    s = np.linspace(0.0, done, max(int(done / _STEP), 2) + 1)
    origin, way, into = _entry(line, done, probe.clr)
    gap = point_at(line, s) - origin
    return np.column_stack([-(gap @ way), gap @ into, -(gap @ np.cross(way, into))])


def _entry(line: Centreline, done: float, clr: float) -> tuple[Floats, Floats, Floats]:
    """Where bend i begins, its direction of travel and toward where it bends."""
    way = tangent_at(line, done)
    after = tangent_at(line, done + 0.5 * clr)
    into = after - (after @ way) * way
    return point_at(line, done), way, into / np.linalg.norm(into)


def _floor(ahead: Floats, radius: float, bender: Bender, bend: int) -> Iterator[Clash]:
    """The floor under the bent part; its heights stay as they are while it swings."""
    if bender.floor is not None:
        deep = float(np.max(-ahead[:, 2])) + radius - bender.floor
        if deep > 0.0:
            yield Clash(bend=bend, what="floor", deep=deep)


def _swept(ahead: Floats, clr: float, angle: float) -> tuple[Floats, Floats]:
    """Where the bent part gets, (turns, n, 3), and what lies between samples (n,) [mm]."""
    turns = np.linspace(0.0, angle, _TURNS + 1)
    x, y = ahead[:, 0], ahead[:, 1] - clr
    c, s = np.cos(turns)[:, None], np.sin(turns)[:, None]
    z = np.broadcast_to(ahead[:, 2], (len(turns), len(x)))
    slack = _STEP / 2.0 + np.hypot(x, y) * angle / _TURNS / 2.0
    return np.stack([c * x - s * y, clr + s * x + c * y, z], axis=-1), slack


def _itself(at: Floats, slack: Floats, radius: float, bend: int, behind: float) -> Iterator[Clash]:
    """The straight tube behind the die; what is within a diameter of the die is the bend."""
    own = at[..., 0] < -2.0 * radius
    past = at[..., 0] - np.clip(at[..., 0], -behind, 0.0)
    off = np.sqrt(at[..., 1] ** 2 + at[..., 2] ** 2 + past**2)
    deep = np.where(own, 2.0 * radius + slack - off, -np.inf)
    if float(np.max(deep)) > 0.0:
        yield Clash(bend=bend, what="itself", deep=float(np.max(deep)))


def _bed(at: Floats, slack: Floats, radius: float, bender: Bender, bend: int) -> Iterator[Clash]:
    """The bed behind the die: a box beneath the straight tube."""
    if bender.bed <= 0.0:
        return
    x = np.clip(at[..., 0], -bender.bed, 0.0) - at[..., 0]
    y = np.maximum(np.abs(at[..., 1]) - bender.bed_width / 2.0, 0.0)
    z = np.maximum(at[..., 2] + bender.bed_drop, 0.0)
    deep = float(np.max(radius + slack - np.sqrt(x * x + y * y + z * z)))
    if deep > 0.0:
        yield Clash(bend=bend, what="bed", deep=deep)
