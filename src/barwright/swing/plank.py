"""The longest plank of a given width that goes through a hole, whichever way it is turned.

A plank lying level between two heights runs from one piece of the hole's edge to the next: the
gaps between the shadows, on the level, of what the edge has between those heights. Inside the
hole are the gaps with an odd number of edges crossed on the way there.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from barwright.geometry.vectors import Floats

SMOOTH = 0.05
"""How far the hole's edge is moved in, so that it has fewer corners; at most twice that [mm]."""

HEIGHTS = 32
"""Heights at which a plank is tried, beside those where it touches a corner."""

CLOSER = 9
"""Heights tried about the best one when looking closer."""

COVERED = 12
"""Levels at which a plank is held against the area's width, before it is tried."""


def broadest(free: shapely.Polygon, depth: float) -> float:
    """The longest rectangle of a given depth that fits in an area, at any lean [mm].

    Leans are tried every 3 degrees and the best refined to a fifth. Never more than what fits,
    but for lengths that lie between the leans and heights tried; 0 where nothing does.

    Args:
        free: the area [mm²].
        depth: of the rectangle [mm].

    >>> round(broadest(shapely.box(0, 0, 700, 400), 300.0))
    700
    """
    edges = _edges(shapely.buffer(free, -SMOOTH, join_style="mitre").simplify(SMOOTH))
    if len(edges) == 0:
        return 0.0
    best, lean = _best(edges, depth, np.arange(0.0, 180.0, 3.0), 0, 0.0)
    if best == 0.0:
        return 0.0
    return _best(edges, depth, np.arange(lean - 3.0, lean + 3.0, 0.2), 2, best)[0]


def _best(
    edges: Floats, depth: float, leans: Floats, closer: int, best: float
) -> tuple[float, float]:
    """The longest rectangle at any of some leans [degrees] that is no shorter than `best`, where.

    Leans that promise most come first; those that cannot do better are not looked at.
    """
    lean, most = 0.0, _at_most(edges, depth, leans)
    for k in np.argsort(-most, kind="stable"):
        if most[k] < best - 1e-9:
            break
        best, lean = max((best, lean), (_longest(edges, depth, leans[k], closer), leans[k]))
    return best, lean


def _at_most(edges: Floats, depth: float, leans: Floats) -> Floats:
    """What the longest rectangle cannot exceed at each lean, shape (k,).

    Levels lie so close that a plank always covers `COVERED` in a row: it is no longer than the
    area is wide at any of these.
    """
    c, s = np.cos(np.radians(leans)), np.sin(np.radians(leans))
    turned = edges @ np.array([[c, -s], [s, c]]).transpose(2, 0, 1)[:, None]
    ax, ay, bx, by = (turned[:, None, :, i, j] for i in (0, 1) for j in (0, 1))
    tall = float((ay.max(axis=-1) - ay.min(axis=-1)).max())
    step = np.arange(math.ceil(tall * (COVERED + 1) / depth) + 1) * (depth / (COVERED + 1))
    level = ay.min(axis=-1, keepdims=True) + step[:, None]
    crossed = (ay > level) != (by > level)
    x = ax + (level - ay) / np.where(crossed, by - ay, 1.0) * (bx - ax)
    right = np.where(crossed, x, -np.inf).max(axis=-1)
    wide = np.maximum(right - np.where(crossed, x, np.inf).min(axis=-1), 0.0)
    if wide.shape[1] < COVERED:
        return np.full(len(leans), np.inf)
    runs = np.lib.stride_tricks.sliding_window_view(wide, COVERED, axis=1)
    return np.asarray(runs.min(axis=-1).max(axis=-1))


def _edges(area: shapely.Geometry) -> Floats:
    """The sides of an area, its holes' and every part's, shape (n, 2, 2)."""
    rings = shapely.get_rings(shapely.get_parts(area))
    runs = [shapely.get_coordinates(r) for r in rings]
    sides = [np.stack([r[:-1], r[1:]], axis=1) for r in runs]
    return np.concatenate(sides) if sides else np.zeros((0, 2, 2))


def _longest(edges: Floats, depth: float, lean: float, closer: int) -> float:
    """The longest rectangle of a depth at one lean [degrees], looked at closer some times."""
    c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
    turned = edges @ np.array([[c, -s], [s, c]])
    y = turned[:, 0, 1]
    low, high = float(y.min()), float(y.max()) - depth
    if high < low:
        return 0.0
    tried = np.concatenate([y, y - depth, np.linspace(low, high, HEIGHTS)])
    tried = np.unique(tried[(tried >= low) & (tried <= high)])
    found, step = _over(turned, tried, depth), (high - low) / HEIGHTS
    best = float(found.max())
    for _ in range(closer):
        at = float(tried[found.argmax()])
        tried = np.linspace(max(at - step, low), min(at + step, high), CLOSER)
        found, step = _over(turned, tried, depth), 2.0 * step / CLOSER
        best = max(best, float(found.max()))
    return best


def _over(edges: Floats, heights: Floats, depth: float) -> Floats:
    """The longest free run at each of some heights of the plank's lower side."""
    (ax, ay), (bx, by) = edges[:, 0].T, edges[:, 1].T
    low, high = heights[:, None] + 1e-7, heights[:, None] + depth - 1e-7
    rise = np.where(by == ay, 1.0, by - ay)
    t, u = (low - ay) / rise, (high - ay) / rise
    first, last = np.clip(np.minimum(t, u), 0.0, 1.0), np.clip(np.maximum(t, u), 0.0, 1.0)
    first, last = np.where(by == ay, 0.0, first), np.where(by == ay, 1.0, last)
    there = (np.maximum(ay, by) > low) & (np.minimum(ay, by) < high)
    p, q = ax + first * (bx - ax), ax + last * (bx - ax)
    left = np.where(there, np.minimum(p, q), np.inf)
    right = np.where(there, np.maximum(p, q), np.inf)
    middle = 0.5 * (low + high)
    crossed = (ay > middle) != (by > middle)
    order = np.argsort(left, axis=1)
    left, right, crossed = (np.take_along_axis(v, order, axis=1) for v in (left, right, crossed))
    inside = np.cumsum(crossed, axis=1)[:, :-1] % 2 == 1
    ends, starts = np.maximum.accumulate(right, axis=1)[:, :-1], left[:, 1:]
    sound = inside & np.isfinite(starts)
    gaps = np.subtract(starts, ends, out=np.zeros_like(starts), where=sound)
    return np.asarray(gaps.max(axis=1, initial=0.0))
