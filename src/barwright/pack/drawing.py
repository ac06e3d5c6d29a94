"""A drawing is a stream of primitives: line, arc, circle, loop, text, each on a named layer.

What is drawn knows nothing of the file it goes to: a pen (`dxf`, `pdf`, `svg`, or the collecting
one here) takes the primitives one by one. Millimetres, y up, angles in radians counted
anticlockwise from x.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal, Protocol, TypeAlias

XY: TypeAlias = tuple[float, float]
Bulged: TypeAlias = tuple[float, float, float]
"""x, y and bulge: tan(quarter of the arc's angle) to the next vertex."""

CUT, ETCH, BEND, NOTE = "cut", "etch", "bend", "note"
"""The layers a cutting service reads, and `note` for what is only on paper."""

Anchor: TypeAlias = Literal["left", "middle", "right"]


@dataclass(frozen=True, kw_only=True)
class Style:
    """How a pen for people draws something: pen width and dashes [mm], colours "#rrggbb"."""

    colour: str = "#000000"
    width: float = 0.25
    dash: tuple[float, ...] = ()
    fill: str = ""


STYLES = {
    CUT: Style(width=0.5),
    ETCH: Style(colour="#1f5fa8", width=0.25),
    BEND: Style(colour="#b3261e", width=0.35, dash=(4.0, 1.5)),
    NOTE: Style(colour="#303030", width=0.2),
}
"""How each layer looks on paper and on the screen."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """A straight from start to end."""

    start: XY
    end: XY
    layer: str = CUT
    style: Style | None = None


@dataclass(frozen=True, kw_only=True)
class Arc:
    """A circular arc from angle `start` over `sweep`; a negative sweep runs clockwise."""

    centre: XY
    radius: float
    start: float
    sweep: float
    layer: str = CUT
    style: Style | None = None


@dataclass(frozen=True, kw_only=True)
class Circle:
    """A full circle."""

    centre: XY
    radius: float
    layer: str = CUT
    style: Style | None = None


@dataclass(frozen=True, kw_only=True)
class Loop:
    """A run of straights and arcs; closed unless said otherwise."""

    vertices: tuple[Bulged, ...]
    closed: bool = True
    layer: str = CUT
    style: Style | None = None


@dataclass(frozen=True, kw_only=True)
class Text:
    """A line of letters: `at` the foot of its anchor, `height` of a capital, turned by `angle`."""

    text: str
    at: XY
    height: float = 3.0
    angle: float = 0.0
    anchor: Anchor = "left"
    bold: bool = False
    layer: str = NOTE
    style: Style | None = None


Primitive: TypeAlias = Line | Arc | Circle | Loop | Text
Drawing: TypeAlias = tuple[Primitive, ...]


class Pen(Protocol):
    """What takes a drawing."""

    def line(self, it: Line) -> None:
        """Draw a straight."""

    def arc(self, it: Arc) -> None:
        """Draw an arc."""

    def circle(self, it: Circle) -> None:
        """Draw a circle."""

    def loop(self, it: Loop) -> None:
        """Draw a run of straights and arcs."""

    def text(self, it: Text) -> None:
        """Draw letters."""


def draw(primitives: Iterable[Primitive], pen: Pen) -> None:
    """Hand every primitive to the pen, in order."""
    for it in primitives:
        match it:
            case Line():
                pen.line(it)
            case Arc():
                pen.arc(it)
            case Circle():
                pen.circle(it)
            case Loop():
                pen.loop(it)
            case Text():
                pen.text(it)


@dataclass(frozen=True)
class Collector:
    """A pen that keeps what it was given, for tests and for what is drawn twice."""

    kept: list[Primitive] = field(default_factory=list)

    def line(self, it: Line) -> None:
        """Keep a straight."""
        self.kept.append(it)

    def arc(self, it: Arc) -> None:
        """Keep an arc."""
        self.kept.append(it)

    def circle(self, it: Circle) -> None:
        """Keep a circle."""
        self.kept.append(it)

    def loop(self, it: Loop) -> None:
        """Keep a loop."""
        self.kept.append(it)

    def text(self, it: Text) -> None:
        """Keep letters."""
        self.kept.append(it)


def style_of(it: Primitive) -> Style:
    """A primitive's own style, or its layer's."""
    return it.style or STYLES.get(it.layer, STYLES[NOTE])


def bulge_arc(start: XY, end: XY, bulge: float) -> tuple[XY, float, float, float]:
    """The arc a bulge stands for: centre, radius, start angle and sweep [rad].

    With b = tan(sweep/4) and chord L the radius is L (1 + b²) / (4 |b|); positive runs
    anticlockwise. DXF Reference, LWPOLYLINE group code 42.

    >>> centre, radius, start, sweep = bulge_arc((0, 0), (2, 0), 1.0)
    >>> [round(v, 9) for v in (*centre, radius, sweep)]
    [1.0, 0.0, 1.0, 3.141592654]
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    offset = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = ((start[0] + end[0]) / 2.0 - dy * offset, (start[1] + end[1]) / 2.0 + dx * offset)
    radius = math.hypot(dx, dy) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    return (
        centre,
        radius,
        math.atan2(start[1] - centre[1], start[0] - centre[0]),
        4.0 * math.atan(bulge),
    )


def segments(loop: Loop) -> list[tuple[XY, XY, float]]:
    """The loop's runs as (start, end, bulge); those of no length are left out."""
    v = loop.vertices
    pairs = zip(v, v[1:] + v[:1] if loop.closed else v[1:], strict=False)
    return [
        ((a[0], a[1]), (b[0], b[1]), a[2])
        for a, b in pairs
        if math.hypot(b[0] - a[0], b[1] - a[1]) > 1e-12
    ]


def points_along(loop: Loop, sagitta: float = 0.01) -> list[XY]:
    """The loop as points, arcs split so that no chord strays by more than `sagitta` [mm]."""
    points: list[XY] = []
    for start, end, bulge in segments(loop):
        points.append(start)
        if bulge:
            points += _inside_arc(start, end, bulge, sagitta)
    if not loop.closed and loop.vertices:
        points.append((loop.vertices[-1][0], loop.vertices[-1][1]))
    return points


def _inside_arc(start: XY, end: XY, bulge: float, sagitta: float) -> list[XY]:
    (cx, cy), r, at, sweep = bulge_arc(start, end, bulge)
    step = 2.0 * math.acos(max(-1.0, 1.0 - min(sagitta, r) / r))
    n = max(2, math.ceil(abs(sweep) / step))
    angles = [at + sweep * k / n for k in range(1, n)]
    return [(cx + r * math.cos(a), cy + r * math.sin(a)) for a in angles]


def moved(primitives: Iterable[Primitive], by: XY = (0.0, 0.0), angle: float = 0.0) -> Drawing:
    """The drawing turned by an angle [rad] about the origin, then shifted [mm].

    >>> moved((Line(start=(1, 0), end=(2, 0)),), (0, 5))
    (Line(start=(1.0, 5.0), end=(2.0, 5.0), layer='cut', style=None),)
    """
    c, s = math.cos(angle), math.sin(angle)

    def place(p: XY) -> XY:
        return (c * p[0] - s * p[1] + by[0], s * p[0] + c * p[1] + by[1])

    def one(it: Primitive) -> Primitive:
        match it:
            case Line():
                return replace(it, start=place(it.start), end=place(it.end))
            case Arc():
                return replace(it, centre=place(it.centre), start=it.start + angle)
            case Circle():
                return replace(it, centre=place(it.centre))
            case Loop():
                return replace(it, vertices=tuple((*place((x, y)), b) for x, y, b in it.vertices))
            case Text():
                return replace(it, at=place(it.at), angle=it.angle + angle)

    return tuple(one(it) for it in primitives)


def bounds(primitives: Iterable[Primitive]) -> tuple[float, float, float, float]:
    """Least and greatest x and y [mm] of everything but letters: (x0, y0, x1, y1).

    Raises:
        ValueError: nothing is drawn.
    """
    points = [p for it in primitives for p in _reach(it)]
    if not points:
        raise ValueError("nothing is drawn")
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys))


def _reach(it: Primitive) -> list[XY]:
    match it:
        case Line():
            return [it.start, it.end]
        case Loop():
            return _loop_reach(it)
        case Circle():
            (x, y), r = it.centre, it.radius
            return [(x - r, y - r), (x + r, y + r)]
        case Arc():
            return _arc_reach(it.centre, it.radius, it.start, it.sweep)
        case _:
            return []


def _loop_reach(loop: Loop) -> list[XY]:
    points: list[XY] = [(x, y) for x, y, _ in loop.vertices]
    for start, end, bulge in segments(loop):
        if bulge:
            points += _arc_reach(*bulge_arc(start, end, bulge))
    return points


def _arc_reach(centre: XY, radius: float, start: float, sweep: float) -> list[XY]:
    """The arc's ends and the quarter points it passes."""
    low, high = min(start, start + sweep), max(start, start + sweep)
    quarter = math.pi / 2.0
    stops = [k * quarter for k in range(math.ceil(low / quarter), math.floor(high / quarter) + 1)]
    return [
        (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a))
        for a in (low, high, *stops)
    ]
