"""Whether a bar is left once its ends are coped, and whether the cuts can be made well."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from barwright.findings import Finding, Level
from barwright.tubes.bars import BuiltBar, End
from barwright.tubes.meeting import IN_LINE, contacts, site
from barwright.tubes.shape import Shape

SHALLOW = math.radians(30.0)
"""Below this angle between tubes the heel cannot be welded well: common practice, no source."""


def eaten(shape: Shape, start: End, finish: End) -> Finding | None:
    """The finding when the copes leave no bar, or reach into a bend."""
    for end, straight in zip((start, finish), _end_straights(shape), strict=True):
        deep = float(np.max(end.cope))
        if deep > straight + 1e-9:
            return _into_bend(shape, end, deep, straight)
    left = shape.long - start.cope - np.roll(finish.cope[::-1], 1)
    if float(np.min(left)) <= 0.0:
        return _crossed(shape, float(np.min(left)))
    return None


def cope_findings(bar: BuiltBar, everyone: tuple[Shape, ...]) -> Iterator[Finding]:
    """What a person should look at in a bar's copes."""
    shape = next(shape for shape in everyone if shape.name == bar.name)
    for last, end in enumerate((bar.start, bar.finish)):
        here = site(shape, last=bool(last))
        for met in contacts(here, everyone):
            if met.shape.name in end.against and met.lean < SHALLOW:
                yield _shallow(bar, end, met.shape.name, met.lean)
            elif met.in_line and met.sure:
                yield _butt(bar, end, met.shape.name)


def _end_straights(shape: Shape) -> tuple[float, float]:
    """How far the bar is straight from either end [mm]."""
    table = shape.table
    return table.straights[0], table.straights[-1]


def _into_bend(shape: Shape, end: End, deep: float, straight: float) -> Finding:
    bent = bool(shape.table.bends)
    what = "runs into the bend" if bent else "is longer than the bar"
    return Finding(
        code="tubes.cope",
        level=Level.MUST,
        subject=f"bar.{shape.name}",
        says=f"{shape.name}: the cope at {end.mark} against {', '.join(end.against)} is "
        f"{deep:.1f} mm deep and {what}, {straight:.1f} mm from the mark.",
        measured=deep,
        allowed=straight,
        unit="mm",
        source="geometry: a cope is cut on a straight",
        remedy=f"give the straight at {end.mark} {deep - straight:.1f} mm more, "
        "or meet the tube at a steeper angle",
    )


def _crossed(shape: Shape, left: float) -> Finding:
    return Finding(
        code="tubes.cope",
        level=Level.MUST,
        subject=f"bar.{shape.name}",
        says=f"{shape.name}: the copes at both ends cross by {-left:.1f} mm; no bar is left.",
        measured=left,
        allowed=0.0,
        unit="mm",
        source="geometry",
        remedy=f"move {shape.start} and {shape.finish} apart by {-left:.1f} mm or more",
    )


def _shallow(bar: BuiltBar, end: End, other: str, lean: float) -> Finding:
    return Finding(
        code="tubes.shallow",
        level=Level.LOOK,
        subject=f"bar.{bar.name}",
        says=f"{bar.name} meets {other} at {end.mark} at {math.degrees(lean):.1f}°: "
        "the cope is long and its heel hard to weld.",
        measured=math.degrees(lean),
        allowed=math.degrees(SHALLOW),
        unit="deg",
        source="common practice, no source",
        remedy="meet it at 30° or more, or gusset the heel",
    )


def _butt(bar: BuiltBar, end: End, other: str) -> Finding:
    return Finding(
        code="tubes.butt",
        level=Level.LOOK,
        subject=f"bar.{bar.name}",
        says=f"{bar.name} and {other} end at {end.mark} in one line: cut square, not coped.",
        allowed=math.degrees(IN_LINE),
        unit="deg",
        source="common practice, no source",
        remedy="make them one bar, or splice them over an insert",
    )
