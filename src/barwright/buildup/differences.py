"""Pairs of convex hulls by the planes round their difference: overlap, ways, and how far.

Let K = {b - a}: all shifts of the first hull that make it meet the second. K is convex, and its
planes' normals are the faces of both hulls and the crosses of their edges (first principles;
S. Gottschalk's separating axes, from memory). With c = the second's reach along n and the
first's against it, n . x <= c for all x in K. One table of n and c answers three questions:

- do they overlap, and how deep: 0 lies in K, and the least c is the shift that parts them;
- does a straight move along d meet: the ray t d goes through K;
- how far may it go: where the ray enters K.

Hulls that touch within `slack` count as parted: every c is taken smaller by it. For rods the
reach is exact but the normals are a choice, so K is never too small: safe, and by less than
2 % of a radius at a rod's rim only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.buildup.hulls import Hulls, cross_of
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats

BATCH = 400_000
"""Numbers worked on in one go."""
AT_ONCE = 1500
"""Pairs and ways looked at in one go, the nearest first: farther ones need not be looked at."""
SOON = 5.0
"""What stands within this of a piece's box is looked at first [mm]: little else is met sooner."""
LEVEL = 1e-9
"""A direction this near to square with a plane's normal runs along the plane."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Depths:
    """How n pairs overlap.

    Attributes:
        depth: the least shift that parts them [mm]; below 0 they are apart by at least as much,
            shape (n,).
        away: the unit direction in which the first is shifted to part them, shape (n, 3).
    """

    depth: Floats
    away: Floats


def near_pairs(a: Hulls, b: Hulls, within: float = 0.0) -> tuple[Ints, Ints]:
    """Rows of a and b whose boxes come within a distance [mm] of one another."""
    p, q = _about(a, b, within), _about(b, a, within)
    far = np.full((len(p), len(q)), -np.inf)
    for x in range(3):
        np.maximum(far, a.low[p, x][:, None] - b.high[q, x], out=far)
        np.maximum(far, b.low[q, x] - a.high[p, x][:, None], out=far)
    i, j = np.nonzero(far <= within)
    return p[i], q[j]


def _about(a: Hulls, b: Hulls, within: float) -> Ints:
    """Rows of a within a distance of the box round all of b."""
    if len(b) == 0:
        return np.zeros(0, dtype=np.intp)
    low, high = b.low.min(axis=0) - within, b.high.max(axis=0) + within
    return np.nonzero(((a.low <= high) & (a.high >= low)).all(axis=1))[0]


def depths(a: Hulls, b: Hulls, i: Ints, j: Ints, *, least: float = 0.0) -> Depths:
    """How deep each pair (a[i], b[j]) overlaps.

    Args:
        a: hulls.
        b: hulls.
        i: rows of a, shape (n,).
        j: rows of b, shape (n,).
        least: pairs less deep than this [mm] may be given any depth below it.
    """
    depth, away = np.full(len(i), np.inf), np.zeros((len(i), 3))
    for rows in _batches(a, b, i, j, crosses=False):
        depth[rows], away[rows] = _shallowest(*_planes(a, b, i[rows], j[rows], crosses=False))
    left = np.nonzero(depth > least)[0]
    for some in _batches(a, b, i[left], j[left], crosses=True):
        rows = left[some]
        more, way = _shallowest(*_planes(a, b, i[rows], j[rows], crosses=True))
        better = more < depth[rows]
        depth[rows[better]], away[rows[better]] = more[better], way[better]
    return Depths(depth=depth, away=away)


def _shallowest(normals: Floats, plus: Floats, minus: Floats) -> tuple[Floats, Floats]:
    """The least c over both signs, and its normal."""
    c = np.minimum(plus, minus)
    k = c.argmin(axis=1)
    rows = np.arange(len(c))
    sign = np.where(plus[rows, k] <= minus[rows, k], 1.0, -1.0)
    return c[rows, k], sign[:, None] * normals[rows, k]


def _batches(a: Hulls, b: Hulls, i: Ints, j: Ints, *, crosses: bool) -> list[Ints]:
    """Pairs of about the same size together, so that little is padded."""
    if len(i) == 0:
        return []
    cost = a.sizes[i, 2] * b.sizes[j, 2] if crosses else a.sizes[i, 1] + b.sizes[j, 1]
    order = np.argsort(cost, kind="stable")
    width = (cost[order] + 1) * (a.sizes[i[order], 0] + b.sizes[j[order], 0])
    at = np.cumsum(width) // BATCH + np.searchsorted(_STEPS, cost[order]) * 10**9
    cuts = np.nonzero(np.diff(at))[0] + 1
    return np.split(order, cuts)


_STEPS = np.array([24, 60, 160, 500, 1500])


def _planes(
    a: Hulls, b: Hulls, i: Ints, j: Ints, *, crosses: bool
) -> tuple[Floats, Floats, Floats]:
    """Normals (n, k, 3) and c along them and against them (n, k)."""
    own, other = a.sizes[i].max(axis=0), b.sizes[j].max(axis=0)
    if crosses:
        e, f = a.edges[i, : own[2]], b.edges[j, : other[2]]
        normals = cross_of(e[:, :, None], f[:, None]).reshape(len(i), -1, 3)
    else:
        faces = a.faces[i, : own[1]], b.faces[j, : other[1]]
        normals = np.concatenate([*faces, _between(a, b, i, j)], axis=1)
    size = np.sqrt((normals * normals).sum(axis=2))
    fine = size > 1e-6
    normals = normals / np.where(fine, size, 1.0)[..., None]
    normals[~fine] = (0.0, 0.0, 1.0)
    low_a, high_a = _reach(a, i, own[0], normals)
    low_b, high_b = _reach(b, j, other[0], normals)
    return normals, high_b - low_a, high_a - low_b


def _between(a: Hulls, b: Hulls, i: Ints, j: Ints) -> Floats:
    """Normals that parallel or crossing rods need: from axis to axis, and both from ends."""
    p, q = a.corners[i, 0], b.corners[j, 0]
    away = q - p
    u, v = a.axis[i], b.axis[j]
    one = away - (away * u).sum(axis=1, keepdims=True) * u
    other = away - (away * v).sum(axis=1, keepdims=True) * v
    return np.stack([one, other], axis=1)


def _reach(h: Hulls, rows: Ints, most: int, normals: Floats) -> tuple[Floats, Floats]:
    """How far each reaches against and along each normal, shape (n, k) each."""
    heights = np.matmul(h.corners[rows, :most], normals.swapaxes(1, 2))
    low, high = heights.min(axis=1), heights.max(axis=1)
    if h.radius[rows].any():
        lean = np.matmul(normals, h.axis[rows][:, :, None])[..., 0]
        out = h.radius[rows][:, None] * np.sqrt(np.maximum(1.0 - lean * lean, 0.0))
        return low - out, high + out
    return low, high


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
    close = _about(b, a, SOON)
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
        near_, far = _spans(a, part, (i[now], j[now]), ways[k[now]], slack)
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


def _spans(
    a: Hulls, b: Hulls, at: tuple[Ints, Ints], ways: Floats, slack: float
) -> tuple[Floats, Floats]:
    """Where each line enters and leaves its pair's K, shape (n,) each; it misses if near >= far.

    Each pair's planes are worked out once, however many lines go through its K.
    """
    i, j = at
    near, far = np.full(len(i), -np.inf), np.full(len(i), np.inf)
    left = np.arange(len(i))
    for crosses in (False, True):
        code, back = np.unique(i[left] * len(b) + j[left], return_inverse=True)
        p, q = code // max(len(b), 1), code % max(len(b), 1)
        order = np.argsort(back, kind="stable")
        begin = np.append(np.searchsorted(back[order], np.arange(len(code))), len(back))
        for some in _batches(a, b, p, q, crosses=crosses):
            table = _planes(a, b, p[some], q[some], crosses=crosses)
            rows = np.concatenate([order[begin[s] : begin[s + 1]] for s in some])
            own = np.repeat(np.arange(len(some)), begin[some + 1] - begin[some])
            for part in _pieces(left[rows], own, table[0].shape[1]):
                _clip(table, part, ways, slack, near, far)
        left = left[(near[left] < far[left]) & (far[left] > 0.0)]
    return near, far


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
    lean = np.matmul(normals[own], ways[rows][:, :, None])[..., 0]
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


def parting(a: Hulls, b: Hulls, ways: Floats, *, slack: float = 0.0) -> Floats:
    """How far all of a has to go along each way until none of it meets b any more, (m,) [mm].

    It is the end of the run of meetings that begins where a stands: 0 where nothing meets there.

    Args:
        a: what moves.
        b: what stands.
        ways: unit directions, shape (m, 3).
        slack: overlap let pass as touching [mm].
    """
    i, j, k, _ = _may_meet(a, b, ways, slack, None, np.inf)
    spans = np.stack(_spans(a, b, (i, j), ways[k], slack), axis=1)
    return np.array([_run(spans[(k == w) & (spans[:, 0] < spans[:, 1])]) for w in range(len(ways))])


def _run(spans: Floats) -> float:
    """Where the stretch that holds 0 comes to its end."""
    end = 0.0
    for lo, hi in spans[np.argsort(spans[:, 0])]:
        if lo > end:
            break
        end = max(end, float(hi))
    return end
