"""The coped ends as a table for a laser or plasma cutter that turns the tube under its beam."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barwright.pack.ends import is_square
from barwright.pack.tables import Column, table
from barwright.pack.units import in_unit, number
from barwright.tubes.bend_sheet import bend_sheet, bent_already
from barwright.tubes.wrap import rotary

if TYPE_CHECKING:
    from barwright.route import Build
    from barwright.tubes.bars import BuiltBar


def rotary_cuts(build: Build) -> bytes | None:
    """One row a degree round each tube that is sawn to length and coped; None where none is.

    The degrees count from the line scribed along the tube, by the right hand about "from" toward
    "to"; both columns from the longest point of the "from" end, along the straight tube before
    it is bent. The beam's middle runs on the line: offset it toward the waste by half its kerf.
    A tube that is trimmed after bending is coped by its templates.
    """
    bars = [bar for bar in build.bars.to_make if _cut_so(build, bar)]
    unit = build.job.job.unit
    return table([row for bar in bars for row in _rows(bar, unit)]) if bars else None


def _cut_so(build: Build, bar: BuiltBar) -> bool:
    """Whether a bar's ends can be cut on the straight tube, and are not square both."""
    if bent_already(build.job, bar) or (is_square(bar.start) and is_square(bar.finish)):
        return False
    sheet, _ = bend_sheet(build.job, bar)
    return sheet.trim_first == sheet.trim_last == 0.0


def _rows(bar: BuiltBar, unit: str) -> list[list[Column]]:
    return [
        [
            ("bar", bar.name),
            ("round [deg]", number(degree, 0)),
            ("“from” end at [mm]", number(first, 2)),
            ("“to” end at [mm]", number(last, 2)),
            (f"“from” end at [{unit}]", in_unit(first, unit)),
            (f"“to” end at [{unit}]", in_unit(last, unit)),
        ]
        for degree, first, last in rotary(bar)
    ]


__all__ = ["rotary_cuts"]
