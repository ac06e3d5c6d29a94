"""What the shop's sheets share: a head and a foot on each page, tables, drawings made to fit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from barwright.pack.drawing import (
    NOTE,
    XY,
    Arc,
    Circle,
    Drawing,
    Line,
    Loop,
    Primitive,
    Style,
    Text,
    bounds,
)
from barwright.pack.paper import Sheet, wrapped

GREY = Style(colour="#555555")
RULE = Style(width=0.2, colour="#777777")
Box = tuple[float, float, float, float]


def framed(sheet: Sheet, title: str, job: str, page: str = "") -> tuple[Drawing, Box]:
    """A page's head and foot, and the box (x0, y0, x1, y1) left between them [mm]."""
    m, top = sheet.margin, sheet.height - sheet.margin
    x1 = sheet.width - m
    caution = "This can kill: rule book, scrutineer and licensed engineer decide about strength."
    items: tuple[Primitive, ...] = (
        Text(text=title, at=(m, top - 5.0), height=4.2 if len(title) < 50 else 3.0, bold=True),
        Text(text=job, at=(x1, top - 5.0), height=2.4, anchor="right"),
        Line(start=(m, top - 8.0), end=(x1, top - 8.0), layer=NOTE, style=Style(width=0.5)),
        Text(text=caution, at=(m, m), height=1.9, style=GREY),
        Text(text=page, at=(x1, m), height=2.2, anchor="right", style=GREY),
    )
    return items, (m, m + 5.0, x1, top - 12.0)


def table(
    at: XY, widths: Sequence[float], rows: Sequence[Sequence[str]], *, height: float = 2.6
) -> tuple[Drawing, float]:
    """A table whose first row is its head, from its upper left corner; where it ends (y).

    What is too wide for its column goes over several lines.
    """
    x0, y = at
    step, line = 2.3 * height, 1.6 * height
    items: list[Primitive] = []
    for i, row in enumerate(rows):
        pairs = zip(widths, row, strict=True)
        cells = [wrapped(cell, height, width - 2.0, bold=i == 0) for width, cell in pairs]
        top = y - step + 0.7 * height
        y -= step + line * (max([1, *map(len, cells)]) - 1)
        x = x0
        for width, lines in zip(widths, cells, strict=True):
            items += [
                Text(text=text, at=(x + 1.0, top - line * k), height=height, bold=i == 0)
                for k, text in enumerate(lines)
            ]
            x += width
        thick = Style(width=0.4) if i == 0 else RULE
        items.append(Line(start=(x0, y), end=(x0 + sum(widths), y), layer=NOTE, style=thick))
    return tuple(items), y


def paragraph(
    text: str, at: XY, width: float, *, height: float = 2.4, bold: bool = False
) -> tuple[Drawing, float]:
    """Text broken to a width, from the top; where it ends (y)."""
    lines = wrapped(text, height, width, bold=bold)
    step = 1.75 * height
    items = [
        Text(text=line, at=(at[0], at[1] - step * (i + 1)), height=height, bold=bold)
        for i, line in enumerate(lines)
    ]
    return tuple(items), at[1] - step * len(lines)


def fitted(primitives: Iterable[Primitive], box: Box, *, most: float = 10.0) -> Drawing:
    """A drawing scaled and shifted into a box, never enlarged more than `most` times."""
    items = tuple(primitives)
    scale, by = fit(items, box, most=most)
    return tuple(scaled(it, scale, by) for it in items)


def fit(primitives: Iterable[Primitive], box: Box, *, most: float = 10.0) -> tuple[float, XY]:
    """How much a drawing is scaled, and then shifted [mm], to fill a box."""
    x0, y0, x1, y1 = bounds(primitives)
    wide, tall = max(x1 - x0, 1e-9), max(y1 - y0, 1e-9)
    scale = min((box[2] - box[0]) / wide, (box[3] - box[1]) / tall, most)
    dx = (box[0] + box[2]) / 2.0 - scale * (x0 + x1) / 2.0
    dy = (box[1] + box[3]) / 2.0 - scale * (y0 + y1) / 2.0
    return scale, (dx, dy)


def scaled(it: Primitive, k: float, by: XY) -> Primitive:
    """A primitive made k times as large about the origin, then shifted [mm]."""

    def place(p: XY) -> XY:
        return (k * p[0] + by[0], k * p[1] + by[1])

    match it:
        case Line():
            return Line(start=place(it.start), end=place(it.end), layer=it.layer, style=it.style)
        case Arc():
            return Arc(
                centre=place(it.centre),
                radius=k * it.radius,
                start=it.start,
                sweep=it.sweep,
                layer=it.layer,
                style=it.style,
            )
        case Circle():
            return Circle(
                centre=place(it.centre), radius=k * it.radius, layer=it.layer, style=it.style
            )
        case Loop():
            moved = tuple((*place((x, y)), b) for x, y, b in it.vertices)
            return Loop(vertices=moved, closed=it.closed, layer=it.layer, style=it.style)
        case Text():
            return Text(
                text=it.text,
                at=place(it.at),
                height=max(k * it.height, 1.3),
                angle=it.angle,
                anchor=it.anchor,
                bold=it.bold,
                layer=it.layer,
                style=it.style,
            )
