"""Templates laid on sheets of paper, over several where one is too small."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from barwright.pack.drawing import NOTE, Drawing, Line, Primitive, Style, Text, bounds
from barwright.pack.paper import Book, Sheet, scale_bar, sheet_for, wrapped
from barwright.pack.wrap import Wrap, facts, template, wraps_of
from barwright.tubes.bars import BuiltBar

LAP = 12.0
"""How far two sheets of one template lie over each other [mm]."""

HEAD, FOOT = 26.0, 20.0
"""Room at the top for the title and at the bottom for the rulers [mm]."""


@dataclass(frozen=True, kw_only=True)
class Tile:
    """A piece of a template on one sheet: its column and row, and how many there are."""

    column: int
    row: int
    columns: int
    rows: int


def wraps_pdf(bars: Iterable[BuiltBar], unit: str, job: str) -> bytes | None:
    """Every coped end's template at 1:1 in one PDF; None when no end is coped."""
    wraps = [wrap for bar in bars for wrap in wraps_of(bar)]
    if not wraps:
        return None
    book = Book(sheet_for(unit), f"{job}: templates for tube ends, 1:1")
    for wrap in wraps:
        add_wrap(book, wrap, unit, job)
    return book.close()


def add_wrap(book: Book, wrap: Wrap, unit: str, job: str) -> None:
    """One template, over as many sheets as it needs."""
    drawing, sheet = template(wrap, unit), book.sheet
    x0, y0, x1, y1 = bounds(drawing)
    window = _window(sheet)
    wide, tall = window[2] - window[0], window[3] - window[1]
    columns, rows = sheets_across(x1 - x0, wide), sheets_across(y1 - y0, tall)
    for tile in _tiles(columns, rows):
        by = (
            window[0] - x0 - tile.column * (wide - LAP) + _centred(x1 - x0, wide, columns),
            window[3] - y1 + tile.row * (tall - LAP),
        )
        title = f"{wrap.bar} · {wrap.end} ({wrap.mark})"
        book.page(
            drawing,
            by=by,
            window=window,
            over=(*_head(wrap, unit, job, sheet, tile), *_laps(window, tile)),
            mark=title if tile.column == tile.row == 0 else "",
        )


def sheets_across(length: float, window: float) -> int:
    """How many sheets a length [mm] takes, each lapping over the one before by `LAP`.

    >>> sheets_across(100.0, 190.0), sheets_across(200.0, 190.0), sheets_across(369.0, 190.0)
    (1, 2, 3)
    """
    return max(1, math.ceil((length - LAP - 1e-9) / (window - LAP)))


def _window(sheet: Sheet) -> tuple[float, float, float, float]:
    m = sheet.margin
    return (m, m + FOOT, sheet.width - m, sheet.height - m - HEAD)


def _centred(length: float, window: float, sheets: int) -> float:
    return (window - length) / 2.0 if sheets == 1 else 0.0


def _tiles(columns: int, rows: int) -> Iterator[Tile]:
    for row in range(rows):
        for column in range(columns):
            yield Tile(column=column, row=row, columns=columns, rows=rows)


def _head(wrap: Wrap, unit: str, job: str, sheet: Sheet, tile: Tile) -> Drawing:
    m, top = sheet.margin, sheet.height - sheet.margin
    title = f"{wrap.bar} · end “{wrap.end}” at mark {wrap.mark}"
    items: list[Primitive] = [
        Text(text=title, at=(m, top - 5.0), height=4.5 if len(title) < 50 else 3.0, bold=True),
        Text(text=job, at=(sheet.width - m, top - 5.0), height=2.4, anchor="right"),
        Text(text=facts(wrap, unit), at=(m, top - 10.5), height=2.0),
    ]
    how = (
        "Cut out along the heavy lines. Wrap round the tube, print side out, straight edge toward "
        f"{wrap.other}; the edge must meet itself square. 0° on the bar's zero line. The point "
        "marked LONGEST touches the tube's square-cut end."
    )
    lines = wrapped(how, 2.0, sheet.width - 2.0 * m)
    items += [Text(text=t, at=(m, top - 14.8 - 3.2 * i), height=2.0) for i, t in enumerate(lines)]
    items += scale_bar((m, m + 8.5))
    if tile.columns * tile.rows > 1:
        items += _which_sheet(sheet, tile)
    return tuple(items)


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


__all__ = ["LAP", "add_wrap", "sheets_across", "wraps_pdf"]
