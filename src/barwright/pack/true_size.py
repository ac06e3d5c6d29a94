"""Drawings at true size on sheets of paper: several to a page, or one over several pages."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from barwright.pack.drawing import NOTE, Drawing, Line, Primitive, Style, Text, bounds, moved
from barwright.pack.paper import Book, Sheet, scale_bar, wrapped

LAP = 12.0
"""How far two sheets of one drawing lie over each other [mm]."""

HEAD, FOOT = 17.0, 14.0
"""Room at the top for the title and at the bottom for the rulers [mm]."""

CAPTION = 14.0
"""Room a drawing's own caption takes above it, and some air [mm]."""

MORE = 3.2
"""Room its second line takes [mm]."""


@dataclass(frozen=True, kw_only=True)
class Item:
    """A drawing to be printed at 1:1.

    Attributes:
        drawing: in millimetres.
        title, facts: what stands above it.
        subject: its bar or part, for the page's head.
        more: a second line under the facts.
    """

    drawing: Drawing
    title: str
    facts: str
    subject: str
    more: str = ""

    @property
    def caption(self) -> float:
        """Room for what stands above it [mm]."""
        return CAPTION + (MORE if self.more else 0.0)


@dataclass(frozen=True, kw_only=True)
class Head:
    """What is on every page: what it is, how to use it, and whose job it is."""

    title: str
    how: str
    job: str


@dataclass(frozen=True, kw_only=True)
class Tile:
    """A piece of a drawing on one sheet: its column and row, and how many there are."""

    column: int
    row: int
    columns: int
    rows: int


def true_size_pdf(items: Iterable[Item], sheet: Sheet, head: Head) -> bytes | None:
    """Every drawing at 1:1 in one PDF; None when there is none.

    Drawings stand one under the other, in order, as many to a page as fit; one too large for a
    page goes over several.
    """
    book = Book(sheet, f"{head.job}: {head.title}")
    page, some = list[Item](), False
    for item in items:
        some = True
        if not _fits(sheet, [item]):
            _add_shared(book, page, head)
            page = []
            add_large(book, item, head)
        elif _fits(sheet, [*page, item]):
            page.append(item)
        else:
            _add_shared(book, page, head)
            page = [item]
    _add_shared(book, page, head)
    return book.close() if some else None


def _fits(sheet: Sheet, items: list[Item]) -> bool:
    x0, y0, x1, y1 = _window(sheet)
    boxes = [bounds(item.drawing) for item in items]
    heads = sum(item.caption for item in items)
    tall = heads + sum(box[3] - box[1] for box in boxes)
    return tall <= y1 - y0 and all(box[2] - box[0] <= x1 - x0 for box in boxes)


def _add_shared(book: Book, items: list[Item], head: Head) -> None:
    """A page of drawings, each under its own caption."""
    if not items:
        return
    x0, _, x1, y = _window(book.sheet)
    drawn: list[Primitive] = []
    for item in items:
        low, bottom, high, top = bounds(item.drawing)
        drawn += _caption(item, x0, y)
        by = (x0 - low + (x1 - x0 - high + low) / 2.0, y - item.caption + 2.0 - top)
        drawn += moved(item.drawing, by)
        y -= item.caption + top - bottom
    mark = ", ".join(item.title for item in items)
    book.page((*_head(head, book.sheet, items), *drawn), mark=mark)


def _caption(item: Item, x: float, y: float) -> list[Primitive]:
    height = 3.4 if len(item.title) < 60 else 2.4
    return [
        Text(text=item.title, at=(x, y - 4.5), height=height, bold=True),
        Text(text=item.facts, at=(x, y - 8.6), height=1.9),
        *([Text(text=item.more, at=(x, y - 8.6 - MORE), height=1.9)] if item.more else []),
    ]


def add_large(book: Book, item: Item, head: Head) -> None:
    """A drawing over as many sheets as it needs."""
    x0, y0, x1, y1 = _window(book.sheet)
    y1 -= item.caption
    low, bottom, high, top = bounds(item.drawing)
    columns, rows = sheets_across(high - low, x1 - x0), sheets_across(top - bottom, y1 - y0)
    for tile in _tiles(columns, rows):
        by = (
            x0 - low - tile.column * (x1 - x0 - LAP),
            y1 - top + tile.row * (y1 - y0 - LAP),
        )
        over = (
            *_head(head, book.sheet, [item]),
            *_caption(item, x0, y1 + item.caption),
            *_which_sheet(book.sheet, tile),
            *_laps((x0, y0, x1, y1), tile),
        )
        mark = item.title if tile.column == tile.row == 0 else ""
        book.page(item.drawing, by=by, window=(x0, y0, x1, y1), over=over, mark=mark)


