"""What a tube end's template points out: crotch, heel and longest point, each with its figures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from barwright.pack.drawing import BEND, NOTE, Anchor, Line, Loop, Primitive, Style, Text
from barwright.pack.paper import text_width
from barwright.pack.units import shop

if TYPE_CHECKING:
    from barwright.pack.wrap import Wrap


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


def called_out(wrap: Wrap, unit: str) -> tuple[Primitive, ...]:
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
        *label(words[0], (at, y + 2.9), height=1.9, bold=True, anchor=anchor, style=red),
        *label(words[1], (at, y + 0.4), height=1.6, anchor=anchor),
    )


def label(
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
