"""The rows of readings.csv as written, wrong ones too: what the page's table shows and edits."""

from __future__ import annotations

import csv
import re

from barwright.job.readings import COLUMNS, layout, passed_over
from barwright.job.row import Row

CELLS = COLUMNS
_ENDS = re.compile(r"\r\n|\n|\r")


def rows_of(text: str) -> tuple[Row, ...]:
    r"""Every line that is neither blank, nor a comment, nor the header, cell by cell.

    A line whose quotes are left open comes with the whole of it as its kind.

    >>> [(r.line, r.kind, r.marks, r.value) for r in rows_of("kind,marks,value\nheight,A,10 1/2\n")]
    [(2, 'height', 'A', '10 1/2')]
    """
    laid = layout(text)
    if laid is None:
        return ()
    lines = enumerate(_ENDS.split(text.removeprefix("\ufeff")), start=1)
    body = [(n, line) for n, line in lines if n > laid.line and not passed_over(line)]
    return tuple(_row(n, line, laid.columns, laid.parting) for n, line in body)


def _row(number: int, line: str, columns: tuple[str, ...], parting: str) -> Row:
    try:
        (cells,) = csv.reader([line], delimiter=parting, skipinitialspace=True, strict=True)
    except csv.Error:
        return Row(line=number, kind=line)
    named = dict(zip(columns, (c.strip() for c in cells), strict=False))
    named.pop("", None)
    return Row(line=number, **named)


def same(a: Row, b: Row) -> bool:
    """Whether two rows say the same, wherever they stand."""
    return all(getattr(a, c) == getattr(b, c) for c in CELLS)
