"""What the person at the bender works by: marks on the straight tube, rolls and set angles.

The bender works from one end of the bar (`bend_from`): the tube is fed past the die, bent, fed
on, rolled and bent again. Distances count from that end of the tube as cut, trim allowance
included. Each bend has a mark where the die's own mark goes: its beginning less the die's start
offset. The roll before a bend is the turn of the table, the same from whichever end: standing
behind the tube and looking at the die, a positive roll is clockwise. (The later bend's plane
lies further round by the right hand about the direction from the end worked from toward the
other; the tube is rolled back by as much, and who stands behind it looks the other way.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.path import BendTable
from barwright.geometry.vectors import Floats
from barwright.job.schema import Bender, Job
from barwright.tubes.bars import BuiltBar
from barwright.tubes.springback import NoAnswer, set_angle


@dataclass(frozen=True, kw_only=True)
class BendStep:
    """One bend.

    Attributes:
        number: from 1, in the order of bending.
        mark: where to put the die's mark [mm from the end worked from].
        begins, ends: where the bend begins and ends on the straight tube [mm].
        straight: straight before it [mm], from the end or from the bend before.
        roll: of the tube before this bend [rad]; 0 at the first.
        roll_arc: the same along the tube's outside [mm], to measure with a tape.
        wanted: bend angle [rad].
        set: what to set [rad]; None where the bender's table does not say.
    """

    number: int
    mark: float
    begins: float
    ends: float
    straight: float
    roll: float
    roll_arc: float
    wanted: float
    set: float | None


@dataclass(frozen=True, kw_only=True)
class BendSheet:
    """How one bar is bent.

    Attributes:
        bar: its name.
        from_end: the end worked from, "from" or "to".
        blank: straight tube to cut [mm], trim allowances included.
        trim_first, trim_last: to be cut off after bending [mm], at the end worked from and at
            the other, so that the bar is left as long as its longest points.
        steps: the bends in order.
        table: straights, bends, turns in that order.
    """

    bar: str
    from_end: str
    blank: float
    trim_first: float
    trim_last: float
    steps: tuple[BendStep, ...]
    table: BendTable


def bend_sheet(job: Job, bar: BuiltBar) -> tuple[BendSheet, tuple[Finding, ...]]:
    """The bend sheet of a bar and what is to be said about it.

    A straight bar has a sheet without steps; that of a bar bent beforehand only tells how it is.
    """
    bender = job.bender.get(bar.stock, Bender(clr=max(bar.table.clr, 1e-9)))
    entry = job.bar[bar.twin_of or bar.name]
    table, first, last = bar.table, _least(bar.start.cope), _least(bar.finish.cope)
    if entry.bend_from == "to":
        table, first, last = reversed_table(table), last, first
    bent = bent_already(job, bar)
    trims = (0.0, 0.0) if bent else trims_for(bender, table, first, last)
    steps, findings = _steps(bender, bar, table, trims[0] - first)
    sheet = BendSheet(
        bar=bar.name,
        from_end=entry.bend_from,
        blank=bar.cut_length + sum(trims),
        trim_first=trims[0],
        trim_last=trims[1],
        steps=steps,
        table=table,
    )
    return sheet, () if bent else findings


def bent_already(job: Job, bar: BuiltBar) -> bool:
    """Whether a bar was bent beforehand; its mirrored twin is still to be made."""
    return not bar.twin_of and job.bar[bar.name].prebent is not None


def to_cut_off(job: Job, bar: BuiltBar) -> tuple[float, float]:
    """What comes off the ends of a bar that was bent beforehand [mm along the tube].

    From the end as it came to the longest point of the end as it is to be: what the straight was
    more than it is to be, and where the cope begins. Less than 0 where it is too short.

    Raises:
        ValueError: the bar was not bent beforehand.
    """
    shape = job.bar[bar.twin_of or bar.name].prebent
    if shape is None:
        raise ValueError(f"{bar.name} was not bent beforehand")
    ends = ((0, bar.start.cope), (-1, bar.finish.cope))
    first, last = (shape.straights[i] - bar.table.straights[i] + _least(c) for i, c in ends)
    return first, last


def reversed_table(table: BendTable) -> BendTable:
    """The table of the same bar worked from the other end."""
    return replace(
        table, straights=table.straights[::-1], bends=table.bends[::-1], turns=table.turns[::-1]
    )


def trims_for(bender: Bender, table: BendTable, first: float, last: float) -> tuple[float, float]:
    """Extra tube [mm] at both ends: the allowance, or what the grip lacks where that is more.

    Args:
        bender: its grip and trim allowance.
        table: in the order of bending.
        first: the least cope position at the end worked from [mm]: how far from the mark the
            tube as coped begins.
        last: the same at the other end.
    """
    if not table.bends:
        return 0.0, 0.0
    lacks = bender.grip - (table.straights[0] - first), bender.grip - (table.straights[-1] - last)
    return max(bender.trim, lacks[0]), max(bender.trim, lacks[1])


def _least(cope: Floats) -> float:
    return float(np.min(cope))


def _steps(
    bender: Bender, bar: BuiltBar, table: BendTable, lead: float
) -> tuple[tuple[BendStep, ...], tuple[Finding, ...]]:
    """The bends in order; `lead` is what lies before the first straight's mark [mm]."""
    steps, findings, at = list[BendStep](), list[Finding](), lead
    turns = (0.0, *table.turns)
    for i, wanted in enumerate(table.bends):
        begins = at + table.straights[i]
        at = begins + table.clr * wanted
        setting, trouble = _setting(bender, bar, i, wanted)
        findings += trouble
        steps.append(
            BendStep(
                number=i + 1,
                mark=begins - bender.start_offset,
                begins=begins,
                ends=at,
                straight=table.straights[i] + (lead if i == 0 else 0.0),
                roll=turns[i],
                roll_arc=turns[i] * bar.radius,
                wanted=wanted,
                set=setting,
            )
        )
    return tuple(steps), (*findings, *_behind(bar, steps))


def _setting(
    bender: Bender, bar: BuiltBar, i: int, wanted: float
) -> tuple[float | None, list[Finding]]:
    try:
        return set_angle(bender, wanted), []
    except NoAnswer as unknown:
        return None, [
            Finding(
                code="tubes.springback",
                level=Level.LOOK,
                subject=f"bar.{bar.name}",
                says=f"{bar.name} bend {i + 1} of {math.degrees(wanted):.1f}°: {unknown}.",
                measured=math.degrees(wanted),
                unit="deg",
                source="the bender's own springback table; it is not guessed beyond its ends",
                remedy=f"test-bend {bar.stock} and write the pair (wanted, set) in its bender",
            )
        ]


def _behind(bar: BuiltBar, steps: list[BendStep]) -> list[Finding]:
    """A mark that falls off the tube's end cannot be made."""
    return [
        Finding(
            code="tubes.mark",
            level=Level.LOOK,
            subject=f"bar.{bar.name}",
            says=f"{bar.name}: the die's mark for bend {step.number} falls {-step.mark:.1f} mm "
            "before the end of the tube.",
            measured=step.mark,
            allowed=0.0,
            unit="mm",
            source="the die's start offset, from the job",
            remedy=f"leave {-step.mark:.1f} mm more to trim, or bend from the other end",
        )
        for step in steps
        if step.mark < 0.0
    ]
