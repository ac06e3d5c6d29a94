"""What does one row of readings.csv say?"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from barwright.job.angles import parse_angle
from barwright.job.errors import Fault, said
from barwright.job.kinds import RULES, Rule
from barwright.job.lengths import parse_length
from barwright.job.names import LONGEST_NAME, NAME_PATTERN, nearest
from barwright.job.points import parse_point
from barwright.job.quantities import LEAST_PLUS_MINUS_MM, LEAST_PLUS_MINUS_RAD
from barwright.job.schema import DefaultPlusMinus, Reading

_MOST_DOUBT = 1e4
"""mm or rad: a reading known to ten metres says nothing."""

ROWS_KEPT = 4096
"""Rows remembered as read: of a job that is edited, all but one are what they were."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """The cells of one line of readings.csv, as written."""

    line: int
    kind: str = ""
    marks: str = ""
    value: str = ""
    plus_minus: str = ""
    note: str = ""


@lru_cache(ROWS_KEPT)
def read_row(row: Row, unit: str, defaults: DefaultPlusMinus) -> Reading | tuple[Fault, ...]:
    """The reading of a row, or everything that is wrong with it."""
    rule = RULES.get(row.kind.lower())
    if rule is None:
        return (_unknown_kind(row),)
    kind, faults, read = row.kind.lower(), list(_mark_faults(row, rule)), {}
    for column, reader in (("value", _value), ("plus_minus", _plus_minus)):
        try:
            read[column] = reader(row, rule, unit)
        except ValueError as wrong:
            faults.append(_fault(row, column, str(wrong)))
    if faults:
        return tuple(faults)
    return _reading(row, kind, read["value"], read["plus_minus"] or defaults.of(kind))


def _reading(row: Row, kind: str, value: Any, plus_minus: float) -> Reading:  # noqa: ANN401
    return Reading.model_validate(
        {
            "line": row.line,
            "kind": kind,
            "marks": tuple(row.marks.split()),
            "at" if kind == "fixed" else "value": value,
            "plus_minus": plus_minus,
            "note": row.note,
            "written": row.value,
        }
    )


def _value(row: Row, rule: Rule, unit: str) -> Any:  # noqa: ANN401 - a float, a point or None
    """The value as the kind wants it. Raises ValueError."""
    if not rule.value:
        if row.value:
            raise ValueError(f"no value: {row.kind} says {rule.says}; leave the column empty")
        return None
    if rule.value == "point":
        return parse_point(row.value, unit)
    value = _read(rule.value, row.value, unit)
    if not rule.least <= value <= rule.greatest or (rule.least == 0.0 == value):
        raise ValueError(_bounds(row, rule))
    return value


def _read(what: str, text: str, unit: str) -> float:
    return parse_angle(text) if what == "angle" else parse_length(text, unit)


def _bounds(row: Row, rule: Rule) -> str:
    if rule.value == "length":
        return f"{row.kind} is {rule.says}: more than 0"
    low, high = ("-90", "90") if rule.least < 0 else ("0", "180")
    return f"{row.kind} is {rule.says}: {low} to {high} degrees"


def _plus_minus(row: Row, rule: Rule, unit: str) -> float | None:
    """One standard deviation, None where the row gives none. Raises ValueError."""
    if not row.plus_minus:
        return None
    value = _read(rule.doubt, row.plus_minus, unit)
    least = LEAST_PLUS_MINUS_RAD if rule.doubt == "angle" else LEAST_PLUS_MINUS_MM
    if not least <= value <= _MOST_DOUBT:
        small = "0.001°" if rule.doubt == "angle" else "0.001 mm"
        raise ValueError(f"a plus/minus is one standard deviation, {small} or more")
    return value


def _mark_faults(row: Row, rule: Rule) -> Iterator[Fault]:
    """What is wrong with the marks of a row."""
    names = row.marks.split()
    for name in names:
        if not re.match(NAME_PATTERN, name) or not _visible(name):
            yield _fault(row, "marks", "names of marks, parted by blanks, without , ; / \" ' or .")
            return
        if len(name) > LONGEST_NAME:
            yield _fault(row, "marks", f"names of at most {LONGEST_NAME} characters")
            return
    if len(names) < rule.fewest or (rule.most is not None and len(names) > rule.most):
        yield _fault(row, "marks", f"{_how_many(rule)}: {row.kind} says {rule.says}")
    elif len(set(names)) < len(names):
        yield _fault(row, "marks", "each mark once")


def _visible(name: str) -> bool:
    """No control or invisible characters, by which two names could look the same."""
    return all(unicodedata.category(c)[0] != "C" for c in name)


def _how_many(rule: Rule) -> str:
    more = "" if rule.fewest == rule.most else " or more"
    return f"{rule.fewest}{more} mark{'' if rule.fewest == 1 else 's'}"


def _unknown_kind(row: Row) -> Fault:
    near = nearest(row.kind, RULES)
    return Fault(
        file="readings.csv",
        entry="kind",
        line=row.line,
        read=row.kind[:60] or "nothing",
        expected=f"one of {', '.join(RULES)}",
        do=f"did you mean {near}?" if near else "write one of these kinds",
    )


def _fault(row: Row, column: str, message: str) -> Fault:
    """A fault of one column."""
    written, (expected, do) = str(getattr(row, column)), said(message)
    return Fault(
        file="readings.csv",
        entry=column,
        line=row.line,
        read=written[:60] or "nothing",
        expected=expected,
        do=do or f"correct the {column} in line {row.line}",
    )
