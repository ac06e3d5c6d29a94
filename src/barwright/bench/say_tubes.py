"""Operation 2 for the page: each bar's cut, bends and coped ends."""

from __future__ import annotations

import math
from typing import Any

from barwright.job.schema import Job
from barwright.pack.wrap import wraps_of
from barwright.tubes.bars import Bars, BuiltBar, End
from barwright.tubes.bend_sheet import BendStep, bend_sheet, bent_already


def tubes(job: Job, bars: Bars) -> dict[str, Any]:
    """Every bar: those to be made in the order of the job, then those that stand already."""
    ordered = sorted(bars.bars, key=lambda bar: bar.stands)
    return {"bars": [_bar(job, bar) for bar in ordered]}


def _bar(job: Job, bar: BuiltBar) -> dict[str, Any]:
    sheet, _ = bend_sheet(job, bar)
    return {
        "name": bar.name,
        "stock": bar.stock,
        "od": 2.0 * bar.radius,
        "wall": bar.wall,
        "cut": bar.cut_length,
        "blank": sheet.blank,
        "mass": bar.mass,
        "clr": bar.table.clr,
        "straights": sheet.table.straights,
        "from_end": sheet.from_end,
        "trims": (sheet.trim_first, sheet.trim_last),
        "steps": [_step(s) for s in sheet.steps],
        "prebent": bent_already(job, bar),
        "stands": bar.stands,
        "twin_of": bar.twin_of,
        "ends": {"from": _end(bar.start), "to": _end(bar.finish)},
        "wraps": [w.end for w in wraps_of(bar)],
    }


def _step(step: BendStep) -> dict[str, Any]:
    return {
        "n": step.number,
        "mark": step.mark,
        "straight": step.straight,
        "roll": math.degrees(step.roll),
        "roll_arc": step.roll_arc,
        "wanted": math.degrees(step.wanted),
        "set": None if step.set is None else math.degrees(step.set),
    }


def _end(end: End) -> dict[str, Any]:
    return {"mark": end.mark, "against": end.against}
