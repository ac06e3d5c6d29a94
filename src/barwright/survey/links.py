"""Which readings tie which marks, seen from one mark at a time while the survey grows.

A frame may be *anchored* along some axes only: where one mark has a height but no station,
growth takes heights at their word and lets the whole slide along x until it is aligned. A
reading whose row would need an axis that is not anchored is left out until then.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple, TypeVar

import numpy as np

from barwright.survey import equations
from barwright.survey.equations import Form, Network, Rows

ALL_AXES = frozenset({0, 1, 2})

AnyLink = TypeVar("AnyLink", "Bond", "Link")


class Bond(NamedTuple):
    """Which marks are tied, and the rank of a line (1) or a flat (2): a link without its values."""

    marks: tuple[int, ...]
    rank: int


class Link(NamedTuple):
    """One row, or one line or flat, as a tie between marks.

    Attributes:
        marks: the marks in it.
        form: None for linear rows and for line and flat.
        axis, weight: of a linear row.
        rank: 1 for line, 2 for flat, 0 otherwise.
        needs: the axes that have to be anchored, or None where the orientation has to be known.
    """

    marks: tuple[int, ...]
    value: float
    sd: float
    form: Form | None = None
    axis: int = -1
    weight: tuple[float, ...] = ()
    rank: int = 0
    needs: frozenset[int] | None = frozenset()

    def holds(self, anchored: frozenset[int]) -> bool:
        """Whether the row means anything in a frame anchored along these axes."""
        if self.needs is not None:
            return self.needs <= anchored
        return len(anchored) >= 2 or self.axis in anchored


def _needs(rows: Rows) -> list[frozenset[int] | None]:
    """What each row needs, in order."""
    count = len(rows.value)
    if rows.form is equations.incline:
        return [None] * count
    if rows.form is not None or rows.weight is None or rows.axis is None:
        return [frozenset()] * count
    relative = np.abs(rows.weight.sum(axis=1)) < 1e-9
    between = None if rows.weight.shape[1] == 2 else frozenset[int]()
    own = [frozenset({axis}) for axis in rows.axis.tolist()]
    return [between if r else mine for r, mine in zip(relative.tolist(), own, strict=True)]


def _of_rows(rows: Rows) -> list[Link]:
    count = len(rows.value)
    linear = rows.weight is not None and rows.axis is not None
    axes = [2] * count if rows.axis is None else rows.axis.tolist()
    weights = rows.weight.tolist() if linear and rows.weight is not None else [()] * count
    columns = zip(
        rows.marks.tolist(),
        rows.value.tolist(),
        rows.sd.tolist(),
        axes,
        weights,
        _needs(rows),
        strict=True,
    )
    return [
        Link(
            marks=tuple(marks),
            value=value,
            sd=sd,
            form=rows.form,
            axis=axis,
            weight=tuple(weight),
            needs=needs,
        )
        for marks, value, sd, axis, weight, needs in columns
    ]


@lru_cache(maxsize=8)
def links_of(network: Network) -> tuple[Link, ...]:
    """Every row of the network as a tie."""
    found = [link for rows in network.rows for link in _of_rows(rows)]
    found += [
        Link(marks=tuple(int(m) for m in s.marks), value=0.0, sd=s.sd, rank=s.rank)
        for s in network.straights
    ]
    return tuple(found)


def by_mark(links: Iterable[AnyLink], count: int) -> list[list[AnyLink]]:
    """The ties of each of so many marks."""
    found: list[list[AnyLink]] = [[] for _ in range(count)]
    for link in links:
        for mark in set(link.marks):
            found[mark].append(link)
    return found


def strength(link: Bond | Link, mark: int, placed: Sequence[bool]) -> int:
    """How many equations a tie gives a mark, now that some others are placed."""
    others = sum(placed[m] for m in link.marks if m != mark)
    if link.rank == 1:
        return 2 if others >= 2 else 0
    if link.rank == 2:
        return 1 if others >= 3 else 0
    return 1 if others == len(link.marks) - 1 else 0