def sheets_across(length: float, window: float) -> int:
    """How many sheets a length [mm] takes, each lapping over the one before by `LAP`.

    >>> sheets_across(100.0, 190.0), sheets_across(200.0, 190.0), sheets_across(369.0, 190.0)
    (1, 2, 3)
    """
    return max(1, math.ceil((length - LAP - 1e-9) / (window - LAP)))


def _window(sheet: Sheet) -> tuple[float, float, float, float]:
    m = sheet.margin
    return (m, m + FOOT, sheet.width - m, sheet.height - m - HEAD)


def _tiles(columns: int, rows: int) -> Iterator[Tile]:
    for row in range(rows):
        for column in range(columns):
            yield Tile(column=column, row=row, columns=columns, rows=rows)


def _head(head: Head, sheet: Sheet, items: list[Item]) -> Drawing:
    """The subjects' names, how to use the page, the rulers."""
    m, top = sheet.margin, sheet.height - sheet.margin
    names = ", ".join(dict.fromkeys(item.subject for item in items))
    drawn: list[Primitive] = [
        Text(text=head.title, at=(m, top - 4.0), height=3.4, bold=True),
        Text(text=names, at=(m + 42.0, top - 4.0), height=2.4 if len(names) < 60 else 1.7),
        Text(text=head.job, at=(sheet.width - m, top - 4.0), height=2.4, anchor="right"),
        Line(start=(m, top - 6.0), end=(sheet.width - m, top - 6.0), layer=NOTE),
    ]
    lines = wrapped(head.how, 1.9, sheet.width - 2.0 * m)
    drawn += [Text(text=t, at=(m, top - 9.4 - 3.1 * i), height=1.9) for i, t in enumerate(lines)]
    return (*drawn, *scale_bar((m, m + 8.5)))


def _which_sheet(sheet: Sheet, tile: Tile) -> list[Primitive]:
    k = tile.row * tile.columns + tile.column + 1
    words = f"sheet {k} of {tile.columns * tile.rows}"
    x = sheet.width - sheet.margin
    under = f"lay over the next by {LAP:.0f} mm: crosses meet"
    return [
        Text(text=words, at=(x, sheet.margin + 8.5), height=3.2, anchor="right", bold=True),
        Text(text=under, at=(x, sheet.margin + 4.5), height=2.0, anchor="right"),
    ]


def _laps(window: tuple[float, float, float, float], tile: Tile) -> Drawing:
    """Dashed edges where sheets lap, and crosses that must come to lie on one another."""
    x0, y0, x1, y1 = window
    style = Style(colour="#2e7d32", width=0.2, dash=(3.0, 2.0))
    items: list[Primitive] = []
    for x, on in ((x0 + LAP, tile.column > 0), (x1, tile.column < tile.columns - 1)):
        if on:
            items.append(Line(start=(x, y0), end=(x, y1), layer=NOTE, style=style))
            items += _crosses([(x - LAP / 2.0, y0 + f * (y1 - y0)) for f in (0.15, 0.5, 0.85)])
    for y, on in ((y1 - LAP, tile.row > 0), (y0, tile.row < tile.rows - 1)):
        if on:
            items.append(Line(start=(x0, y), end=(x1, y), layer=NOTE, style=style))
            items += _crosses([(x0 + f * (x1 - x0), y + LAP / 2.0) for f in (0.15, 0.5, 0.85)])
    return tuple(items)


def _crosses(at: list[tuple[float, float]]) -> list[Primitive]:
    style = Style(colour="#2e7d32", width=0.2)
    return [
        line
        for x, y in at
        for line in (
            Line(start=(x - 3.0, y), end=(x + 3.0, y), layer=NOTE, style=style),
            Line(start=(x, y - 3.0), end=(x, y + 3.0), layer=NOTE, style=style),
        )
    ]
