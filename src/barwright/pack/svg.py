"""SVG in millimetres: for a browser, and for cutters that prefer it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from barwright.pack.drawing import (
    XY,
    Arc,
    Circle,
    Line,
    Loop,
    Primitive,
    Text,
    bounds,
    bulge_arc,
    draw,
    segments,
    style_of,
)

CAPITAL = 0.72
"""Height of a capital as a share of the font's size, sans serif."""

_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


class SvgPen:
    """A pen that gathers SVG elements; y is turned over, since SVG counts it down."""

    def __init__(self) -> None:
        self.elements: list[str] = []

    def line(self, it: Line) -> None:
        """A path of one straight."""
        self._path(f"M{_at(it.start)}L{_at(it.end)}", it)

    def arc(self, it: Arc) -> None:
        """A path of one arc."""
        ends = [_on(it, it.start), _on(it, it.start + it.sweep)]
        large, sweep = int(abs(it.sweep) > math.pi), int(it.sweep < 0.0)
        self._path(
            f"M{_at(ends[0])}A{_n(it.radius)} {_n(it.radius)} 0 {large} {sweep} {_at(ends[1])}", it
        )

    def circle(self, it: Circle) -> None:
        """A circle."""
        x, y = it.centre
        self.elements.append(
            f'<circle cx="{_n(x)}" cy="{_n(-y)}" r="{_n(it.radius)}" {_style(it)}/>'
        )

    def loop(self, it: Loop) -> None:
        """A path of straights and arcs."""
        runs = segments(it)
        steps = [f"M{_at(runs[0][0])}"] if runs else []
        steps += [_run(*run) for run in runs]
        self._path("".join(steps) + ("Z" if it.closed else ""), it)

    def text(self, it: Text) -> None:
        """Letters."""
        turn = f' transform="rotate({_n(-math.degrees(it.angle))} {_at(_flip(it.at), flip=False)})"'
        weight = ' font-weight="bold"' if it.bold else ""
        self.elements.append(
            f'<text x="{_n(it.at[0])}" y="{_n(-it.at[1])}" font-size="{_n(it.height / CAPITAL)}" '
            f'text-anchor="{_ANCHOR[it.anchor]}" font-family="sans-serif"{weight}'
            f"{turn if it.angle else ''} fill={quoteattr(style_of(it).colour)}>"
            f"{escape(it.text)}</text>"
        )

    def _path(self, steps: str, it: Primitive) -> None:
        self.elements.append(f'<path d="{steps}" {_style(it)}/>')


def svg_text(primitives: Iterable[Primitive], margin: float = 5.0) -> str:
    """A drawing as an SVG document at 1:1, its page the drawing's bounds and a margin [mm]."""
    items = tuple(primitives)
    pen = SvgPen()
    draw(items, pen)
    x0, y0, x1, y1 = bounds(items)
    w, h = x1 - x0 + 2.0 * margin, y1 - y0 + 2.0 * margin
    box = f"{_n(x0 - margin)} {_n(-y1 - margin)} {_n(w)} {_n(h)}"
    size = f'width="{_n(w)}mm" height="{_n(h)}mm" viewBox="{box}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>'
    return "\n".join([head, *pen.elements, "</svg>", ""])


def _n(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".") if value else "0"


def _flip(p: XY) -> XY:
    return (p[0], -p[1])


def _at(p: XY, *, flip: bool = True) -> str:
    return f"{_n(p[0])} {_n(-p[1] if flip else p[1])}"


def _on(it: Arc, angle: float) -> XY:
    return (it.centre[0] + it.radius * math.cos(angle), it.centre[1] + it.radius * math.sin(angle))


def _run(start: XY, end: XY, bulge: float) -> str:
    if not bulge:
        return f"L{_at(end)}"
    _, radius, _, sweep = bulge_arc(start, end, bulge)
    large = int(abs(sweep) > math.pi)
    return f"A{_n(radius)} {_n(radius)} 0 {large} {int(sweep < 0.0)} {_at(end)}"


def _style(it: Primitive) -> str:
    s = style_of(it)
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in s.dash)}"' if s.dash else ""
    width = f'stroke="{s.colour}" stroke-width="{_n(s.width)}"' if s.width else 'stroke="none"'
    return f'class="{it.layer}" fill="{s.fill or "none"}" {width}{dash}'
