"""The longest plank of a given width that goes through a hole, whichever way it is turned.

A plank lying level between two heights runs from one piece of the hole's edge to the next: the
gaps between the shadows, on the level, of what the edge has between those heights. Inside the
hole are the gaps with an odd number of edges crossed on the way there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from barwright.geometry.vectors import Floats

SMOOTH = 0.05
"""How far the hole's edge is moved in, so that it has fewer corners; at most twice that [mm]."""

LOOKS = ((90.0, 3.0, 33, 26), (3.0, 0.2, 513, 104), (0.2, 0.1, 1025, 104))
"""Each look closer at the best lean so far: how far it goes to either side and in what steps
[degrees], the heights at which a plank is tried beside those where it touches a corner, and the
levels, in a plank's depth, at which it is held against the area's width before it is tried."""

BATCH = 32
"""Planks tried in one go."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Leaned:
    """An area leaned k ways, that level planks are tried in.

    Attributes:
        leans: shape (k,) [degrees].
        edges: its sides, shape (k, n, 2, 2) [mm].
        depth: of the planks [mm].
        levels: in a plank's depth.
        low, high: where a plank's lower side can be, shape (k,) [mm]; `high` is less than `low`
            where no plank of that depth fits.
        left, right: how far the area goes at levels `depth / levels` apart from the lowest
            corner up, shape (k, l) [mm]; inf and -inf where it has ended.
    """

    leans: Floats
    edges: Floats
    depth: float
    levels: int
    low: Floats
    high: Floats
    left: Floats
    right: Floats


def broadest(free: shapely.Polygon, depth: float) -> float:
    """The longest rectangle of a given depth that fits in an area, at any lean [mm].

    Leans are tried every 3 degrees and the best refined to a tenth. Never more than what fits,
    but for lengths that lie between the leans and heights tried; 0 where nothing does.

    Args:
        free: the area [mm²].
        depth: of the rectangle [mm].

    >>> round(broadest(shapely.box(0, 0, 700, 400), 300.0))
    700
    """
    edges = _edges(shapely.buffer(free, -SMOOTH, join_style="mitre").simplify(SMOOTH))
    length, lean = 0.0, 90.0
    for far, step, count, levels in LOOKS if len(edges) else ():
        area = _leaned(edges, depth, lean + np.arange(-far, far, step), levels)
        length, lean = _best(area, _heights(area, count), (length, lean))
    return length


def _best(area: _Leaned, heights: Floats, best: tuple[float, float]) -> tuple[float, float]:
    """The longest rectangle with its lower side at any of some heights (k, m), and its lean.

    It is `best` if none is longer. The planks that promise most come first; those that cannot do
    better are not tried.
    """
    most = _at_most(area, heights)
    row, nth = np.nonzero(most > best[0])
    order = np.argsort(-most[row, nth])
    row, nth = row[order], nth[order]
    for k in range(0, len(row), BATCH):
        i, j = row[k : k + BATCH], nth[k : k + BATCH]
        if most[i[0], j[0]] <= best[0]:
            break
        length = _over(area.edges[i], heights[i, j], area.depth)
        first = int(length.argmax())
        best = max(best, (float(length[first]), float(area.leans[i[first]])))
    return best


def _leaned(edges: Floats, depth: float, leans: Floats, levels: int) -> _Leaned:
    """An area, its sides given, at each of some leans [degrees]."""
    c, s = np.cos(np.radians(leans)), np.sin(np.radians(leans))
    turn = np.array([[c, -s], [s, c]]).transpose(2, 0, 1)
    turned = (edges.reshape(-1, 2) @ turn).reshape(len(leans), -1, 2, 2)
    y = turned[:, :, 0, 1]
    low, high = y.min(axis=1), y.max(axis=1)
    apart = depth / levels
    left, right = _ends(turned, low, apart, math.ceil((high - low).max() / apart))
    return _Leaned(
        leans=leans,
        edges=turned,
        depth=depth,
        levels=levels,
        low=low,
        high=high - depth,
        left=left,
        right=right,
    )


def _heights(area: _Leaned, count: int) -> Floats:
    """Where a plank's lower side is tried at each lean, shape (k, m): also where it touches."""
    y = area.edges[:, :, 0, 1]
    level = np.linspace(area.low, area.high, count, axis=1)
    return np.concatenate([y, y - area.depth, level], axis=1)


