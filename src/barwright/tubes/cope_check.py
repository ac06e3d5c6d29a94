"""Whether a bar is left once its ends are coped, and whether the cuts can be made well."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from barwright.findings import Finding, Level
from barwright.tubes.bars import End
from barwright.tubes.meeting import IN_LINE, Contact, Site
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


def end_findings(
    here: Site, met: tuple[Contact, ...], end: End, *, by_rule: bool
) -> Iterator[Finding]:
    """What a person should look at in one coped end.

    Args:
        here: the end before it is coped.
        met: the other bars there.
        end: the end coped.
        by_rule: whether it was coped by the default rather than by what the job says.
    """
    for contact in met:
        if contact.shape.name in end.against and contact.lean < SHALLOW:
            yield _shallow(here, contact)
        elif by_rule and not end.against and _butted(here, contact):
            yield _butt(here, contact.shape.name)


def _butted(here: Site, contact: Contact) -> bool:
    """Whether the end runs on in line into a bar written before it: one finding for the two."""
    return contact.in_line and contact.sure and contact.shape.rank < here.shape.rank


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


def _shallow(here: Site, contact: Contact) -> Finding:
    lean, name = contact.lean, here.shape.name
    return Finding(
        code="tubes.shallow",
        level=Level.LOOK,
        subject=f"bar.{name}",
        says=f"{name} meets {contact.shape.name} at {here.mark} at {math.degrees(lean):.1f}°: "
        "the cope is long and its heel hard to weld.",
        measured=math.degrees(lean),
        allowed=math.degrees(SHALLOW),
        unit="deg",
        source="common practice, no source",
        remedy="meet it at 30° or more, or gusset the heel",
    )


def _butt(here: Site, other: str) -> Finding:
    name = here.shape.name
    return Finding(
        code="tubes.butt",
        level=Level.LOOK,
        subject=f"bar.{name}",
        says=f"{name} and {other} end at {here.mark} in one line: cut square, not coped.",
        allowed=math.degrees(IN_LINE),
        unit="deg",
        source="common practice, no source",
        remedy="make them one bar, or splice them over an insert",
    )
