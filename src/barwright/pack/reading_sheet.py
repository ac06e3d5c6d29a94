"""The sheet a fabricator takes to the vehicle: a sketch of the marks and boxes for the readings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barwright.job.errors import BadInput, Fault
from barwright.job.kinds import RULES
from barwright.pack.drawing import NOTE, Line, Loop, Primitive, Style, Text
from barwright.pack.paper import A4, LETTER, Book, Sheet, text_width, wrapped
from barwright.pack.reading_form import FormRow, rows
from barwright.pack.reading_sketch import sketch

if TYPE_CHECKING:
    from pathlib import Path

    from barwright.job.schema import Job
    from barwright.survey.marks import Marks

PAPERS = {"a4": A4, "letter": LETTER}
HIGH = 11.0
"""Of a row [mm]: room for a thick pencil and dirty hands."""

RULE = Style(colour="#404040", width=0.2)
BOX = Style(colour="#000000", width=0.45, fill="#ffffff")
FAINT = Style(colour="#c8ccd0", width=0.15)
GREY = Style(colour="#7a7f85")
RED = Style(colour="#b3261e")
SHADE = Style(width=0.0, fill="#fbeceb")

UNIT_WORDS = {"in": "inches", "mm": "millimetres"}
COLUMNS = (0.0, 12.0, 31.0, 68.0, 92.0, 134.0, 156.0)
"""Where line, kind, marks, before, value, ± and note begin [mm from the left margin]."""

HEADS = ("line", "kind", "marks", "before", "value", "±", "note")


def write(
    job: Job,
    marks: Marks | None,
    path: Path,
    paper: str = "a4",
    *,
    values: bool = True,
) -> None:
    """Write the sheet as a PDF.

    Args:
        job: its readings are listed in their order.
        marks: what the survey found, for the sketch and for what to measure next; None where it
            has not been solved.
        path: the file to write.
        paper: "a4" or "letter".
        values: whether the values there are stand beside the boxes.

    Raises:
        BadInput: no such paper.
    """
    path.write_bytes(pdf(job, marks, paper, values=values))


def pdf(job: Job, marks: Marks | None, paper: str = "a4", *, values: bool = True) -> bytes:
    """The sheet as a PDF's bytes, the same every time; see `write`."""
    sheet = PAPERS.get(paper.lower())
    if sheet is None:
        expected = " or ".join(PAPERS)
        raise BadInput(Fault(file="paper", entry="", read=paper, expected=expected))
    book = Book(sheet, f"Readings: {job.job.name}")
    form = rows(job, marks)
    pages = [_first(job, marks, form, sheet), *_tables(job, form, sheet, values=values)]
    for number, items in enumerate(pages, start=1):
        foot = _foot(job, sheet, number, len(pages))
        book.page((*items, *foot), mark="Sketch" if number == 1 else f"Readings {number - 1}")
    return book.close()


def _foot(job: Job, sheet: Sheet, number: int, count: int) -> tuple[Primitive, ...]:
    left, right = sheet.margin, sheet.width - sheet.margin
    unit = UNIT_WORDS[job.job.unit]
    says = f"A bare number means {unit}; angles are in degrees. Fill in readings.csv line by line."
    return (
        Text(text=says, at=(left, 6.5), height=2.0, style=GREY),
        Text(text=f"{number} / {count}", at=(right, 6.5), height=2.2, anchor="right"),
    )


def _first(
    job: Job, marks: Marks | None, form: tuple[FormRow, ...], sheet: Sheet
) -> list[Primitive]:
    """The first page: name, unit, who and when, and the sketch."""
    left, right, top = sheet.margin, sheet.width - sheet.margin, sheet.height - sheet.margin
    items = _head(job, sheet)
    low = 14.0
    if marks is not None and marks.names:
        box = (left, low + _key_height(form), right, top - 26.0)
        items += [*sketch(job, marks, form, box), *_key(form, left, low, right)]
        return items
    items += _grid(left, low + _key_height(form) + 22.0, right, top - 26.0)
    items += _names(form, left, right, low + _key_height(form))
    return [*items, *_key(form, left, low, right)]


def _head(job: Job, sheet: Sheet) -> list[Primitive]:
    left, right, top = sheet.margin, sheet.width - sheet.margin, sheet.height - sheet.margin
    items: list[Primitive] = [
        Text(
            text=_fitted(f"Readings: {job.job.name}", 4.2, 120.0),
            at=(left, top - 5.0),
            height=4.2,
            bold=True,
        ),
        Text(text=f"all lengths in {UNIT_WORDS[job.job.unit]}", at=(left, top - 12.0), height=3.2),
    ]
    for i, what in enumerate(("taken by", "date", "tape used")):
        y = top - 6.0 - 7.5 * i
        items.append(Text(text=what, at=(right - 52.0, y), height=2.2, anchor="right"))
        items.append(_box(right - 50.0, y - 1.8, right, y + 4.6, RULE))
    return items


