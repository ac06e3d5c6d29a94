"""Which rows the readings make: names to numbers, values to what the forms should come to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from barwright.job.schema import Reading
from barwright.survey import equations
from barwright.survey.equations import Form, Network, Rows, Straight

_FORMS: Mapping[str, Form] = {
    "tape": equations.distance,
    "over": equations.distance,
    "between": equations.distance,
    "incline": equations.incline,
    "corner": equations.corner,
}
_LINEAR: Mapping[str, tuple[tuple[int, tuple[float, ...]], ...]] = {
    "height": ((2, (1.0,)),),
    "station": ((0, (1.0,)),),
    "offset": ((1, (1.0,)),),
    "fixed": ((0, (1.0,)), (1, (1.0,)), (2, (1.0,))),
    "level": ((2, (1.0, -1.0)),),
    "plumb": ((0, (1.0, -1.0)), (1, (1.0, -1.0))),
    "pair": ((0, (1.0, -1.0)), (1, (1.0, 1.0)), (2, (1.0, -1.0))),
    "middle": tuple((axis, (1.0, -0.5, -0.5)) for axis in range(3)),
}
"""Axis and factors of every row of the linear kinds."""


class _Row(NamedTuple):
    reading: int
    marks: tuple[int, ...]
    value: float
    sd: float
    axis: int = -1
    weight: tuple[float, ...] = ()


def names_of(readings: Sequence[Reading]) -> tuple[str, ...]:
    """The marks in the order they are first named."""
    return tuple(dict.fromkeys(name for r in readings for name in r.marks))


def aim(reading: Reading, radius_of: Mapping[str, float]) -> float:
    """What the reading's form should come to [mm or rad].

    `over` and `between` speak of the tubes' outsides; their form is between centrelines.
    """
    value = reading.value or 0.0
    if reading.kind == "over":
        return value - sum(radius_of[m] for m in reading.marks)
    if reading.kind == "between":
        return value + sum(radius_of[m] for m in reading.marks)
    return value


def _linear_rows(i: int, r: Reading, index: Mapping[str, int]) -> Iterator[_Row]:
    marks = tuple(index[m] for m in r.marks)
    for axis, weight in _LINEAR[r.kind]:
        value = (r.at or (0.0, 0.0, 0.0))[axis] if r.kind == "fixed" else (r.value or 0.0)
        yield _Row(reading=i, marks=marks, value=value, sd=r.plus_minus, axis=axis, weight=weight)


def _rows(found: Sequence[_Row], form: Form | None) -> Rows:
    linear = form is None
    return Rows(
        marks=np.array([r.marks for r in found], dtype=np.intp),
        value=np.array([r.value for r in found]),
        sd=np.array([r.sd for r in found]),
        reading=np.array([r.reading for r in found], dtype=np.intp),
        weight=np.array([r.weight for r in found]) if linear else None,
        axis=np.array([r.axis for r in found], dtype=np.intp) if linear else None,
        form=form,
    )


def network_of(
    readings: Sequence[Reading],
    radius_of: Mapping[str, float],
    names: tuple[str, ...] | None = None,
) -> Network:
    """The readings as rows, grouped by form.

    Args:
        readings: already found sound by `faults.faults_in`.
        radius_of: outside radius [mm] of the tube whose centreline a mark lies on.
        names: the marks, where they are more than the readings name.
    """
    names = names or names_of(readings)
    index = {name: i for i, name in enumerate(names)}
    groups: dict[tuple[Form | None, int], list[_Row]] = {}
    straights: list[Straight] = []
    for i, r in enumerate(readings):
        marks = tuple(index[m] for m in r.marks)
        if r.kind in {"line", "flat"}:
            rank = 1 if r.kind == "line" else 2
            straights.append(Straight(marks=np.array(marks), rank=rank, sd=r.plus_minus, reading=i))
        elif r.kind in _LINEAR:
            for row in _linear_rows(i, r, index):
                groups.setdefault((None, len(row.marks)), []).append(row)
        else:
            row = _Row(reading=i, marks=marks, value=aim(r, radius_of), sd=r.plus_minus)
            groups.setdefault((_FORMS[r.kind], len(marks)), []).append(row)
    return Network(
        names=names,
        readings=tuple(readings),
        rows=tuple(_rows(found, form) for (form, _), found in groups.items()),
        straights=tuple(sorted(straights, key=lambda s: (s.rank, len(s.marks)))),
    )
