"""The readings as rows to fill in: the same rows, in the same order, on paper and in the CSV."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from barwright.job.kinds import RULES
from barwright.job.lengths import MM_PER_INCH
from barwright.job.readings import COLUMNS
from barwright.pack.units import number

if TYPE_CHECKING:
    from barwright.job.schema import Job, Reading
    from barwright.survey.marks import Candidate, Marks

MOST_NEXT = 12
"""Suggested readings put on a sheet."""

SIXTY_FOURTHS = 64


@dataclass(frozen=True, kw_only=True)
class FormRow:
    """A row to fill in.

    Attributes:
        number: its line in readings.csv, or the one it would get.
        kind, marks: as in readings.csv.
        value, plus_minus: as written before, in the job's unit; empty where to be taken.
        note: as noted, or why it is asked for.
        asked: whether it is a suggestion, not a row there is.
        again: whether it disagrees with the others and should be taken again.
    """

    number: int
    kind: str
    marks: tuple[str, ...]
    value: str = ""
    plus_minus: str = ""
    note: str = ""
    asked: bool = False
    again: bool = False

    @property
    def fills(self) -> bool:
        """Whether it has a value to fill in."""
        return bool(RULES[self.kind].value)


def rows(job: Job, marks: Marks | None) -> tuple[FormRow, ...]:
    """The readings there are, in the order of readings.csv, then those worth taking next.

    Args:
        job: the job.
        marks: what the survey found; None leaves suggestions and doubts out.
    """
    suspect = {f.reading.line for f in marks.fitted if f.suspect} if marks else set()
    had = tuple(_had(r, job.job.unit, r.line in suspect) for r in job.readings)
    last = max((r.line for r in job.readings), default=1)
    asked = marks.next_reading[:MOST_NEXT] if marks else ()
    return had + tuple(_asked(c, last + 1 + i) for i, c in enumerate(asked))


def _had(reading: Reading, unit: str, again: bool) -> FormRow:
    return FormRow(
        number=reading.line,
        kind=reading.kind,
        marks=reading.marks,
        value=value_text(reading, unit),
        plus_minus=_text(RULES[reading.kind].doubt, reading.plus_minus, unit),
        note=reading.note,
        again=again,
    )


def _asked(candidate: Candidate, line: int) -> FormRow:
    return FormRow(
        number=line,
        kind=candidate.kind,
        marks=candidate.marks,
        note=f"worth {_trimmed(number(candidate.gain, 1))} %",
        asked=True,
    )


def value_text(reading: Reading, unit: str) -> str:
    """A reading's value as a person would write it, without a unit; empty where it has none."""
    if reading.at is not None:
        return " ".join(length_text(v, unit) for v in reading.at)
    if reading.value is None:
        return ""
    return _text(RULES[reading.kind].value, reading.value, unit)


def _text(what: str, value: float, unit: str) -> str:
    if what == "angle":
        return _trimmed(number(math.degrees(value), 3))
    return length_text(value, unit)


def length_text(length: float, unit: str) -> str:
    """A length [mm] as a bare number in the unit: in inches a fraction where it is one.

    >>> length_text(595.3125, "in"), length_text(3.048, "in"), length_text(-3.175, "in")
    ('23 7/16', '0.12', '-1/8')
    >>> length_text(595.3125, "mm")
    '595.31'
    """
    if unit != "in":
        return _trimmed(number(length, 2))
    inches = abs(length) / MM_PER_INCH
    parts = round(inches * SIXTY_FOURTHS)
    if abs(inches * SIXTY_FOURTHS - parts) > 0.003:
        return _trimmed(number(length / MM_PER_INCH, 4))
    whole, rest = divmod(parts, SIXTY_FOURTHS)
    words = [str(whole)] if whole or not rest else []
    words += [str(Fraction(rest, SIXTY_FOURTHS))] if rest else []
    return ("-" if length < 0 and parts else "") + " ".join(words)


def _trimmed(text: str) -> str:
    """Without the zeros a decimal ends in."""
    return text.rstrip("0").rstrip(".") if "." in text else text


def form_csv(job: Job, marks: Marks | None = None, *, values: bool = False) -> str:
    """The rows as a readings.csv to fill in.

    A row still to be filled in starts with "# ", which readings.csv passes over: take that off and
    write the value, and the row counts.

    Args:
        job: the job.
        marks: what the survey found; None leaves suggestions out.
        values: whether the values there are stand in it; otherwise all are to be taken anew.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in rows(job, marks):
        line = io.StringIO()
        keep = values and not row.asked
        csv.writer(line, lineterminator="\n").writerow(
            [row.kind, " ".join(row.marks), row.value if keep else "", row.plus_minus, row.note]
        )
        waits = row.asked or (row.fills and not values)
        out.write(("# " if waits else "") + line.getvalue())
    return out.getvalue()