def _grid(x0: float, y0: float, x1: float, y1: float) -> list[Primitive]:
    """An empty grid to sketch the marks on, where none are solved yet."""
    step = 5.0
    items: list[Primitive] = []
    for i in range(int((x1 - x0) / step) + 1):
        x = x0 + step * i
        items.append(Line(start=(x, y0), end=(x, y1), layer=NOTE, style=FAINT))
    for i in range(int((y1 - y0) / step) + 1):
        y = y0 + step * i
        items.append(Line(start=(x0, y), end=(x1, y), layer=NOTE, style=FAINT))
    says = "Sketch the vehicle here and write each mark's name beside it."
    return [*items, Text(text=says, at=(x0 + 2.0, y1 - 4.5), height=2.4, style=GREY)]


def _names(form: tuple[FormRow, ...], left: float, right: float, low: float) -> list[Primitive]:
    """All marks by name."""
    names = list(dict.fromkeys(m for r in form for m in r.marks))
    text = "Marks: " + (" · ".join(names) if names else "none named yet")
    lines = wrapped(text, 2.4, right - left)[:5]
    return [
        Text(text=line, at=(left, low + 17.0 - 4.0 * i), height=2.4) for i, line in enumerate(lines)
    ]


def _kinds(form: tuple[FormRow, ...]) -> list[str]:
    return [k for k in RULES if any(r.kind == k for r in form)]


