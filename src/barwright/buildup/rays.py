"""Straight moves past convex hulls: whether they meet, where first, and until when.

The ray t d goes through K, all shifts at which two hulls meet (see `differences`), just when it
meets; where it enters is how far the move may go. Boxes first, then the planes of faces, then the
shadows along the way, and only then the crosses of edges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.buildup.differences import (
    BATCH,
    CROSSES,
    FACES,
    FIRST,
    about,
    batches,
    crosses,
    lots,
    planes,
    reach,
    unit_rows,
)
from barwright.buildup.hulls import Hulls
from barwright.buildup.owners import spread
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats

AT_ONCE = 1500
"""Pairs and ways looked at in one go, the nearest first: farther ones need not be looked at."""
SOON = 5.0
"""What stands within this of a piece's box is looked at first [mm]: little else is met sooner."""
LEVEL = 1e-9
"""A direction this near to square with a plane's normal runs along the plane."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Entries:
    """Where straight moves first meet something.

    Attributes:
        first: how far each way goes until it meets [mm], inf where it never does, shape (m,).
        by: row in b that it meets, -1 for none, shape (m,).
        mine: row in a that meets it, shape (m,).
    """

    first: Floats
    by: Ints
    mine: Ints


def entries(
    a: Hulls,
    b: Hulls,
    ways: Floats,
    *,
    slack: float,
    skip: Bools | None = None,
    until: float = np.inf,
) -> Entries:
    """How far all of a goes together along each way before it meets any of b.

    Args:
        a: what moves.
        b: what stands.
        ways: unit directions, shape (m, 3).
        slack: overlap let pass as touching [mm].
        skip: pairs that do not count, shape (len(a), len(b)).
        until: farther than this is not looked [mm].
    """
    best = np.full(len(ways), np.inf), np.full(len(ways), -1), np.full(len(ways), -1)
    close = about(b, a, SOON)
    far = np.setdiff1d(np.arange(len(b)), close)
    for rows in (close, far):
        open_ = np.nonzero(best[0] > (0.0 if rows is close else SOON))[0]
        if len(rows) and len(open_):
            _enter(a, (b, rows), (ways, open_), (slack, skip, until), best)
    return Entries(first=best[0], by=best[1], mine=best[2])


def _enter(
    a: Hulls,
    others: tuple[Hulls, Ints],
    some: tuple[Floats, Ints],
    how: tuple[float, Bools | None, float],
    best: tuple[Floats, Ints, Ints],
) -> None:
    """Look at some of b along some of the ways, and keep the earliest entries."""
    (b, rows), (ways, which), (slack, skip, until) = others, some, how
    part = b.take(rows)
    kept = None if skip is None else skip[:, rows]
    i, j, k, near = _may_meet(a, part, ways[which], slack, kept, until)
    k = which[k]
    left = np.argsort(near, kind="stable")
    left = left[near[left] < best[0][k[left]]]
    while len(left):
        now, left = left[:AT_ONCE], left[AT_ONCE:]
        near_, far = spans(a, part, (i[now], j[now]), ways[k[now]], slack)
        enter = np.where((near_ < far) & (far > 0.0), np.maximum(near_, 0.0), np.inf)
        _note(enter, now, (i, rows[j], k), best, until)
        left = left[near[left] < best[0][k[left]]]


def _note(
    enter: Floats,
    rows: Ints,
    at: tuple[Ints, Ints, Ints],
    best: tuple[Floats, Ints, Ints],
    until: float,
) -> None:
    """Keep for every way the earliest entry."""
    i, j, k = at
    order = np.argsort(-enter, kind="stable")
    rows, enter = rows[order], enter[order]
    good = (enter < best[0][k[rows]]) & (enter < until)
    rows, enter = rows[good], enter[good]
    best[0][k[rows]], best[1][k[rows]], best[2][k[rows]] = enter, j[rows], i[rows]


def _may_meet(  # noqa: PLR0917 - one inner loop, called once
    a: Hulls, b: Hulls, ways: Floats, slack: float, skip: Bools | None, until: float
) -> tuple[Ints, Ints, Ints, Floats]:
    """Triples (a, b, way) whose boxes meet on the way, and from where: the ray through K's box."""
    if len(a) == 0 or len(b) == 0:
        none = np.zeros(0, dtype=np.intp)
        return none, none, none, np.zeros(0)
    box = a.low.min(axis=0), a.high.max(axis=0)
    found = []
    for k, way in enumerate(ways):
        near, far = _through(b.low - box[1] + slack, b.high - box[0] - slack, way)
        some = np.nonzero((near < far) & (far > 0.0) & (near < until))[0]
        low = (b.low[some][None] - a.high[:, None] + slack).reshape(-1, 3)
        high = (b.high[some][None] - a.low[:, None] - slack).reshape(-1, 3)
        near, far = _through(low, high, way)
        hit = (near < far) & (far > 0.0) & (near < until)
        if skip is not None:
            hit &= ~skip[:, some].reshape(-1)
        rows = np.nonzero(hit)[0]
        i, j = rows // max(len(some), 1), some[rows % max(len(some), 1)]
        found.append((i, j, np.full(len(rows), k, dtype=np.intp), near[rows]))
    i, j, k_, near = (np.concatenate([f[c] for f in found]) for c in range(4))
    return i, j, k_, near


