"""Hulls by whose they are: rows of each owner, the box round all of them, pairs that come near."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from barwright.buildup.hulls import Hulls
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats

Box: TypeAlias = tuple[Floats, Floats]
"""Low and high corners, coordinates in rows: (3, n) each [mm]."""
Rows: TypeAlias = tuple[Ints, Ints, Ints]
"""Rows sorted by owner; where each owner's begin; how many they are."""


def by_owner(h: Hulls, owners: int) -> Rows:
    """The rows of each owner, owners counted from 0."""
    order = np.argsort(h.owner, kind="stable")
    begin = np.searchsorted(h.owner[order], np.arange(owners + 1))
    return order, begin[:-1], np.diff(begin)


def boxes_of(h: Hulls, owners: int) -> Box:
    """The box round each owner's hulls, turned inside out where there are none."""
    low, high = np.full((owners, 3), np.inf), np.full((owners, 3), -np.inf)
    np.minimum.at(low, h.owner, h.low)
    np.maximum.at(high, h.owner, h.high)
    return low.T, high.T


def spread(first: Ints, rows: Rows, owner: Ints) -> tuple[Ints, Ints]:
    """Each entry once for every row of its owner: the entry repeated, and the row."""
    order, begin, count = rows
    many = count[owner]
    back = np.repeat(begin[owner] - (np.cumsum(many) - many), many)
    return np.repeat(first, many), order[back + np.arange(len(back))]


def near_of(
    a: Hulls, b: Hulls, pairs: tuple[Ints, Ints], within: float = 0.0
) -> tuple[Ints, Ints, Ints]:
    """Of pairs of owners, pairs of hulls whose boxes come within a distance [mm] of one another.

    Args:
        a: hulls of the first owners.
        b: hulls of the second owners.
        pairs: owners in a and in b, shape (n,) each.
        within: [mm].

    Returns:
        Which of the n pairs, row of a, row of b, shape (k,) each.
    """
    p, q = pairs
    if len(p) == 0:
        return (np.zeros(0, dtype=np.intp),) * 3
    counts = int(max(p.max(), a.owner.max())) + 1, int(max(q.max(), b.owner.max())) + 1
    mine, theirs = boxes_of(a, counts[0]), boxes_of(b, counts[1])
    pair = np.nonzero(
        _near((mine[0][:, p], mine[1][:, p]), (theirs[0][:, q], theirs[1][:, q]), within)
    )[0]
    box_a, box_b = (a.low.T, a.high.T), (b.low.T, b.high.T)
    pair, i = spread(pair, by_owner(a, counts[0]), p[pair])
    kept = _near(_taken(box_a, i), _taken(theirs, q[pair]), within)
    pair, i = pair[kept], i[kept]
    at, j = spread(np.arange(len(pair)), by_owner(b, counts[1]), q[pair])
    pair, i = pair[at], i[at]
    kept = _near(_taken(box_a, i), _taken(box_b, j), within)
    return pair[kept], i[kept], j[kept]


def _taken(box: Box, rows: Ints) -> Box:
    return box[0].take(rows, axis=1), box[1].take(rows, axis=1)


def _near(one: Box, other: Box, within: float) -> Bools:
    gap = np.maximum(one[0] - other[1], other[0] - one[1])
    return np.asarray(np.maximum(np.maximum(gap[0], gap[1]), gap[2]) <= within)