def _key_height(form: tuple[FormRow, ...]) -> float:
    return 4.2 * ((len(_kinds(form)) + 1) // 2) + 6.0


def _key(form: tuple[FormRow, ...], left: float, low: float, right: float) -> list[Primitive]:
    """What each kind of reading says, in two columns."""
    kinds = _kinds(form)
    items: list[Primitive] = []
    half = (len(kinds) + 1) // 2
    for i, kind in enumerate(kinds):
        x = left + (right - left) / 2 * (i // half)
        y = low + 4.2 * (half - 1 - i % half)
        items.append(Text(text=kind, at=(x, y), height=2.1, bold=True))
        items.append(Text(text=RULES[kind].says, at=(x + 17.0, y), height=2.1))
    if any(r.asked for r in form):
        y = low + 4.2 * half + 0.5
        says = "dashed red: worth measuring next"
        items.append(Text(text=says, at=(right, y), height=2.1, anchor="right", style=RED))
    return items


def _tables(
    job: Job, form: tuple[FormRow, ...], sheet: Sheet, *, values: bool
) -> list[list[Primitive]]:
    """Pages of rows."""
    top = sheet.height - sheet.margin - 12.0
    fit = int((top - 14.0) // HIGH)
    blank = fit - len(form) % fit
    parts = [form[i : i + fit] for i in range(0, len(form), fit)] or [()]
    if len(form) % fit == 0 and form:
        parts.append(())
        blank = fit
    last = max((r.number for r in form), default=1)
    pages = []
    for at, part in enumerate(parts):
        items = _table_head(job, sheet, top)
        for i, row in enumerate(part):
            items += _row(row, sheet, top - HIGH * (i + 1), values=values)
        if at == len(parts) - 1:
            for i in range(len(part), len(part) + blank):
                number = last + 1 + i - len(part)
                items += _empty(number, sheet, top - HIGH * (i + 1))
        pages.append(items)
    return pages


def _table_head(job: Job, sheet: Sheet, top: float) -> list[Primitive]:
    left, right = sheet.margin, sheet.width - sheet.margin
    y = sheet.height - sheet.margin
    items: list[Primitive] = [
        Text(text=_fitted(job.job.name, 2.8, 110.0), at=(left, y - 4.0), height=2.8, bold=True),
        Text(
            text=f"all lengths in {UNIT_WORDS[job.job.unit]}",
            at=(right, y - 4.0),
            height=2.8,
            anchor="right",
        ),
        Line(start=(left, top), end=(right, top), layer=NOTE, style=BOX),
    ]
    for x, head in zip(COLUMNS, HEADS, strict=True):
        items.append(Text(text=head, at=(left + x + 1.0, top + 1.6), height=2.1, bold=True))
    return items


def _row(row: FormRow, sheet: Sheet, low: float, *, values: bool) -> list[Primitive]:
    left, right = sheet.margin, sheet.width - sheet.margin
    flagged = row.asked or row.again
    items: list[Primitive] = []
    if flagged:
        items.append(_box(left, low + 0.15, right, low + HIGH - 0.15, SHADE))
    base = low + HIGH / 2 - 1.4
    items += [
        Text(text=str(row.number), at=(left + 9.0, base), height=2.6, anchor="right"),
        Text(text=row.kind, at=(left + COLUMNS[1] + 1.0, base), height=2.6, bold=True),
        *_cell(" ".join(row.marks), left + COLUMNS[2] + 1.0, low, 35.0, 3.0, bold=True),
    ]
    if values and not row.asked:
        before = f"{row.value} ± {row.plus_minus}" if row.fills else f"± {row.plus_minus}"
        items += _cell(before, left + COLUMNS[3] + 1.0, low, 22.0, 2.2, style=GREY)
    items += _value_box(row, left, low)
    note = ("measure again · " if row.again else "") + row.note
    items += _cell(
        note.strip(" ·"),
        left + COLUMNS[6] + 1.0,
        low,
        right - left - COLUMNS[6] - 2.0,
        2.0,
        style=RED if flagged else GREY,
    )
    return [*items, _under(left, right, low)]


def _value_box(row: FormRow, left: float, low: float) -> list[Primitive]:
    """The boxes for the value and its plus/minus, or one to tick for a kind without a value."""
    x, high = left + COLUMNS[4], low + HIGH - 1.2
    doubt = _box(left + COLUMNS[5], low + 1.2, left + COLUMNS[6] - 2.0, high, BOX)
    if row.kind == "fixed":
        third = (COLUMNS[5] - COLUMNS[4] - 2.0) / 3
        parts: list[Primitive] = [
            _box(x + third * i, low + 1.2, x + third * (i + 1), high, BOX) for i in range(3)
        ]
        parts += [
            Text(text=t, at=(x + third * i + 0.8, high - 2.4), height=1.6, style=GREY)
            for i, t in enumerate("xyz")
        ]
        return [*parts, doubt]
    if row.fills:
        return [_box(x, low + 1.2, left + COLUMNS[5] - 2.0, high, BOX), doubt]
    square = high - low - 1.2
    says = Text(text="holds", at=(x + square + 2.0, low + HIGH / 2 - 1.2), height=2.4)
    return [_box(x, low + 1.2, x + square, high, BOX), says, doubt]


def _empty(number: int, sheet: Sheet, low: float) -> list[Primitive]:
    """A row without anything, for what else is measured."""
    left, right = sheet.margin, sheet.width - sheet.margin
    base, high = low + HIGH / 2 - 1.4, low + HIGH - 1.2
    return [
        Text(text=str(number), at=(left + 9.0, base), height=2.6, anchor="right", style=GREY),
        _box(left + COLUMNS[4], low + 1.2, left + COLUMNS[5] - 2.0, high, BOX),
        _box(left + COLUMNS[5], low + 1.2, left + COLUMNS[6] - 2.0, high, BOX),
        *(
            Line(start=(left + c, low + 1.5), end=(left + c, high), layer=NOTE, style=FAINT)
            for c in COLUMNS[1:4]
        ),
        _under(left, right, low),
    ]


def _cell(
    text: str,
    x: float,
    low: float,
    width: float,
    height: float,
    *,
    bold: bool = False,
    style: Style | None = None,
) -> list[Primitive]:
    """Text in a cell: smaller where it must be, in two lines at most, never cut silently."""
    size = height
    while size > 1.3 and (
        len(wrapped(text, size, width, bold=bold)) > 3
        or any(
            text_width(t, size, bold=bold) > width for t in wrapped(text, size, width, bold=bold)
        )
    ):
        size *= 0.9
    lines = [_fitted(t, size, width) for t in wrapped(text, size, width, bold=bold)]
    if len(lines) > 3:
        lines = [*lines[:2], _fitted(lines[2] + " …", size, width)]
    step = size * 1.5
    first = low + HIGH / 2 + step * (len(lines) - 1) / 2 - size / 2
    return [
        Text(text=t, at=(x, first - step * i), height=size, bold=bold, style=style)
        for i, t in enumerate(lines)
    ]


def _fitted(text: str, height: float, width: float) -> str:
    """Text cut to a width, with three dots where it was cut."""
    if text_width(text, height) <= width * 1.1:
        return text
    while text and text_width(text + "…", height) > width:
        text = text[:-1]
    return text + "…"


def _under(left: float, right: float, low: float) -> Primitive:
    return Line(start=(left, low), end=(right, low), layer=NOTE, style=FAINT)


def _box(x0: float, y0: float, x1: float, y1: float, style: Style) -> Loop:
    return Loop(
        vertices=((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)),
        layer=NOTE,
        style=style,
    )