def _through(low: Floats, high: Floats, way: Floats) -> tuple[Floats, Floats]:
    """Where a line through the origin enters and leaves each box, shape (n,) each [mm]."""
    near, far = np.full(len(low), -np.inf), np.full(len(low), np.inf)
    for x in range(3):
        if abs(way[x]) < LEVEL:
            near[(low[:, x] >= 0.0) | (high[:, x] <= 0.0)] = np.inf
            continue
        t, u = (low[:, x] / way[x], high[:, x] / way[x])
        np.maximum(near, np.minimum(t, u), out=near)
        np.minimum(far, np.maximum(t, u), out=far)
    near[(low >= high).any(axis=1)] = np.inf
    return near, far


def spans(
    a: Hulls, b: Hulls, at: tuple[Ints, Ints], ways: Floats, slack: float
) -> tuple[Floats, Floats]:
    """Where each line enters and leaves its pair's K, shape (n,) each; it misses if near >= far.

    Each pair's planes are worked out once, however many lines go through its K.
    """
    near, far = np.full(len(at[0]), -np.inf), np.full(len(at[0]), np.inf)
    left = _narrow(a, b, at, ways, slack, (near, far))
    _clip_all(a, b, at, ways, slack, (near, far), left, CROSSES)
    return near, far


def meets(  # noqa: PLR0917 - as `spans`, and how far to look
    a: Hulls, b: Hulls, at: tuple[Ints, Ints], ways: Floats, slack: float, until: float = np.inf
) -> Bools:
    """Whether the first of each pair meets the second on its way, row by row, shape (n,).

    Shadows along the way that overlap by more than `slack` meet, once it is plain that the second
    lies ahead; only where that is not plain are the crosses of edges asked.
    """
    near, far = np.full(len(at[0]), -np.inf), np.full(len(at[0]), np.inf)
    left = _narrow(a, b, at, ways, slack, (near, far))
    doubt = left[(near[left] <= 0.0) | (until < np.inf)]
    _clip_all(a, b, at, ways, slack, (near, far), doubt, CROSSES)
    return np.asarray((near < far) & (far > 0.0) & (near < until))


def _narrow(  # noqa: PLR0917 - one inner step
    a: Hulls,
    b: Hulls,
    at: tuple[Ints, Ints],
    ways: Floats,
    slack: float,
    best: tuple[Floats, Floats],
) -> Ints:
    """Narrow each line by its pair's faces, then by their shadows; the rows that still meet."""
    near, far = best
    _clip_all(a, b, at, ways, slack, best, np.arange(len(near)), FIRST)
    left = np.nonzero((near < far) & (far > 0.0))[0]
    _clip_all(a, b, at, ways, slack, best, left, FACES)
    left = np.nonzero((near < far) & (far > 0.0))[0]
    apart = _beside(a, b, (at[0][left], at[1][left]), ways[left], slack)
    near[left[apart]] = np.inf
    return left[~apart]


