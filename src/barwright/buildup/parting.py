"""How far a part has to be shifted until it no longer stands in another.

It is parted once the pairs of hulls that are in one another now have left each other, and no other
pair is met on the way there by more than touching.
"""

from __future__ import annotations

import numpy as np

from barwright.buildup.hulls import Hulls
from barwright.buildup.rays import LEVEL, spans
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats


def parting(
    a: Hulls, b: Hulls, deep: tuple[Ints, Ints], lines: Floats, *, touch: float
) -> tuple[Floats, float]:
    """The way along which all of a parts soonest from b, shape (3,), and after how far [mm].

    Args:
        a: what moves.
        b: what stands.
        deep: rows of a and b that are in one another, at least one pair, shape (n,) each.
        lines: unit directions, each tried both ways, shape (m, 3).
        touch: other pairs that overlap by less on the way [mm] touch, and do not count.
    """
    i, j = deep
    n, m = len(i), len(lines)
    back, forth = spans(a, b, (np.tile(i, m), np.tile(j, m)), np.repeat(lines, n, axis=0), 0.0)
    ways = np.vstack([lines, -lines])
    least = np.concatenate([forth, -back]).reshape(2 * m, n).max(axis=1)
    open_ = np.ones((len(a), len(b)), dtype=bool)
    open_[i, j] = False
    best, soonest = 0, np.inf
    for k in np.argsort(least, kind="stable").tolist():
        if least[k] >= soonest:
            break
        far = _clear(a, b, open_.copy(), ways[k], (float(least[k]), touch))
        if far < soonest:
            best, soonest = k, far
    return ways[best], soonest


def _clear(a: Hulls, b: Hulls, open_: Bools, way: Floats, at: tuple[float, float]) -> float:
    """How far a goes along one way until it stands in nothing: beyond a shift, whatever it meets.

    Args:
        a: what moves.
        b: what stands.
        open_: pairs to be looked at, shape (len(a), len(b)); those that were are taken off.
        way: unit direction.
        at: how far it has to go at least, and what counts as touching [mm].
    """
    end, touch = at
    found = np.zeros((0, 2))
    while True:
        i, j = np.nonzero(open_ & _swept(a, b, way, end, touch))
        if len(i) == 0:
            return end
        open_[i, j] = False
        ways = np.broadcast_to(way, (len(i), 3))
        near, far = spans(a, b, (i, j), ways, touch)
        meets = (near < far) & (far > 0.0)
        found = np.vstack([found, np.column_stack([near, far])[meets]])
        end = _run(found, end)


def _swept(a: Hulls, b: Hulls, way: Floats, far: float, touch: float) -> Bools:
    """Which boxes of a meet which of b when shifted along a way, from 0 to some distance [mm]."""
    first, last = np.zeros((len(a), len(b))), np.full((len(a), len(b)), far)
    for x in range(3):
        low = b.low[:, x] - a.high[:, x][:, None] + touch
        high = b.high[:, x] - a.low[:, x][:, None] - touch
        if abs(way[x]) < LEVEL:
            last[(low >= 0.0) | (high <= 0.0)] = -1.0
            continue
        t, u = low / way[x], high / way[x]
        np.maximum(first, np.minimum(t, u), out=first)
        np.minimum(last, np.maximum(t, u), out=last)
        last[low >= high] = -1.0
    return np.asarray(first <= last)


def _run(found: Floats, end: float) -> float:
    """Where what is taken up to `end` comes to its end, stretches (n, 2) carrying it on."""
    for near, far in found[np.argsort(found[:, 0])]:
        if near > end:
            break
        end = max(end, float(far))
    return end
