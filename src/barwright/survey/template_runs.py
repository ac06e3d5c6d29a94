"""Where along an edge one straight or arc ends and the next begins.

All ways to cut the chain of points into straights and arcs are weighed by dynamic programming,
so that the cheapest is found, not a greedy one: each run costs something, a run off its points by
more than the tolerance costs much more, and a few points at a corner, blurred over both sides,
may be passed over. Circles are fitted by Kåsa's linear least squares (1976, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats

STRAIGHT_COST = 20.0
ARC_COST = 24.0
SKIP_COST = 6.0
LEAST_STRAIGHT = 4
LEAST_ARC = 7
"""Points a run needs."""

ARC_RISE = 1.2
"""An arc must rise off its chord by more than this many tolerances; a straight serves below."""


@dataclass(frozen=True, kw_only=True)
class Run:
    """Points first..last (both counted) lie on one straight or arc."""

    first: int
    last: int
    arc: bool


def runs(xy: Floats, weight: Floats, tolerance: float, skip: int) -> tuple[Run, ...]:
    """How a closed chain of points is best cut; the indices of the last run may pass n.

    Args:
        xy: shape (n, 2) [mm].
        weight: shape (n,), 1 for a sure point and less for others.
        tolerance: how far points may lie off [mm].
        skip: how many points a corner may hide.
    """
    n, coarse = len(xy), 3 if len(xy) > 90 else 1
    rough = _cut(xy[::coarse], weight[::coarse], tolerance, max(1, skip // coarse))
    if len(rough) < 2:
        return _cut(xy, weight, tolerance, skip)
    # A chain begun in the midst of a run cuts it: begin again at a corner well inside.
    turn = coarse * rough[len(rough) // 2].first
    again = _cut(np.roll(xy, -turn, axis=0), np.roll(weight, -turn), tolerance, skip)
    return tuple(
        Run(first=(r.first + turn) % n, last=(r.first + turn) % n + r.last - r.first, arc=r.arc)
        for r in again
    )


def _cut(xy: Floats, weight: Floats, tolerance: float, skip: int) -> tuple[Run, ...]:
    n = len(xy)
    until = np.full(n + 1, np.inf)  # cheapest way to have settled the first k points
    until[0] = 0.0
    back = np.zeros((n + 1, 3), dtype=int)
    opened, opened_from = np.full(n + 1, np.inf), np.zeros(n + 1, dtype=int)
    opened[0] = 0.0
    for end in range(n):
        cost, arc = _costs(xy[: end + 1], weight[: end + 1], tolerance)
        total = opened[: end + 1] + cost
        start = int(np.argmin(total))
        until[end + 1] = total[start]
        back[end + 1] = (start, opened_from[start], int(arc[start]))
        near = np.arange(max(0, end + 1 - skip), end + 2)
        ways = until[near] + SKIP_COST * (end + 1 - near)
        best = int(np.argmin(ways))
        opened[end + 1], opened_from[end + 1] = ways[best], near[best]
    return _told(until, back, n, skip)


def _told(until: Floats, back: np.ndarray, n: int, skip: int) -> tuple[Run, ...]:
    tail = np.arange(max(1, n - skip), n + 1)
    at = int(tail[np.argmin(until[tail] + SKIP_COST * (n - tail))])
    found = []
    while at > 0:
        start, before, arc = (int(v) for v in back[at])
        found.append(Run(first=start, last=at - 1, arc=bool(arc)))
        at = before
    return tuple(reversed(found))


def _costs(xy: Floats, weight: Floats, tolerance: float) -> tuple[Floats, np.ndarray]:
    """Cost of a run from every start to the last point, and whether an arc serves better there."""
    p, w = xy[::-1] - xy[-1], weight[::-1]
    count, total = np.arange(1, len(p) + 1), np.cumsum(w)
    straight, arc_off = _misfits(p, w, total)
    line = STRAIGHT_COST + _price(straight, total, count, tolerance)
    arc = ARC_COST + _price(arc_off, total, count, tolerance)
    line = np.where(count >= LEAST_STRAIGHT, line, np.inf)
    arc = np.where((count >= LEAST_ARC) & (_rise(p, count) > ARC_RISE * tolerance), arc, np.inf)
    return np.minimum(line, arc)[::-1], (arc < line)[::-1]


def _price(squares: Floats, total: Floats, count: NDArray[np.int64], tolerance: float) -> Floats:
    """Of a run whose misses square to so much: gentle within the tolerance, steep beyond."""
    # A smooth misfit's largest miss is about 2.2 times its rms: an arc taken for a straight.
    over = squares / total / (0.45 * tolerance) ** 2 - 1.0
    return np.asarray(squares / (0.7 * tolerance) ** 2 + 12.0 * count * np.maximum(over, 0.0))


def _misfits(p: Floats, w: Floats, total: Floats) -> tuple[Floats, Floats]:
    """Weighted sums of squared misses of the best straight and of the best circle."""
    x, y = p.T
    z = x * x + y * y
    mean = {k: np.cumsum(w * v) / total for k, v in (("x", x), ("y", y), ("z", z))}
    of = {"x": x, "y": y, "z": z}
    xx, xy, yy, xz, yz, zz = (
        np.cumsum(w * of[a] * of[b]) - total * mean[a] * mean[b]
        for a, b in ("xx", "xy", "yy", "xz", "yz", "zz")
    )
    half, det = 0.5 * (xx + yy), xx * yy - xy * xy
    straight = half - np.sqrt(np.maximum(half * half - det, 0.0))
    safe = np.maximum(det, 1e-12)
    a, b = (yy * xz - xy * yz) / safe, (xx * yz - xy * xz) / safe
    r2 = mean["z"] - a * mean["x"] - b * mean["y"] + 0.25 * (a * a + b * b)
    circle = np.maximum(zz - a * xz - b * yz, 0.0) / (4.0 * np.maximum(r2, 1e-6))
    return np.maximum(straight, 0.0), np.where(det > 1e-9, circle, np.inf)


def _rise(p: Floats, count: NDArray[np.int64]) -> Floats:
    """How far the middle point of each run lies off its chord."""
    middle = p[(count - 1) // 2]
    x, y = p.T
    chord = np.maximum(np.hypot(x, y), 1e-9)
    return np.asarray(np.abs(x * middle[:, 1] - y * middle[:, 0]) / chord)
