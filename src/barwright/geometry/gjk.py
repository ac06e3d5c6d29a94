"""How far apart many pairs of convex shapes are, by Gilbert, Johnson and Keerthi's method.

E. G. Gilbert, D. W. Johnson, S. S. Keerthi, "A fast procedure for computing the distance between
complex objects in three-dimensional space", IEEE J. Robotics and Automation 4 (1988), from
memory: walk to the point of A - B nearest the origin over simplices of its support points.

Two facts make the answer safe whatever happens in between: the two points lie in the shapes,
so their distance is never below the true one; and each support plane bounds it from below.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from barwright.geometry.convex import Bools, Convex, Ints
from barwright.geometry.vectors import Floats

MOST_STEPS = 48
TOUCHING = 1e-9
"""Hulls this close count as meeting [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Nearest:
    """Nearest points of n pairs of hulls, their balls left out.

    Attributes:
        a, b: the points, shape (n, 3) [mm].
        low: proven least distance of the hulls, shape (n,) [mm]; |b - a| is the most it can be.
    """

    a: Floats
    b: Floats
    low: Floats


def nearest(
    first: Convex,
    second: Convex,
    toward: Floats,
    *,
    within: float = 1e-6,
    plenty: Floats | None = None,
) -> Nearest:
    """The nearest points of each pair of hulls.

    Args:
        first: n shapes; balls play no part.
        second: n shapes.
        toward: a guess at the direction from the first to the second, shape (n, 3), not zero.
        within: a pair is done when the bounds agree to this [mm].
        plenty: or when it is proven to be at least this far apart, shape (n,) [mm].
    """
    n = len(toward)
    out_a, out_b, out_low = np.zeros((n, 3)), np.zeros((n, 3)), np.zeros(n)
    rows, limit = np.arange(n), np.full(n, np.inf) if plenty is None else plenty
    a, b = first.farthest(toward), second.farthest(-toward)
    simplex = np.zeros((n, 4, 3)), np.zeros((n, 4, 3))
    simplex[0][:, 0], simplex[1][:, 0] = a, b
    used = np.zeros((n, 4), dtype=bool)
    used[:, 0] = True
    low = np.zeros(n)
    for _ in range(MOST_STEPS):
        v = a - b
        size = np.sqrt((v * v).sum(axis=1))
        pa, pb = first.farthest(-v), second.farthest(v)
        low = np.maximum(low, ((pa - pb) * v).sum(axis=1) / np.maximum(size, 1e-300))
        known = (np.abs((simplex[0] - simplex[1]) - (pa - pb)[:, None]).max(axis=2) == 0.0) & used
        done = low >= limit
        done |= (size - low <= within) | (size <= TOUCHING) | known.any(axis=1)
        if done.any():
            at = rows[done]
            out_a[at], out_b[at], out_low[at] = a[done], b[done], np.minimum(low, size)[done]
            keep = np.flatnonzero(~done)
            if len(keep) == 0:
                return Nearest(a=out_a, b=out_b, low=out_low)
            first, second, rows = first.take(keep), second.take(keep), rows[keep]
            limit = limit[keep]
            simplex = simplex[0].take(keep, axis=0), simplex[1].take(keep, axis=0)
            used, low, pa, pb = used[keep], low[keep], pa[keep], pb[keep]
        a, b = _step(simplex, used, pa, pb)
    out_a[rows], out_b[rows], out_low[rows] = a, b, low
    return Nearest(a=out_a, b=out_b, low=out_low)


def _step(
    simplex: tuple[Floats, Floats],
    used: Bools,
    pa: Floats,
    pb: Floats,
) -> tuple[Floats, Floats]:
    """Put the new support points in, find the nearest point, drop what does not carry it."""
    rows = np.arange(len(pa))
    slot = used.argmin(axis=1)
    simplex[0][rows, slot], simplex[1][rows, slot] = pa, pb
    used[rows, slot] = True
    weight = _weights(simplex[0] - simplex[1], used)
    used[...] = weight > 0.0
    a, b = weight[:, None, :] @ simplex[0], weight[:, None, :] @ simplex[1]
    return a[:, 0], b[:, 0]


_PAIRS = list(combinations(range(4), 2))
_TRIPLES = list(combinations(range(4), 3))
_SUBSETS: list[tuple[int, ...]] = [*[(i,) for i in range(4)], *_PAIRS, *_TRIPLES, (0, 1, 2, 3)]
_MEMBER = np.array([[[i in s] for s in _SUBSETS] for i in range(4)])
_ROW = {s: k for k, s in enumerate(_SUBSETS)}
_P_I, _P_J = np.array(_PAIRS).T
_P_ROW = np.arange(4, 10)


def _growth(sets: list[tuple[int, ...]]) -> tuple[Ints, Ints, Ints, Ints]:
    """For each set and each of its members c: rows of the set and of the set without c."""
    found = [(_ROW[s], _ROW[tuple(x for x in s if x != c)], c) for s in sets for c in s]
    row, less, c = (np.array(col) for col in zip(*found, strict=True))
    return row, less, c, np.array([_SUBSETS[r][0] for r in less])


_T_ROW, _T_LESS, _T_C, _T_K = _growth(_SUBSETS[10:14])
_Q_ROW, _Q_LESS, _Q_C, _Q_K = _growth(_SUBSETS[14:])


def _weights(y: Floats, used: Bools) -> Floats:
    """Weights (n, 4) of the simplex's corners at its point nearest the origin.

    Johnson's cofactors, from memory: D_c(S + c) = sum over i in S of D_i(S) y_i . (y_k - y_c)
    with any k in S. Of all faces whose weights are positive the one that comes nearest is taken.
    """
    # all pairs last: arithmetic along them is many times as quick as across them
    p = np.ascontiguousarray(y.transpose(1, 2, 0))
    rise = np.einsum("ixn,kcxn->ikcn", p, p[:, None] - p)
    d = np.zeros((4, 15, len(y)))
    d[np.arange(4), np.arange(4)] = 1.0
    d[_P_I, _P_ROW] = rise[_P_J, _P_J, _P_I]
    d[_P_J, _P_ROW] = rise[_P_I, _P_I, _P_J]
    d[_T_C, _T_ROW] = (d[:, _T_LESS] * rise[:, _T_K, _T_C]).sum(axis=0)
    d[_Q_C, _Q_ROW] = (d[:, _Q_LESS] * rise[:, _Q_K, _Q_C]).sum(axis=0)
    fits = (((d > 0.0) & used.T[:, None]) == _MEMBER).all(axis=0)
    weight = d / np.where(fits, d.sum(axis=0), 1.0)
    at = np.einsum("isn,ixn->sxn", weight, p)
    away = np.where(fits, (at * at).sum(axis=1), np.inf)
    return np.asarray(weight[:, away.argmin(axis=0), np.arange(len(y))].T)
