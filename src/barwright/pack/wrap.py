"""The paper template that wraps round a tube's end: where to cut, at true size.

The template covers the tube that stays. Its curved edge is the cut, its straight edge runs round
the tube. Across the paper goes the angle round the tube, up the paper the position along it:
mm from the end's mark toward the other end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.path import Arc, arc_end
from barwright.geometry.vectors import turn_about
from barwright.pack.drawing import (
    CUT,
    ETCH,
    NOTE,
    Drawing,
    Line,
    Loop,
    Primitive,
    Style,
    Text,
)
from barwright.pack.ends import is_square, meets
from barwright.pack.paper import text_width
from barwright.pack.units import in_unit, number, shop
from barwright.pack.wrap_calls import called_out, crotch_and_heel, label
from barwright.tubes.bars import BuiltBar, End
from barwright.tubes.wrap import twist_angles

PAPER = 0.1
"""Thickness [mm] of 80 g/m² printer paper; common practice, no source."""

TAB = 12.0
"""Width [mm] of the strip that laps over the seam for the tape."""

CLEAR = 32.0
"""Paper [mm] left above the deepest point of the cut, to hold and to read."""

_THIN = Style(colour="#9a9a9a", width=0.12)
_HEAVY = Style(colour="#000000", width=0.6)


@dataclass(frozen=True, kw_only=True)
class Wrap:
    """One end's template.

    Attributes:
        bar, end, mark: the bar, which end ("from" or "to"), the mark it ends on.
        other: the mark at the bar's other end.
        against: what it is coped against; empty for a square end.
        radius: outside radius of the tube [mm].
        cope: shape (360,): position [mm] of the cut from the mark, at each degree.
        guide: degrees and name of the line on the tube that this template is laid to.
        twists: degrees and name of the inside of every further bend, the nearest first.
    """

    bar: str
    end: str
    mark: str
    other: str
    against: tuple[str, ...]
    radius: float
    cope: tuple[float, ...]
    guide: tuple[float, str] = (0.0, "")
    twists: tuple[tuple[float, str], ...] = ()

    @property
    def lowest(self) -> float:
        """The longest point of the tube [mm from the mark]."""
        return min(self.cope)

    @property
    def top(self) -> float:
        """Where the straight edge lies [mm from the mark]."""
        return max(self.cope) + CLEAR

    @property
    def width(self) -> float:
        """Once round the tube on the paper's mid-surface [mm]: see `unrolled_width`."""
        return unrolled_width(2.0 * self.radius)


def unrolled_width(od: float, paper: float = PAPER) -> float:
    """Once round a tube, on paper [mm]: pi (D + t), the paper's middle being what keeps its length.

    >>> round(unrolled_width(38.1, paper=0.0), 4)
    119.6947
    """
    return math.pi * (od + paper)


def wraps_of(bar: BuiltBar) -> tuple[Wrap, ...]:
    """The templates of a bar's coped ends; a square end needs none."""
    ends = (("from", bar.start, bar.finish), ("to", bar.finish, bar.start))
    return tuple(_wrap(bar, which, end, other) for which, end, other in ends if not is_square(end))


def _wrap(bar: BuiltBar, which: str, end: End, other: End) -> Wrap:
    return Wrap(
        bar=bar.name,
        end=which,
        mark=end.mark,
        other=other.mark,
        against=meets(end),
        radius=bar.radius,
        cope=tuple(float(c) for c in end.cope),
        guide=_guide(bar, end),
        twists=_twists(bar, which),
    )


def _guide(bar: BuiltBar, end: End) -> tuple[float, str]:
    """What the template is turned to: the inside of the nearest bend, or a line along the bar.

    A straight bar has no inside; a line scribed along it, at 0° of its `from` end, serves both
    ends.
    """
    arcs = [p for p in bar.centreline.pieces if isinstance(p, Arc)]
    if not arcs:
        way, name = np.array(bar.start.zero), "LINE ALONG THE BAR"
    elif end is bar.start:
        way, name = np.subtract(arcs[0].centre, arcs[0].start), "INSIDE OF BEND"
    else:
        way, name = np.subtract(arcs[-1].centre, arc_end(arcs[-1])), "INSIDE OF BEND"
    return math.degrees(turn_about(end.along, end.zero, way)) % 360.0, name


