"""The printed board a template is photographed on: markers at exact places, bars to check them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barwright.pack.drawing import NOTE, Line, Loop, Primitive, Style, Text
from barwright.pack.paper import Book, Sheet, scale_bar, wrapped
from barwright.survey.template_board import (
    ACROSS_BAR,
    BAND,
    CELLS,
    SIDE,
    UP_BAR,
    Board,
    board,
)
from barwright.survey.template_photo import marker_cells

if TYPE_CHECKING:
    from pathlib import Path

INK = Style(width=0.0, fill="#000000")
BLANK = Style(width=0.0, fill="#ffffff")
FINE = Style(width=0.2)
FOLD = Style(width=0.25, dash=(2.0, 1.5))

HOW = (
    "Card flat and inside the markers · the whole board in the photo · from above, tilted by "
    "10 to 20° · soft light, no flash"
)


def write(name: str, path: Path) -> Board:
    """Write a board's PDF.

    Args:
        name: "a4", "a3", "letter", or several sheets taped together: "a4-3x2".
        path: the file to write.

    Raises:
        BadInput: no such board, or the image library is not installed.
    """
    wanted = board(name)
    path.write_bytes(pdf(wanted))
    return wanted


def pdf(wanted: Board) -> bytes:
    """A board as a PDF, one sheet a page, the same bytes every time.

    Raises:
        BadInput: the image library, which knows the markers, is not installed.
    """
    wide, high = wanted.size
    sheet = Sheet(name=wanted.paper, width=wide, height=high)
    book = Book(sheet, f"Template board {wanted.name}")
    for number in range(wanted.sheets):
        mark = f"Sheet {number + 1}" if wanted.sheets > 1 else ""
        book.page(sheet_of(wanted, number), mark=mark)
    return book.close()


def sheet_of(wanted: Board, number: int) -> tuple[Primitive, ...]:
    """What is on a sheet, counted from 0, bottom row first."""
    items = [p for place in range(wanted.per_sheet) for p in _marker(wanted, number, place)]
    items += _band(wanted, number)
    if number == 0:
        items += _long_bars(wanted)
    if number >= wanted.sheets - wanted.across:
        high = wanted.size[1]
        items.append(Text(text=HOW, at=(14.0, high - 7.0), height=1.9))
    return tuple(items)


def _marker(wanted: Board, sheet: int, place: int) -> list[Primitive]:
    """A marker: its black square, and the white cells on it in runs."""
    x, y = (float(v) for v in wanted.corners[place, 0])
    items: list[Primitive] = [_box(x, y - SIDE, x + SIDE, y, INK)]
    cell = SIDE / CELLS
    for row, cells in enumerate(marker_cells(sheet * wanted.per_sheet + place)):
        for first, last in _white_runs(cells):
            low, top = y - (row + 1) * cell, y - row * cell
            items.append(_box(x + first * cell, low, x + last * cell, top, BLANK))
    return items


def _white_runs(cells: tuple[bool, ...]) -> list[tuple[int, int]]:
    """First cell, and the one after the last, of every run of white.

    >>> _white_runs((True, False, False, True, False))
    [(1, 3), (4, 5)]
    """
    runs: list[tuple[int, int]] = []
    for i, black in enumerate(cells):
        if black:
            continue
        if runs and runs[-1][1] == i:
            runs[-1] = (runs[-1][0], i + 1)
        else:
            runs.append((i, i + 1))
    return runs


def _band(wanted: Board, number: int) -> list[Primitive]:
    """The foot of a sheet: its name, the bars, boxes for what was measured."""
    wide, _ = wanted.size
    items: list[Primitive] = [
        Text(text=f"Template board {wanted.name}", at=(14.0, 23.5), height=2.6, bold=True),
        *scale_bar((14.0, 19.0)),
    ]
    if wanted.sheets == 1:
        return [*items, *_boxes(wide)]
    column, row = number % wanted.across + 1, number // wanted.across + 1
    where = f"sheet {number + 1} of {wanted.sheets} · column {column} · row {row} from the foot"
    items.append(Text(text=where, at=(62.0, 23.5), height=2.0))
    if number == 0:
        items += _boxes(wide)
    if row > 1:
        items.append(Line(start=(5.0, BAND - 1.0), end=(wide - 5.0, BAND - 1.0), style=FOLD))
        says = "Lay the sheet below over this band, its top edge on the dashed line. Tape it flat."
        lines = wrapped(says, 2.2, wide - 150.0)
        items += [Text(text=t, at=(138.0, 19.5 - 3.6 * i), height=2.2) for i, t in enumerate(lines)]
    return items


def _boxes(wide: float) -> list[Primitive]:
    """Where to write what the bars measured."""
    right = wide - 14.0
    items: list[Primitive] = []
    items.append(Text(text="Measured on this print:", at=(right, 23.5), height=2.0, anchor="right"))
    for i, what in enumerate(("100 mm bar", "long bar across", "long bar up")):
        low = 17.6 - 4.6 * i
        items.append(Text(text=what, at=(right - 23.0, low + 1.0), height=1.9, anchor="right"))
        items.append(_box(right - 22.0, low, right - 5.0, low + 4.0, FINE))
        items.append(Text(text="mm", at=(right + 1.0, low + 1.0), height=1.9, anchor="right"))
    return items


def _long_bars(wanted: Board) -> list[Primitive]:
    """The long bars: across at the foot, up at the left; measured between the ticks."""
    x, y, up = 14.0, 6.0, UP_BAR[wanted.paper]
    left, foot = 6.8, BAND + 4.0
    return [
        Line(start=(x, y), end=(x + ACROSS_BAR, y), style=FINE),
        *(Line(start=(t, y - 1.5), end=(t, y + 1.5), style=FINE) for t in (x, x + ACROSS_BAR)),
        Text(
            text=f"{ACROSS_BAR:g} mm", at=(x + ACROSS_BAR / 2, y + 0.8), height=2.0, anchor="middle"
        ),
        Line(start=(left, foot), end=(left, foot + up), style=FINE),
        *(Line(start=(left - 1.5, t), end=(left + 1.5, t), style=FINE) for t in (foot, foot + up)),
        Text(
            text=f"{up:g} mm",
            at=(left - 0.8, foot + up / 2),
            height=2.0,
            anchor="middle",
            angle=1.5707963267948966,
        ),
    ]


def _box(x0: float, y0: float, x1: float, y1: float, style: Style) -> Loop:
    return Loop(
        vertices=((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)),
        layer=NOTE,
        style=style,
    )