def _at_most(area: _Leaned, heights: Floats) -> Floats:
    """What no rectangle with its lower side at a height exceeds, shape (k, m).

    It always covers some levels in a row, and ends no farther out than the area does at any of
    these. Nothing where no plank can lie.
    """
    there = (heights >= area.low[:, None]) & (heights <= area.high[:, None])
    if not there.any():
        return np.zeros(heights.shape)
    count = area.levels - 1
    left, right = _in_a_row(np.maximum, area.left, count), _in_a_row(np.minimum, area.right, count)
    most = np.maximum(right - left, 0.0)
    level = np.where(there, (heights - area.low[:, None]) * area.levels / area.depth + 1e-9, 0.0)
    first = np.minimum(level.astype(np.intp) + 1, most.shape[1] - 1)
    return np.where(there, np.take_along_axis(most, first, axis=1), 0.0)


def _in_a_row(of: np.ufunc, rows: Floats, count: int) -> Floats:
    """The greatest (or least) of each so many neighbours in rows (k, l): (k, l - count + 1)."""
    width = 1
    while width < count:
        on = min(width, count - width)
        rows, width = of(rows[:, :-on], rows[:, on:]), width + on
    return rows


def _ends(edges: Floats, low: Floats, apart: float, count: int) -> tuple[Floats, Floats]:
    """How far areas go left and right at levels from their lowest corner up, (k, count) each."""
    ax, ay, bx, by = edges.reshape(-1, 4).T
    base = np.repeat(low, edges.shape[1])
    from_ = np.ceil((np.minimum(ay, by) - base) / apart).astype(np.intp)
    crossed = np.ceil((np.maximum(ay, by) - base) / apart).astype(np.intp) - from_
    edge = np.repeat(np.arange(len(ax)), crossed)
    nth = from_[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(crossed) - crossed, crossed)
    slope = (bx - ax) / np.where(ay == by, 1.0, by - ay)
    x = ax[edge] + slope[edge] * (base[edge] + apart * nth - ay[edge])
    place = edge // edges.shape[1] * count + nth
    left, right = np.full(len(low) * count, np.inf), np.full(len(low) * count, -np.inf)
    np.minimum.at(left, place, x)
    np.maximum.at(right, place, x)
    return left.reshape(-1, count), right.reshape(-1, count)


def _edges(area: shapely.Geometry) -> Floats:
    """The sides of an area, its holes' and every part's, shape (n, 2, 2)."""
    rings = shapely.get_rings(shapely.get_parts(area))
    runs = [shapely.get_coordinates(r) for r in rings]
    sides = [np.stack([r[:-1], r[1:]], axis=1) for r in runs]
    return np.concatenate(sides) if sides else np.zeros((0, 2, 2))


def _over(edges: Floats, heights: Floats, depth: float) -> Floats:
    """The longest free run over each of p heights of the plank's lower side, shape (p,).

    Args:
        edges: of the area as it is leaned for each, shape (p, n, 2, 2).
        heights: shape (p,) [mm].
        depth: of the plank [mm].
    """
    ax, ay, bx, by = edges.reshape(*edges.shape[:2], 4).transpose(2, 0, 1)
    low, high = heights[:, None] + 1e-7, heights[:, None] + depth - 1e-7
    middle = 0.5 * (low + high)
    crossed = (ay > middle) != (by > middle)
    level = ay == by
    slope = (bx - ax) / np.where(level, 1.0, by - ay)
    under, over = np.minimum(ay, by), np.maximum(ay, by)
    p = np.where(level, ax, ax + slope * (np.maximum(under, low) - ay))
    q = np.where(level, bx, ax + slope * (np.minimum(over, high) - ay))
    there = (over > low) & (under < high)
    left, right = np.where(there, np.minimum(p, q), np.inf), np.maximum(p, q)
    order = np.argsort(left, axis=1)
    order += left.shape[1] * np.arange(len(left))[:, None]
    left, right, crossed = left.ravel()[order], right.ravel()[order], crossed.ravel()[order]
    inside = np.cumsum(crossed, axis=1, dtype=np.int32)[:, :-1] % 2 == 1
    ends, starts = np.maximum.accumulate(right, axis=1)[:, :-1], left[:, 1:]
    gaps = np.where(inside & np.isfinite(starts), starts - ends, 0.0)
    return np.asarray(gaps.max(axis=1, initial=0.0))
