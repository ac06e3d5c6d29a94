"""Which parts are in one place, closed and open, told apart from what is meant to touch.

First the boxes, then the bodies as the swing knows them (never smaller than the part), and only
what meets then is looked at as it truly is: coped, bored, with its holes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.buildup.differences import Depths, depths, near_pairs
from barwright.buildup.hulls import Hulls
from barwright.buildup.owners import near_of
from barwright.buildup.parting import parting
from barwright.buildup.results import Clash
from barwright.buildup.things import Thing, Things, pair
from barwright.buildup.volume import common
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.pose import Pose
from barwright.geometry.vectors import Floats, point

TOUCH = 0.3
"""Overlap up to this [mm] is touching: twice what a chord, a stave and an arc may be off."""
MOST_WAYS = 6
"""The commonest directions in which two parts are tried to be parted, both ways."""
ABOUT = 40.0
"""Only what is this near to an overlap counts when it is parted [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Met:
    """Two parts that overlap.

    Attributes:
        one, other: where they are in the list of all.
        a, b: their hulls as they are.
        i, j: rows of a and b that overlap.
        away: which way the first is shifted to part each, shape (k, 3).
        deep: and how far [mm], shape (k,).
    """

    one: int
    other: int
    a: Hulls
    b: Hulls
    i: Ints
    j: Ints
    away: Floats
    deep: Floats


def closed(all_: Things) -> tuple[int, tuple[Clash, ...]]:
    """Every part against every other as they stand: how many pairs, and those that overlap."""
    n = len(all_.all)
    found = [*_of_others(all_), *_of_bars(all_)]
    found.sort(key=lambda m: (m.one, m.other))
    return n * (n - 1) // 2, tuple(_clash(all_, m, "closed") for m in found)


def _of_others(all_: Things) -> list[Met]:
    """Pairs of parts that overlap, other than two bars."""
    met, true = all_.touching, (all_.fine, all_.fine)
    codes = all_.fine.owner[met.i] * len(all_.all) + all_.fine.owner[met.j]
    met = met.take((met.depth > TOUCH) & ~np.isin(codes, _meant(all_)))
    return _by_parts(true, (met.i, met.j), Depths(depth=met.depth, away=met.away))


def _of_bars(all_: Things) -> list[Met]:
    """Pairs of bars that overlap."""
    bars = np.array([t.kind == "bar" for t in all_.all], dtype=bool)
    rough = all_.hulls.take(bars[all_.hulls.owner])
    i, j = near_pairs(rough, rough)
    once = rough.owner[i] < rough.owner[j]
    return _overlapping(all_, (rough, rough), (i[once], j[once]), (all_.fine, all_.fine))


def opened(all_: Things) -> tuple[int, tuple[Clash, ...]]:
    """What each leaf overlaps where it stands right open."""
    count, told = 0, list[Clash]()
    for motion in all_.motions:
        rides = np.array([t.rides == motion.leaf for t in all_.all])
        count += int(rides.sum()) * int((~rides).sum())
        pose = motion.pose(motion.opens)
        hulls, true = (_opened(h, rides, pose) for h in (all_.hulls, all_.fine))
        i, j = near_pairs(*hulls)
        others = ~rides[all_.hulls.owner[j]]
        found = _overlapping(all_, hulls, (i[others], j[others]), true)
        told += [_clash(all_, m, motion.leaf) for m in found]
    return count, tuple(told)


def placed(hulls: Hulls, pose: Pose) -> Hulls:
    """Hulls where a pose puts them."""
    return hulls.placed(np.array(pose.matrix), np.array(pose.shift))


def _opened(hulls: Hulls, rides: Bools, pose: Pose) -> tuple[Hulls, Hulls]:
    """What rides, where it stands open, and everything closed; owners as they were."""
    return placed(hulls.take(rides[hulls.owner]), pose), hulls


def _overlapping(
    all_: Things,
    rough: tuple[Hulls, Hulls],
    near: tuple[Ints, Ints],
    true: tuple[Hulls, Hulls],
) -> list[Met]:
    """Pairs of parts that overlap by more than touching, as they truly are."""
    (a, b), (i, j), n = rough, near, len(all_.all)
    hit = depths(a, b, i, j, least=TOUCH).depth > TOUCH
    codes = np.setdiff1d(a.owner[i[hit]] * n + b.owner[j[hit]], _meant(all_))
    _, i, j = near_of(*true, (codes // n, codes % n), -TOUCH)
    return _by_parts(true, (i, j), depths(*true, i, j, least=TOUCH))


def _meant(all_: Things) -> Ints:
    """Pairs of n parts that may overlap, either way round: the first times n, plus the second."""
    n, rows = len(all_.all), [(all_.index[p], all_.index[q]) for p, q in all_.meant]
    return np.array([k for p, q in rows for k in (p * n + q, q * n + p)], dtype=np.intp)


def _by_parts(true: tuple[Hulls, Hulls], at: tuple[Ints, Ints], found: Depths) -> list[Met]:
    """What stands deep in one another, by pairs of parts."""
    deep = np.nonzero(found.depth > TOUCH)[0]
    p, q = (h.owner[rows[deep]] for h, rows in zip(true, at, strict=True))
    return [
        _met(true, at, found, deep[(p == one) & (q == other)], (one, other))
        for one, other in sorted({*zip(p.tolist(), q.tolist(), strict=True)})
    ]


def _met(
    true: tuple[Hulls, Hulls],
    at: tuple[Ints, Ints],
    found: Depths,
    rows: Ints,
    who: tuple[int, int],
) -> Met:
    """One pair of parts by itself."""
    a, b = (h.of(k) for h, k in zip(true, who, strict=True))
    i, j = (x[rows] - np.searchsorted(h.owner, k) for h, k, x in zip(true, who, at, strict=True))
    return Met(
        one=who[0],
        other=who[1],
        a=a,
        b=b,
        i=i,
        j=j,
        away=found.away[rows],
        deep=found.depth[rows],
    )


def overlap(a: Hulls, b: Hulls, touch: float = TOUCH) -> tuple[Ints, Ints, Floats, Floats] | None:
    """Rows of a and b that overlap by more than `touch` [mm] and how to part them; or None."""
    low, high = (
        np.maximum(a.low.min(axis=0), b.low.min(axis=0)),
        np.minimum(a.high.max(axis=0), b.high.max(axis=0)),
    )
    rows = [np.nonzero(((h.low < high) & (h.high > low)).all(axis=1))[0] for h in (a, b)]
    i, j = near_pairs(a.take(rows[0]), b.take(rows[1]), -touch)
    i, j = rows[0][i], rows[1][j]
    found = depths(a, b, i, j, least=touch)
    deep = found.depth > touch
    return (i[deep], j[deep], found.away[deep], found.depth[deep]) if deep.any() else None


def _clash(all_: Things, met: Met, state: str) -> Clash:
    """The clash in numbers, told of the part that is better moved."""
    first, second = all_.all[met.one], all_.all[met.other]
    swap = _standing(first) > _standing(second)
    best, depth = parting(*_round_about(met), _lines(met), touch=TOUCH)
    corners, volume = _common(met)
    way = -best if swap else best
    one, other = (second, first) if swap else (first, second)
    return Clash(
        first=one.name,
        second=other.name,
        state=state,
        depth=depth,
        way=point(way),
        volume=volume,
        where=point(corners.mean(axis=0)),
        welded=pair(one.name, other.name) in all_.welded,
    )


def _round_about(met: Met) -> tuple[Hulls, Hulls, tuple[Ints, Ints]]:
    """The hulls of both that lie near where they overlap, and which of those do overlap."""
    a, b = met.a.take(met.i), met.b.take(met.j)
    low = np.maximum(a.low, b.low).min(axis=0) - ABOUT
    high = np.minimum(a.high, b.high).max(axis=0) + ABOUT
    near = [((h.low < high) & (h.high > low)).all(axis=1) for h in (met.a, met.b)]
    i, j = ((np.cumsum(n) - 1)[rows] for n, rows in zip(near, (met.i, met.j), strict=True))
    return met.a.take(near[0]), met.b.take(near[1]), (i, j)


def _standing(thing: Thing) -> int:
    """How firmly a part stands: a plate is trimmed before a bar is, hardware is never."""
    return {"plate": 0, "bar": 1, "hardware": 2}[thing.kind]


def _lines(met: Met) -> Floats:
    """The parting directions found: the deepest, their mean, the commonest."""
    rounded, count = np.unique(np.round(met.away, 2), axis=0, return_counts=True)
    often = rounded[np.argsort(-count, kind="stable")[:MOST_WAYS]]
    deepest = met.away[np.argsort(-met.deep, kind="stable")[:2]]
    mean = (met.deep[:, None] * met.away).sum(axis=0, keepdims=True)
    rows = np.vstack([deepest, mean + 1e-9 * deepest[:1], often])
    return np.asarray(rows / np.linalg.norm(rows, axis=1)[:, None])


def _common(met: Met) -> tuple[Floats, float]:
    """Corners of what they have in common and its volume [mm³]."""
    found = common(met.a, met.b, met.i, met.j)
    corners = np.vstack([c for c, _ in found])
    if len(corners) == 0:
        corners = met.a.corners[met.i].mean(axis=1)
    return corners, float(sum(v for _, v in found))
