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

from barwright.buildup.hulls import Hulls
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats

FIRST, FACES, CROSSES = KINDS = ("first", "faces", "crosses")
"""Kinds of normals, few and telling ones first: a face of each and from middle to middle; all
faces of both; the crosses of their edges."""
BATCH = 60_000
"""Numbers worked on in one go."""
SAME = 1e-6
"""Depths that differ by less [mm] are one: then the first normal counts, not the last digit."""


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
    p, q = about(a, b, within), about(b, a, within)
    far = np.full((len(p), len(q)), -np.inf)
    for x in range(3):
        np.maximum(far, a.low[p, x][:, None] - b.high[q, x], out=far)
        np.maximum(far, b.low[q, x] - a.high[p, x][:, None], out=far)
    i, j = np.nonzero(far <= within)
    return p[i], q[j]


def about(a: Hulls, b: Hulls, within: float) -> Ints:
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
    for kind in KINDS:
        left = np.nonzero(depth > least)[0]
        for some in batches(a, b, i[left], j[left], kind):
            rows = left[some]
            more, way = _shallowest(*planes(a, b, i[rows], j[rows], kind))
            better = more < depth[rows] - SAME
            depth[rows[better]], away[rows[better]] = more[better], way[better]
    return Depths(depth=depth, away=away)


def _shallowest(normals: Floats, plus: Floats, minus: Floats) -> tuple[Floats, Floats]:
    """The least c over both signs, and its normal."""
    c = np.minimum(plus, minus)
    k = (c <= c.min(axis=1, keepdims=True) + SAME).argmax(axis=1)
    rows = np.arange(len(c))
    sign = np.where(plus[rows, k] <= minus[rows, k] + SAME, 1.0, -1.0)
    return c[rows, k], sign[:, None] * normals[rows, :, k]


def batches(a: Hulls, b: Hulls, i: Ints, j: Ints, kind: str) -> list[Ints]:
    """Pairs of about the same size together, so that little is padded."""
    if len(i) == 0:
        return []
    if kind == CROSSES:
        cost = a.sizes[i, 2] * b.sizes[j, 2]
    elif kind == FACES:
        cost = a.sizes[i, 1] + b.sizes[j, 1]
    else:
        cost = a.sizes[i, 0] + b.sizes[j, 0]
    return lots(cost, a.sizes[i, 0] + b.sizes[j, 0])


def lots(cost: Ints, corners: Ints) -> list[Ints]:
    """Rows in lots of about the same number of normals, none too large to work on in one go."""
    if len(cost) * (int(cost.max()) + 1) * int(corners.max()) <= BATCH:
        return [np.arange(len(cost))]
    order = np.argsort(cost, kind="stable")
    width = (cost[order] + 1) * corners[order]
    at = np.cumsum(width) // BATCH + np.searchsorted(_STEPS, cost[order]) * 10**9
    return np.split(order, np.nonzero(np.diff(at))[0] + 1)


_STEPS = np.array([24, 60, 160, 500, 1500])


def planes(a: Hulls, b: Hulls, i: Ints, j: Ints, kind: str) -> tuple[Floats, Floats, Floats]:
    """Normals (n, 3, k) of one kind, and c along and against them (n, k); inf for padding."""
    own, other = a.sizes[i].max(axis=0), b.sizes[j].max(axis=0)
    if kind == CROSSES:
        normals = crosses(a.edges[i, : own[2]], b.edges[j, : other[2]])
    elif kind == FACES:
        normals = np.concatenate([a.faces[i, : own[1]], b.faces[j, : other[1]]], axis=1)
        normals = np.ascontiguousarray(normals.swapaxes(1, 2))
    else:
        first = a.faces[i, :1], b.faces[j, :1]
        normals = np.concatenate([*first, _between(a, b, i, j)], axis=1)
        normals = np.ascontiguousarray(normals.swapaxes(1, 2))
    none = ~unit_rows(normals)
    low_a, high_a = reach(a, i, own[0], normals)
    low_b, high_b = reach(b, j, other[0], normals)
    plus, minus = high_b - low_a, high_a - low_b
    if none.any():
        plus[none] = minus[none] = np.inf
    return normals, plus, minus


def crosses(e: Floats, f: Floats) -> Floats:
    """Every row of e (n, p, 3) crossed with every row of f (n, q, 3): (n, 3, p q)."""
    out = np.empty((len(e), 3, e.shape[1], f.shape[1]))
    x, y, z = (e[:, :, None, k] for k in range(3))
    u, v, w = (np.ascontiguousarray(f[:, :, k])[:, None] for k in range(3))
    out[:, 0], out[:, 1], out[:, 2] = y * w - z * v, z * u - x * w, x * v - y * u
    return out.reshape(len(e), 3, -1)


def unit_rows(normals: Floats) -> Bools:
    """Make normals (n, 3, k) unit in place, those that are none straight up; which were fine."""
    x, y, z = (normals[:, k] for k in range(3))
    size = np.sqrt(x * x + y * y + z * z)
    fine = size > 1e-6
    if not fine.all():
        normals[:, 2][~fine] = 1.0
        size[~fine] = 1.0
    normals /= size[:, None]
    return np.asarray(fine)


def _between(a: Hulls, b: Hulls, i: Ints, j: Ints) -> Floats:
    """From middle to middle, square to either's axis: what parallel rods need, (n, 2, 3)."""
    away = 0.5 * (b.low[j] + b.high[j] - a.low[i] - a.high[i])
    u, v = a.axis[i], b.axis[j]
    one = away - (away * u).sum(axis=1, keepdims=True) * u
    other = away - (away * v).sum(axis=1, keepdims=True) * v
    return np.stack([one, other], axis=1)


def reach(h: Hulls, rows: Ints, most: int, normals: Floats) -> tuple[Floats, Floats]:
    """How far each reaches against and along each normal (n, 3, k), shape (n, k) each."""
    heights = np.empty((most, len(rows), normals.shape[2]))  # corners first: quick to compare
    np.matmul(h.corners[rows, :most], normals, out=heights.swapaxes(0, 1))
    low, high = heights.min(axis=0), heights.max(axis=0)
    radius = h.radius[rows]
    round_ = np.nonzero(radius)[0]
    if len(round_):
        lean = np.matmul(h.axis[rows[round_], None], normals[round_])[:, 0]
        out = radius[round_, None] * np.sqrt(np.maximum(1.0 - lean * lean, 0.0))
        low[round_] -= out
        high[round_] += out
    return low, high
