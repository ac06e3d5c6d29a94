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
    BEND,
    CUT,
    ETCH,
    NOTE,
    Anchor,
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
from barwright.tubes.bars import BuiltBar, End

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
    """

    bar: str
    end: str
    mark: str
    other: str
    against: tuple[str, ...]
    radius: float
    cope: tuple[float, ...]
    guide: tuple[float, str] = (0.0, "")

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


def crotch_and_heel(cope: tuple[float, ...]) -> tuple[int, int]:
    """The degree where the cut goes deepest, and that of the far side's own deepest point.

    The heel is the deepest point at least 90° round from the crotch, which for one receiver is
    the far bottom of the saddle; on a slant too flat to have one it is the longest point.
    """
    values = np.asarray(cope)
    n = len(values)
    crotch = int(np.argmax(values))
    far = [(crotch + k) % n for k in range(n // 4, n - n // 4 + 1)]
    heel = max(far, key=lambda i: values[i])
    edge = heel in {far[0], far[-1]}
    return crotch, int(np.argmin(values)) if edge else heel


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
        *_called_out(wrap, unit),
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
        items += _label(in_unit(y, unit), (1.2, y + 0.6), height=1.6)
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
        *_label(
            f"{name} {degrees:.0f}°",
            (x - 0.9 if right else x + 0.9, wrap.top - 5.4),
            height=1.5,
            anchor="right" if right else "left",
            style=Style(colour="#2e7d32"),
        ),
    )


def _called_out(wrap: Wrap, unit: str) -> tuple[Primitive, ...]:
    """The crotch, the heel and the longest point, each with an arrow and its words above."""
    crotch, heel = crotch_and_heel(wrap.cope)
    longest = min(range(len(wrap.cope)), key=wrap.cope.__getitem__)
    marks = {"CROTCH": crotch, "HEEL": heel, "LONGEST": longest}
    if heel == longest:
        marks = {"CROTCH": crotch, "HEEL = LONGEST": heel}
    items: list[Primitive] = []
    taken: list[tuple[float, float, float]] = []
    for name, k in sorted(marks.items(), key=lambda one: wrap.cope[one[1]]):
        figures = f"{shop(wrap.cope[k], unit)} · {k}°"
        wide = max(text_width(name, 1.9, bold=True), text_width(figures, 1.6)) + 1.0
        x, right = wrap.width * k / len(wrap.cope), wrap.width * k / len(wrap.cope) > wrap.width / 2
        low, high = (x - wide - 1.0, x - 1.0) if right else (x + 1.0, x + wide + 1.0)
        y = _above(wrap, low, high, taken)
        taken.append((low, high, y))
        items += [*_arrow((x, wrap.cope[k]), y), *_two_lines((name, figures), low, high, y, right)]
    return tuple(items)


CALL = 5.4
"""Height of a call-out's two lines [mm]."""


def _above(wrap: Wrap, low: float, high: float, taken: list[tuple[float, float, float]]) -> float:
    """The foot of a call-out: clear above the cut all along it, and clear of the others."""
    n = len(wrap.cope)
    first, last = math.floor(low / wrap.width * n), math.ceil(high / wrap.width * n)
    y = max(wrap.cope[k % n] for k in range(first, last + 1)) + 1.6
    for a, b, foot in taken:
        if a < high and low < b and abs(foot - y) < CALL:
            y = foot + CALL
    return y


def _arrow(tip: tuple[float, float], foot: float) -> tuple[Primitive, ...]:
    (x, y), style = tip, Style(colour="#b3261e", width=0.35)
    return (
        Line(start=(x, y), end=(x, max(foot + CALL - 1.0, y + 7.0)), layer=BEND, style=style),
        Line(start=(x - 1.5, y + 2.2), end=(x, y), layer=BEND, style=style),
        Line(start=(x + 1.5, y + 2.2), end=(x, y), layer=BEND, style=style),
    )


def _two_lines(
    words: tuple[str, str], low: float, high: float, y: float, right: bool
) -> tuple[Primitive, ...]:
    at = high - 0.5 if right else low + 0.5
    anchor: Anchor = "right" if right else "left"
    red = Style(colour="#b3261e")
    return (
        *_label(words[0], (at, y + 2.9), height=1.9, bold=True, anchor=anchor, style=red),
        *_label(words[1], (at, y + 0.4), height=1.6, anchor=anchor),
    )


def _label(
    text: str,
    at: tuple[float, float],
    *,
    height: float,
    anchor: Anchor = "left",
    bold: bool = False,
    style: Style | None = None,
) -> tuple[Primitive, ...]:
    """Letters on a white ground, so that no line runs through them."""
    wide = text_width(text, height, bold=bold)
    x0 = at[0] - {"left": 0.0, "middle": wide / 2.0, "right": wide}[anchor]
    y0, y1 = at[1] - 0.35 * height, at[1] + 1.2 * height
    corners = ((x0 - 0.4, y0, 0.0), (x0 + wide + 0.4, y0, 0.0))
    ground = (*corners, *((x, y1, 0.0) for x, _, _ in corners[::-1]))
    white = Style(width=0.0, fill="#ffffff")
    return (
        Loop(vertices=ground, layer=NOTE, style=white),
        Text(text=text, at=at, height=height, anchor=anchor, bold=bold, style=style),
    )


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
        *_label(
            f"{wrap.bar} · end “{wrap.end}” at {wrap.mark}",
            (middle, top - 10.2),
            height=height,
            anchor="middle",
            bold=True,
        ),
        *_label(
            f"against {', '.join(wrap.against)}",
            (middle, top - 14.4),
            height=min(2.2, height),
            anchor="middle",
        ),
        *_label(
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
