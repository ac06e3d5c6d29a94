"""Reading readings.csv: every row a reading, every fault by its line."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass

from barwright.job.errors import MOST_FAULTS, Fault
from barwright.job.kinds import RULES
from barwright.job.names import nearest
from barwright.job.row import Row, read_row
from barwright.job.schema import DefaultPlusMinus, Reading

FILE = "readings.csv"
COLUMNS = ("kind", "marks", "value", "plus_minus", "note")
_NEEDED = ("kind", "marks", "value")
_SAME = {"plus/minus": "plus_minus", "+/-": "plus_minus", "±": "plus_minus", "sd": "plus_minus"}


@dataclass(frozen=True, kw_only=True)
class Rows:
    """What readings.csv held.

    Attributes:
        readings: the rows that are right.
        faults: what is wrong with the others.
        marks: every mark named, in the wrong rows too, so that one slip is reported once.
    """

    readings: tuple[Reading, ...]
    faults: tuple[Fault, ...]
    marks: frozenset[str]


def read_readings(text: str, unit: str, defaults: DefaultPlusMinus) -> Rows:
    """The readings of a text, and everything wrong with it.

    Columns may stand in any order, parted by commas, semicolons or tabs. Blank lines and lines
    that start with # are passed over. One reading is one line.

    Args:
        text: of readings.csv.
        unit: "in" or "mm", what a bare number means.
        defaults: the plus/minus of a row that gives none.
    """
    lines = [(n, line) for n, line in _lines(text) if not passed_over(line)]
    if not lines:
        return Rows(readings=(), faults=(), marks=frozenset())
    (number, header), body = lines[0], lines[1:]
    parting = _parting(header)
    columns, faults = _columns(number, header, parting)
    if faults:
        return Rows(readings=(), faults=faults, marks=frozenset())
    rows = [_cells(n, line, parting, columns) for n, line in body]
    readings, wrong = _read(rows, unit, defaults)
    marks = frozenset(m for r in rows if isinstance(r, Row) for m in r.marks.split())
    return Rows(readings=readings, faults=wrong, marks=marks)


def _read(
    rows: list[Row | tuple[Fault, ...]], unit: str, defaults: DefaultPlusMinus
) -> tuple[tuple[Reading, ...], tuple[Fault, ...]]:
    """The readings of the rows, and the faults: reading stops where more would not be told."""
    readings: list[Reading] = []
    faults: list[Fault] = []
    for row in rows:
        read = read_row(row, unit, defaults) if isinstance(row, Row) else row
        if isinstance(read, Reading):
            readings.append(read)
        else:
            faults += read
        if len(faults) > MOST_FAULTS:
            break
    return tuple(readings), tuple(faults)


@dataclass(frozen=True, kw_only=True)
class Layout:
    """How a readings.csv is laid out: its header's line, its columns, and what parts them."""

    line: int
    columns: tuple[str, ...]
    parting: str


def layout(text: str) -> Layout | None:
    """How the text is laid out; None where it has no right header."""
    for number, line in _lines(text.removeprefix("\ufeff")):
        if not passed_over(line):
            columns, faults = _columns(number, line, _parting(line))
            return None if faults else Layout(line=number, columns=columns, parting=_parting(line))
    return None


def passed_over(line: str) -> bool:
    """Whether a line is blank or a comment."""
    return not line.strip(" \t\r\n,;") or line.lstrip(' "').startswith("#")


def _parting(header: str) -> str:
    return max(",;\t", key=header.count)


def _lines(text: str) -> Iterator[tuple[int, str]]:
    return enumerate(re.split(r"\r\n|\n|\r", text), start=1)


def _split(line: str, parting: str) -> list[str]:
    """The cells of one line. Raises csv.Error where quotes are left open."""
    (cells,) = csv.reader([line], delimiter=parting, skipinitialspace=True, strict=True)
    return [cell.strip() for cell in cells]


def _columns(number: int, header: str, parting: str) -> tuple[tuple[str, ...], tuple[Fault, ...]]:
    """The column names as they stand, and what is wrong with them."""
    try:
        cells = _split(header, parting)
    except csv.Error:
        return (), (_bad_header(number, header),)
    names = tuple(_SAME.get(c.lower(), c.lower()) for c in cells)
    if names and names[0] in RULES:
        return (), (_bad_header(number, header),)
    faults = [_unknown_column(number, n) for n in names if n and n not in COLUMNS]
    faults += [_column(number, n, "the column once") for n in COLUMNS if names.count(n) > 1]
    if not faults:
        faults = [_column(number, n, "a column of this name") for n in _NEEDED if n not in names]
    return names, tuple(faults)


def _bad_header(number: int, header: str) -> Fault:
    return Fault(
        file=FILE,
        entry="header",
        line=number,
        read=header[:60],
        expected=",".join(COLUMNS),
        do="make that the first line",
    )


def _unknown_column(number: int, name: str) -> Fault:
    near = nearest(name, COLUMNS)
    return Fault(
        file=FILE,
        entry=name[:60],
        line=number,
        read=f"a column {name[:60]!r}",
        expected=f"columns {', '.join(COLUMNS)}",
        do=f"did you mean {near!r}?" if near else "take the column out, or use note for it",
    )


def _column(number: int, name: str, expected: str) -> Fault:
    return Fault(
        file=FILE,
        entry=name,
        line=number,
        read="the header line",
        expected=expected,
        do=f"make the first line {','.join(COLUMNS)}",
    )


def _cells(
    number: int, line: str, parting: str, columns: tuple[str, ...]
) -> Row | tuple[Fault, ...]:
    """One line's cells by column, or what is wrong with the line."""
    try:
        cells = _split(line, parting)
    except csv.Error:
        return (_open_quote(number, line),)
    by_name = dict(zip(columns, cells, strict=False))
    if any(cells[len(columns) :]) or (len(cells) > len(columns) and _split_decimal(by_name)):
        return (_too_many(number, line, len(columns)),)
    by_name.pop("", None)
    return Row(line=number, **by_name)


def _split_decimal(cells: dict[str, str]) -> bool:
    """Whether a line one cell too long may be one whose value 1000,5 fell apart at its comma."""
    return all(cells.get(column, "").isdigit() for column in ("value", "plus_minus"))


def _open_quote(number: int, line: str) -> Fault:
    return Fault(
        file=FILE,
        entry="",
        line=number,
        read=line[:60],
        expected="quotes that open and close in the same line",
        do='write inches as in, such as 23 7/16 in, or double the mark inside quotes: "23 7/16"""',
    )


def _too_many(number: int, line: str, columns: int) -> Fault:
    comma = re.search(r"\d,\d", line)
    return Fault(
        file=FILE,
        entry="",
        line=number,
        read=line[:60],
        expected=f"at most {columns} columns",
        do="write a decimal point, not a comma"
        if comma
        else "put a note that holds commas between double quotes",
    )
