"""Whether a bar is left once its ends are coped, and whether the cuts can be made well."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.cope import STATIONS
from barwright.geometry.foot import foot_on
from barwright.geometry.points import ahead
from barwright.tubes.bars import BuiltBar, End
from barwright.tubes.meeting import IN_LINE, Contact, Site
from barwright.tubes.shape import Shape

ALONG = 6.0
"""A cope deeper than this many times both radii is no joint any more."""
_TRIED = (0.5, 0.75, 1.0)
HANGS = 1.0
"""A saddle that hangs over by less than this [mm] is dressed with the weld: common practice."""
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
        if _alongside(here, contact, end):
            yield _along(here, contact)
        elif contact.shape.name in end.against and contact.lean < SHALLOW:
            yield _shallow(here, contact)
        elif contact.shape.name in end.against and contact.shape.radius < here.shape.radius - 1e-6:
            yield _wider(here, contact.shape)
        elif by_rule and not end.against and _butted(here, contact):
            yield _butt(here, contact.shape.name)


def open_ends(bars: tuple[BuiltBar, ...]) -> Iterator[Finding]:
    """Ends cut square at a corner where another bar's saddle hangs over past them."""
    for bar in bars:
        for end in (bar.start, bar.finish):
            if not end.against and not np.ptp(end.cope):
                hangs = [(_overhang(bar, end, other, tip), other) for other, tip in _on(bars, bar)]
                deep, other = max(hangs, key=lambda h: h[0], default=(0.0, bar))
                if deep > HANGS:
                    yield _short_of(bar, end, other, deep)


def meets_itself(bar: BuiltBar) -> Iterator[Finding]:
    """Ends of a bar with a twin that lie on the centre plane, where the twin begins."""
    for end in (bar.start, bar.finish):
        if abs(end.origin[1]) < bar.radius and not end.against:
            yield Finding(
                code="tubes.twin",
                level=Level.LOOK,
                subject=f"bar.{bar.name}",
                says=f"{bar.name} ends {abs(end.origin[1]):.1f} mm off the centre plane at "
                f"{end.mark}, where its twin begins: both are cut square, neither is coped.",
                measured=abs(end.origin[1]),
                allowed=bar.radius,
                unit="mm",
                source="geometry",
                remedy="make the two one bar across the vehicle, or miter both",
            )


def _on(bars: tuple[BuiltBar, ...], bar: BuiltBar) -> Iterator[tuple[BuiltBar, End]]:
    """The ends of other bars that are coped against a bar, where either is still to be made."""
    for other in (other for other in bars if not (bar.stands and other.stands)):
        for tip in (other.start, other.finish):
            if bar.name in tip.against:
                yield other, tip


def _overhang(bar: BuiltBar, end: End, other: BuiltBar, tip: End) -> float:
    """How far the edge of a saddle at this end reaches past it, along the bar [mm]."""
    if math.dist(end.origin, tip.origin) > 2.0 * (bar.radius + other.radius):
        return 0.0
    zero, along = np.array(tip.zero), np.array(tip.along)
    spokes = np.outer(np.cos(STATIONS), zero) + np.outer(np.sin(STATIONS), np.cross(along, zero))
    edge = np.array(tip.origin) + other.radius * spokes + tip.cope[:, None] * along
    return float(np.max((edge - end.origin) @ -np.array(end.along)) + end.cope[0])


def _short_of(bar: BuiltBar, end: End, other: BuiltBar, deep: float) -> Finding:
    return Finding(
        code="tubes.corner",
        level=Level.LOOK,
        subject=f"bar.{bar.name}",
        says=f"{bar.name} is cut square at {end.mark}, and the cope of {other.name} reaches "
        f"{deep:.1f} mm past it.",
        measured=deep,
        allowed=0.0,
        unit="mm",
        source="geometry",
        remedy=f"let {bar.name} run {deep - float(end.cope[0]):.1f} mm past {end.mark} (`past` in "
        "its table) and cap it, or miter the two",
    )


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


def _alongside(here: Site, contact: Contact, end: End) -> bool:
    """Whether an end lies in the other bar rather than runs into it."""
    both = ALONG * (here.shape.radius + contact.shape.radius)
    deep = contact.shape.name in end.against and float(np.max(end.cope)) > (
        both + contact.gap + contact.shape.radius
    )
    first = contact.shape.rank < here.shape.rank
    return deep or (
        first and contact.sure and all(_inside(here, contact, share * both) for share in _TRIED)
    )


def _inside(here: Site, contact: Contact, s: float) -> bool:
    """Whether the axis is within the other bar at a distance along it [mm], or at its middle."""
    at = ahead(here.tip.origin, here.tip.along, min(s, here.near))
    return foot_on(contact.shape.centreline, at).distance < contact.shape.radius


def _along(here: Site, contact: Contact) -> Finding:
    name, other = here.shape.name, contact.shape.name
    most = ALONG * (here.shape.radius + contact.shape.radius)
    return Finding(
        code="tubes.along",
        level=Level.MUST,
        subject=f"bar.{name}",
        says=f"{name} runs along {other} from {here.mark} rather than into it: it is not clear "
        f"of it {most:.0f} mm on.",
        allowed=most,
        unit="mm",
        source="six times both radii, about 10° between the tubes: common practice, no source",
        remedy=f"check the marks of {name} and {other}: are both bars meant to lie there?",
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


def _wider(here: Site, other: Shape) -> Finding:
    return Finding(
        code="tubes.wider",
        level=Level.LOOK,
        subject=f"bar.{here.shape.name}",
        says=f"{here.shape.name} is wider than {other.name} that it is coped against at "
        f"{here.mark}: its wall runs past on both sides.",
        measured=2.0 * here.shape.radius,
        allowed=2.0 * other.radius,
        unit="mm",
        source="geometry",
        remedy=f"let {here.shape.name} run through and cope {other.name}, or cap the open sides",
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
