"""What stands in the way of many pieces, each along many straight ways, asked all at once.

Boxes first: of pieces and parts, of parts' hulls, of pairs of hulls, each swept along the way.
What is left is decided by the planes round the pair's difference (see `differences`), a few of
the likeliest pairs first: where one of them meets, the rest need not be looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.buildup.hulls import Hulls
from barwright.buildup.owners import Box, Rows, boxes_of, by_owner, spread
from barwright.buildup.rays import LEVEL, meets
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats

FIRST = 2
"""Hulls, and pairs, looked at first for each piece, way and part: those that overlap longest."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Asked:
    """What `in_the_way` is asked; `whole` is the box round each way's piece."""

    a: Hulls
    b: Hulls
    ways: Floats
    of: Ints
    slack: float
    until: float
    skip: Bools | None
    boxes: tuple[Box, Box]
    whole: Box
    over: Floats


def in_the_way(
    a: Hulls,
    b: Hulls,
    ways: Floats,
    of: Ints,
    *,
    slack: float,
    may: Bools,
    skip: Bools | None = None,
    until: float = np.inf,
) -> Bools:
    """Which parts stand in the way of which moves, shape (m, parts).

    Args:
        a: what moves; `owner` counts pieces.
        b: what stands; `owner` counts parts.
        ways: unit directions, shape (m, 3).
        of: which piece goes each way, shape (m,).
        slack: overlap let pass as touching [mm].
        may: which parts each piece may meet, shape (pieces, parts).
        skip: pairs of hulls that do not count, shape (len(a), len(b)).
        until: farther than this is not looked [mm].
    """
    pieces, parts = may.shape
    low, high = boxes_of(a, pieces)
    over = 1.0 / np.where(np.abs(ways.T) < LEVEL, LEVEL * LEVEL, ways.T)
    asked = _Asked(
        a=a,
        b=b,
        ways=ways,
        of=of,
        slack=slack,
        until=until,
        skip=skip,
        boxes=(_columns(a), _columns(b)),
        whole=(low[:, of], high[:, of]),
        over=over,
    )
    k, p, mine = _ahead(asked, may)
    k, j, long = _beyond(asked, k, p, parts)
    key = k * parts + b.owner[j]
    found = np.zeros(len(ways) * parts, dtype=bool)
    for lot in _likeliest(key, long):
        some = lot[~found[key[lot]]]
        _look(asked, mine, (k[some], j[some]), key[some], found)
    return found.reshape(len(ways), parts)


def _look(x: _Asked, mine: Rows, at: tuple[Ints, Ints], key: Ints, found: Bools) -> None:
    """Note which keys are met by some hull of their piece, of those that may by their boxes."""
    row, i = spread(np.arange(len(key)), mine, key)
    k, j, key = at[0][row], at[1][row], key[row]
    hit, long = _met(_taken(x.boxes[0], i), _taken(x.boxes[1], j), x.over[:, k], x)
    if x.skip is not None:
        hit &= ~x.skip[i, j]
    i, j, k, key, long = i[hit], j[hit], k[hit], key[hit], long[hit]
    for lot in _likeliest(key, long):
        some = lot[~found[key[lot]]]
        hit = meets(x.a, x.b, (i[some], j[some]), x.ways[k[some]], x.slack, x.until)
        found[key[some[hit]]] = True


def _likeliest(key: Ints, long: Floats) -> list[Ints]:
    """Rows in two lots: the longest few of each key, then all others."""
    order = np.lexsort((-long, key))
    sorted_ = key[order]
    place = np.arange(len(key)) - np.searchsorted(sorted_, sorted_)
    return [order[place < FIRST], order[place >= FIRST]]


def _ahead(x: _Asked, may: Bools) -> tuple[Ints, Ints, Rows]:
    """Ways, and parts whose boxes the piece's own box meets on them; and with which of its hulls.

    The hulls come by key: way times the number of parts, plus part.
    """
    pieces, parts = may.shape
    theirs = boxes_of(x.b, parts)
    k, p = np.nonzero(may[x.of])
    hit, _ = _met(_taken(x.whole, k), _taken(theirs, p), x.over[:, k], x)
    k, p = k[hit], p[hit]
    row, i = spread(np.arange(len(k)), by_owner(x.a, pieces), x.of[k])
    hit, _ = _met(_taken(x.boxes[0], i), _taken(theirs, p[row]), x.over[:, k[row]], x)
    count = np.bincount((k * parts + p)[row[hit]], minlength=len(x.ways) * parts)
    return k, p, (i[hit], np.cumsum(count) - count, count)


def _beyond(x: _Asked, k: Ints, p: Ints, parts: int) -> tuple[Ints, Ints, Floats]:
    """Of ways and parts, ways and rows of b whose boxes the piece's meets, and how long [mm]."""
    k, j = spread(k, by_owner(x.b, parts), p)
    hit, long = _met(_taken(x.whole, k), _taken(x.boxes[1], j), x.over[:, k], x)
    return k[hit], j[hit], long[hit]


def _columns(h: Hulls) -> Box:
    return np.ascontiguousarray(h.low.T), np.ascontiguousarray(h.high.T)


def _taken(box: Box, rows: Ints) -> Box:
    return box[0].take(rows, axis=1), box[1].take(rows, axis=1)


def _met(one: Box, other: Box, over: Floats, x: _Asked) -> tuple[Bools, Floats]:
    """Whether a box meets another on its way, row by row; and for how long [mm].

    Boxes and `over`, one over the way, come as (3, n): coordinates in rows.
    """
    t, u = other[0] - one[1] + x.slack, other[1] - one[0] - x.slack
    t *= over
    u *= over
    near, far = np.minimum(t, u), np.maximum(t, u)
    first = np.maximum(np.maximum(near[0], near[1]), near[2])
    last = np.minimum(np.minimum(far[0], far[1]), far[2])
    hit = (first < last) & (last > 0.0) & (first < x.until)
    return hit, last - np.maximum(first, 0.0)