def _twists(bar: BuiltBar, which: str) -> tuple[tuple[float, str], ...]:
    """Where the insides of the bends after the nearest one lie, to check their twist by."""
    angles = twist_angles(bar, which)
    numbers = range(1, len(angles) + 1) if which == "from" else range(len(angles), 0, -1)
    named = [(math.degrees(a) % 360.0, f"BEND {n}") for a, n in zip(angles, numbers, strict=True)]
    return tuple(named[1:])


def template(wrap: Wrap, unit: str) -> Drawing:
    """The template at 1:1 [mm]: x along the seam-to-seam width, y the position from the mark.

    The seam stands at x = 0 and x = width, where the angle is zero; angles grow to the right, as
    seen on the outside of the tube with the bar running away up the page: the right hand about
    "up" carries the surface facing you to the right.
    """
    return (
        *_edges(wrap),
        *_stations(wrap, unit),
        *_rounds(wrap),
        *_guide_line(wrap),
        *_twist_lines(wrap),
        *called_out(wrap, unit),
        *_words(wrap, unit),
    )


def _edges(wrap: Wrap) -> tuple[Primitive, ...]:
    w, top, n = wrap.width, wrap.top, len(wrap.cope)
    cut = tuple((w * k / n, wrap.cope[k % n], 0.0) for k in range(n + 1))
    y0 = wrap.cope[0]
    lap = Style(colour="#606060", width=0.2, dash=(2.0, 1.0))
    return (
        Loop(vertices=cut, closed=False, layer=CUT, style=_HEAVY),
        Line(start=(0.0, top), end=(w, top), style=_HEAVY),
        Line(start=(0.0, y0), end=(0.0, top), style=_HEAVY),
        Line(start=(w, y0), end=(w, top), style=_HEAVY),
        Loop(
            vertices=(
                (w, top, 0.0),
                (w + TAB, top - 4.0, 0.0),
                (w + TAB, y0 + 4.0, 0.0),
                (w, y0 + 0.5, 0.0),
            ),
            closed=False,
            style=lap,
        ),
        Text(
            text="SEAM · lap under",
            at=(w + 7.0, (y0 + top) / 2.0),
            height=2.2,
            angle=math.pi / 2,
            anchor="middle",
        ),
    )


def _stations(wrap: Wrap, unit: str) -> tuple[Primitive, ...]:
    """Level lines at whole stations from the mark, where there is paper to draw them on."""
    step = 25.4 / 2.0 if unit == "in" else 10.0
    low, high = math.ceil(wrap.lowest / step), math.floor((wrap.top - 4.5) / step)
    return tuple(item for k in range(low, high + 1) for item in _station(wrap, k * step, unit))


def _station(wrap: Wrap, y: float, unit: str) -> list[Primitive]:
    """One level line, broken where the tube is cut away."""
    n, w = len(wrap.cope), wrap.width
    there = [wrap.cope[k % n] < y for k in range(n + 1)]
    items: list[Primitive] = []
    start = None
    for k in range(n + 1):
        if there[k] and start is None:
            start = k
        if start is not None and (not there[k] or k == n):
            items.append(
                Line(start=(w * start / n, y), end=(w * k / n, y), layer=NOTE, style=_THIN)
            )
            start = None
    if there[1]:
        items += label(in_unit(y, unit), (1.2, y + 0.6), height=1.6)
    return items


