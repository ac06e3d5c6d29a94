"""Adding, changing and taking out a line of readings.csv: every other line stays byte for byte."""

from __future__ import annotations

import csv
import io
import re

from barwright.job.errors import BadInput, Fault
from barwright.job.readings import COLUMNS, FILE, layout, passed_over
from barwright.job.row import Row

_LINES = re.compile(r"[^\r\n]*(?:\r\n|\n|\r)|[^\r\n]+")
HEADER = ",".join(COLUMNS)


def add_reading(text: str, row: Row) -> str:
    r"""The text with one more reading at its end.

    Args:
        text: of readings.csv; empty makes the header too.
        row: what to write; its `line` is not used.

    >>> add_reading("", Row(line=0, kind="height", marks="A", value="10 1/2"))
    'kind,marks,value,plus_minus,note\nheight,A,10 1/2,,\n'
    """
    end = _line_end(text)
    body = text if text.strip("\ufeff \t\r\n") else f"{text}{HEADER}{end}"
    if not body.endswith(("\n", "\r")):
        body += end
    return body + _written(body, row) + end


def change_reading(text: str, line: int, row: Row) -> str:
    """The text with the reading on one line written anew.

    Raises:
        BadInput: there is no reading on that line.
    """
    lines = _reading_lines(text, line)
    old = lines[line - 1]
    lines[line - 1] = _written(text, row) + old[len(old.rstrip("\r\n")) :]
    return "".join(lines)


def delete_reading(text: str, line: int) -> str:
    """The text without the reading on one line.

    Raises:
        BadInput: there is no reading on that line.
    """
    lines = _reading_lines(text, line)
    del lines[line - 1]
    return "".join(lines)


def _reading_lines(text: str, line: int) -> list[str]:
    """The lines with their ends, once it is sure that a reading stands on the one meant."""
    lines, header = _LINES.findall(text), layout(text)
    first = header.line if header else len(lines)
    if not first < line <= len(lines) or passed_over(lines[line - 1]):
        raise BadInput(
            Fault(
                file=FILE,
                entry="",
                line=line,
                read="no reading",
                expected="a line with a reading on it",
                do="load the file again: its lines have moved",
            )
        )
    return lines


def _written(text: str, row: Row) -> str:
    """One line in the file's own columns."""
    header = layout(text)
    if header is None:
        raise BadInput(
            Fault(file=FILE, entry="header", line=1, expected=HEADER, do="make that the first line")
        )
    out = io.StringIO()
    cells = [" ".join(str(getattr(row, c, "")).split()) for c in header.columns]
    csv.writer(out, delimiter=header.parting, lineterminator="").writerow(cells)
    if passed_over(out.getvalue()):
        raise BadInput(_not_a_row(row))
    return out.getvalue()


def _not_a_row(row: Row) -> Fault:
    return Fault(
        file=FILE,
        entry="",
        read=(row.kind or row.note)[:60] or "nothing",
        expected="a reading: a line that is neither blank nor starts with #",
        do="give its kind and marks",
    )


def _line_end(text: str) -> str:
    found = re.search(r"\r\n|\n|\r", text)
    return found[0] if found else "\n"
