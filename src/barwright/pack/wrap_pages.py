"""Templates laid on sheets of paper, over several where one is too small."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from barwright.pack.drawing import NOTE, Drawing, Line, Primitive, Style, Text, bounds, moved
from barwright.pack.paper import Book, Sheet, scale_bar, sheet_for, wrapped
from barwright.pack.wrap import Wrap, facts, template, wraps_of
from barwright.tubes.bars import BuiltBar

LAP = 12.0
"""How far two sheets of one template lie over each other [mm]."""

HEAD, FOOT = 17.0, 14.0
"""Room at the top for the title and at the bottom for the rulers [mm]."""


CAPTION = 14.0
"""Room a template's own caption takes above it, and some air [mm]."""


@dataclass(frozen=True, kw_only=True)
class Tile:
    """A piece of a template on one sheet: its column and row, and how many there are."""

    column: int
    row: int
    columns: int
    rows: int


def wraps_pdf(bars: Iterable[BuiltBar], unit: str, job: str) -> bytes | None:
    """Every coped end's template at 1:1 in one PDF; None when no end is coped.

    Templates stand one under the other, in the order of the bars, as many to a page as fit; one
    too large for a page goes over several.
    """
    wraps = [wrap for bar in bars for wrap in wraps_of(bar)]
    if not wraps:
        return None
    book = Book(sheet_for(unit), f"{job}: templates for tube ends, 1:1")
    page: list[Wrap] = []
    for wrap in wraps:
        if not _fits(book.sheet, [wrap], unit):
            _add_shared(book, page, unit, job)
            page = []
            add_large(book, wrap, unit, job)
        elif _fits(book.sheet, [*page, wrap], unit):
            page.append(wrap)
        else:
            _add_shared(book, page, unit, job)
            page = [wrap]
    _add_shared(book, page, unit, job)
    return book.close()


def _fits(sheet: Sheet, wraps: list[Wrap], unit: str) -> bool:
    x0, y0, x1, y1 = _window(sheet)
    boxes = [bounds(template(wrap, unit)) for wrap in wraps]
    tall = sum(box[3] - box[1] + CAPTION for box in boxes)
    return tall <= y1 - y0 and all(box[2] - box[0] <= x1 - x0 for box in boxes)


def _add_shared(book: Book, wraps: list[Wrap], unit: str, job: str) -> None:
    """A page of templates, each under its own caption."""
    if not wraps:
        return
    x0, _, x1, y = _window(book.sheet)
    items: list[Primitive] = []
    for wrap in wraps:
        drawing = template(wrap, unit)
        low, bottom, high, top = bounds(drawing)
        items += _caption(wrap, unit, x0, y)
        by = (x0 - low + (x1 - x0 - high + low) / 2.0, y - CAPTION + 2.0 - top)
        items += moved(drawing, by)
        y -= CAPTION + top - bottom
    book.page(
        (*_head(job, book.sheet, wraps), *items),
        mark=", ".join(f"{wrap.bar} {wrap.end}" for wrap in wraps),
    )


def _caption(wrap: Wrap, unit: str, x: float, y: float) -> list[Primitive]:
    title = f"{wrap.bar} · end “{wrap.end}” at mark {wrap.mark}"
    return [
        Text(text=title, at=(x, y - 4.5), height=3.4 if len(title) < 60 else 2.4, bold=True),
        Text(text=facts(wrap, unit), at=(x, y - 8.6), height=1.9),
    ]


def add_large(book: Book, wrap: Wrap, unit: str, job: str) -> None:
    """A template over as many sheets as it needs."""
    drawing, (x0, y0, x1, y1) = template(wrap, unit), _window(book.sheet)
    y1 -= CAPTION
    low, bottom, high, top = bounds(drawing)
    columns, rows = sheets_across(high - low, x1 - x0), sheets_across(top - bottom, y1 - y0)
    for tile in _tiles(columns, rows):
        by = (
            x0 - low - tile.column * (x1 - x0 - LAP),
            y1 - top + tile.row * (y1 - y0 - LAP),
        )
        over = (
            *_head(job, book.sheet, [wrap]),
            *_caption(wrap, unit, x0, y1 + CAPTION),
            *_which_sheet(book.sheet, tile),
            *_laps((x0, y0, x1, y1), tile),
        )
        mark = f"{wrap.bar} {wrap.end}" if tile.column == tile.row == 0 else ""
        book.page(drawing, by=by, window=(x0, y0, x1, y1), over=over, mark=mark)


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


HOW = (
    "Cut out along the heavy lines. Wrap round the tube, print side out, straight edge toward the "
    "bar's other end; the edge must meet itself square. Lay the green line on the inside of the "
    "bend, or on a line scribed along the bar: both ends share it. The point marked LONGEST "
    "touches the tube's square-cut end."
)


def _head(job: str, sheet: Sheet, wraps: list[Wrap]) -> Drawing:
    """What is on every page: the bars' names, how to use it, the rulers."""
    m, top = sheet.margin, sheet.height - sheet.margin
    names = ", ".join(dict.fromkeys(wrap.bar for wrap in wraps))
    items: list[Primitive] = [
        Text(text="Tube ends 1:1", at=(m, top - 4.0), height=3.4, bold=True),
        Text(text=names, at=(m + 42.0, top - 4.0), height=2.4),
        Text(text=job, at=(sheet.width - m, top - 4.0), height=2.4, anchor="right"),
        Line(start=(m, top - 6.0), end=(sheet.width - m, top - 6.0), layer=NOTE),
    ]
    lines = wrapped(HOW, 1.9, sheet.width - 2.0 * m)
    items += [Text(text=t, at=(m, top - 9.4 - 3.1 * i), height=1.9) for i, t in enumerate(lines)]
    return (*items, *scale_bar((m, m + 8.5)))


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


__all__ = ["LAP", "add_large", "sheets_across", "wraps_pdf"]