def _rounds(wrap: Wrap) -> tuple[Primitive, ...]:
    """Lines along the tube each 30°, a number on each, for lining up with the bar's zero line."""
    n, w, top = len(wrap.cope), wrap.width, wrap.top
    items: list[Primitive] = []
    for deg in range(0, 360, 30):
        x = w * deg / 360.0
        style = Style(colour="#606060", width=0.25) if deg % 90 == 0 else _THIN
        items.append(
            Line(start=(x, wrap.cope[deg * n // 360]), end=(x, top), layer=NOTE, style=style)
        )
        items.append(Text(text=f"{deg}°", at=(x + 0.6, top - 3.0), height=1.8))
    return tuple(items)


def _guide_line(wrap: Wrap) -> tuple[Primitive, ...]:
    """The line to lay along the one on the tube, drawn as a centre line."""
    degrees, name = wrap.guide
    if not name:
        return ()
    n = len(wrap.cope)
    x, y = wrap.width * degrees / 360.0, wrap.cope[round(degrees * n / 360.0) % n]
    style = Style(colour="#2e7d32", width=0.45, dash=(5.0, 1.2, 1.0, 1.2))
    right = x > wrap.width / 2.0
    return (
        Line(start=(x, y), end=(x, wrap.top), layer=NOTE, style=style),
        *label(
            f"{name} {degrees:.0f}°",
            (x - 0.9 if right else x + 0.9, wrap.top - 5.4),
            height=1.5,
            anchor="right" if right else "left",
            style=Style(colour="#2e7d32"),
        ),
    )


def _twist_lines(wrap: Wrap) -> tuple[Primitive, ...]:
    """A thinner line for the inside of each further bend, its name beside it at the top."""
    pen, n = Style(colour="#2e7d32", width=0.25, dash=(1.5, 1.0)), len(wrap.cope)
    marks: list[Primitive] = []
    for degrees, name in wrap.twists:
        x, low = wrap.width * degrees / 360.0, wrap.cope[round(degrees * n / 360.0) % n]
        text, height = f"{name} {degrees:.0f}°", 1.5
        past = degrees > wrap.guide[0] and x + text_width(text, height) < wrap.width - 2.0
        marks += [
            Line(start=(x, low), end=(x, wrap.top), layer=NOTE, style=pen),
            *label(
                text,
                (x + 0.9 if past else x - 0.9, wrap.top - 5.4),
                height=height,
                anchor="left" if past else "right",
                style=Style(colour="#2e7d32"),
            ),
        ]
    return tuple(marks)


def _words(wrap: Wrap, unit: str) -> tuple[Primitive, ...]:
    """On the paper itself: which bar, which end, which way is the other end."""
    w, top = wrap.width, wrap.top
    middle = w * 0.5
    arrow = Style(colour="#000000", width=0.5)
    height = min(3.2, w / 26.0)
    return (
        Line(start=(w * 0.94, top - 22.0), end=(w * 0.94, top - 8.0), layer=ETCH, style=arrow),
        Line(
            start=(w * 0.94 - 1.6, top - 11.0), end=(w * 0.94, top - 8.0), layer=ETCH, style=arrow
        ),
        Line(
            start=(w * 0.94 + 1.6, top - 11.0), end=(w * 0.94, top - 8.0), layer=ETCH, style=arrow
        ),
        Text(
            text=f"to {wrap.other}",
            at=(w * 0.94 - 1.2, top - 21.5),
            height=2.0,
            angle=math.pi / 2,
        ),
        *label(
            f"{wrap.bar} · end “{wrap.end}” at {wrap.mark}",
            (middle, top - 10.2),
            height=height,
            anchor="middle",
            bold=True,
        ),
        *label(
            f"against {', '.join(wrap.against)}",
            (middle, top - 14.4),
            height=min(2.2, height),
            anchor="middle",
        ),
        *label(
            f"numbers: {unit} from mark {wrap.mark} along the bar",
            (middle, top - 17.8),
            height=min(1.9, height),
            anchor="middle",
        ),
    )


def facts(wrap: Wrap, unit: str) -> str:
    """The template's measures in one line, to stand above it."""
    od, round_ = 2.0 * wrap.radius, wrap.width
    return (
        f"tube {shop(od, unit)} · once round {number(round_, 2)} mm on paper {PAPER} mm thick · "
        f"longest {shop(wrap.lowest, unit)}, deepest {shop(max(wrap.cope), unit)} from mark "
        f"{wrap.mark} toward {wrap.other}"
    )


__all__ = ["Wrap", "crotch_and_heel", "facts", "template", "unrolled_width", "wraps_of"]