def _clip_all(  # noqa: PLR0917 - one inner step
    a: Hulls,
    b: Hulls,
    at: tuple[Ints, Ints],
    ways: Floats,
    slack: float,
    best: tuple[Floats, Floats],
    left: Ints,
    kind: str,
) -> None:
    """Narrow some lines by the planes of their pairs."""
    i, j = at
    code = i[left] * len(b) + j[left]
    order = np.argsort(code, kind="stable")
    code = code[order]
    begin = np.flatnonzero(np.diff(code, prepend=-1))
    pairs = order, begin, np.diff(begin, append=len(code))
    p, q = np.divmod(code[begin], max(len(b), 1))
    for some in batches(a, b, p, q, kind):
        table = planes(a, b, p[some], q[some], kind)
        own, rows = spread(np.arange(len(some)), pairs, some)
        for part in _pieces(left[rows], own, table[1].shape[1]):
            _clip(table, part, ways, slack, *best)


def _beside(a: Hulls, b: Hulls, at: tuple[Ints, Ints], ways: Floats, slack: float) -> Bools:
    """Whether each pair's shadows along its way lie apart, shape (n,).

    A line misses K just when a plane along it does, and K's shadow has the edges of both hulls'
    shadows for its own: the normals are the way crossed with either's edges.
    """
    i, j = at
    apart = np.zeros(len(i), dtype=bool)
    sizes = (a.sizes[i, k] + b.sizes[j, k] for k in (2, 0))
    for some in lots(*sizes) if len(i) else []:
        apart[some] = _shadows_apart(a, b, (i[some], j[some]), ways[some], slack)
    return apart


def _shadows_apart(a: Hulls, b: Hulls, at: tuple[Ints, Ints], ways: Floats, slack: float) -> Bools:
    i, j = at
    own, other = a.sizes[i].max(axis=0), b.sizes[j].max(axis=0)
    edges = np.concatenate([a.edges[i, : own[2]], b.edges[j, : other[2]]], axis=1)
    normals = crosses(ways[:, None], edges)
    fine = unit_rows(normals)
    low_a, high_a = reach(a, i, own[0], normals)
    low_b, high_b = reach(b, j, other[0], normals)
    c = np.minimum(high_b - low_a, high_a - low_b)
    return np.asarray(((c <= slack) & fine).any(axis=1))


def _pieces(rows: Ints, own: Ints, wide: int) -> list[tuple[Ints, Ints]]:
    """Rows with their places in the table, few enough at a time."""
    n = max(1, BATCH // max(wide, 1))
    return [(rows[k : k + n], own[k : k + n]) for k in range(0, len(rows), n)]


def _clip(  # noqa: PLR0917 - one inner loop, called once
    table: tuple[Floats, Floats, Floats],
    part: tuple[Ints, Ints],
    ways: Floats,
    slack: float,
    near: Floats,
    far: Floats,
) -> None:
    """Narrow the stretch of each line by all planes of its pair."""
    (rows, own), (normals, plus, minus) = part, table
    lean = np.matmul(ways[rows][:, None], normals[own])[:, 0]
    lo, hi = _clipped(lean, plus[own] - slack, minus[own] - slack)
    near[rows], far[rows] = np.maximum(near[rows], lo), np.minimum(far[rows], hi)


def _clipped(lean: Floats, plus: Floats, minus: Floats) -> tuple[Floats, Floats]:
    """The stretch of each ray with -minus <= n . t d <= plus for all its normals."""
    level = np.abs(lean) < LEVEL
    d = np.where(level, 1.0, lean)
    t, u = plus / d, -minus / d
    near, far = np.minimum(t, u), np.maximum(t, u)
    outside = (plus <= 0.0) | (minus <= 0.0)
    near = np.where(level, np.where(outside, np.inf, -np.inf), near)
    far = np.where(level, np.inf, far)
    thin = plus + minus <= 0.0
    near = np.where(thin, np.inf, near)
    return near.max(axis=1), far.min(axis=1)
