"""The least gap of a scene over all spans of angle, by branch and bound.

A node whose proven least gap is no better than what some place already reaches (less what the
answer may be short of) is done with. The others are cut where they lose most: in angle, in the
length of an arc taken as a chord, or in ends taken as round. So the answer is proven: no angle
between the ones looked at can hold less.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.convex import Ints
from barwright.geometry.turning import Gaps, Nodes, Scene, gaps, joined, over_span
from barwright.geometry.vectors import Floats, Point, point

BATCH = 320
"""Nodes looked at in one go."""

NARROWEST = 1e-9
"""Spans of angle are not cut finer than this [rad]; what is lost by it is taken off `low`."""


@dataclass(frozen=True, kw_only=True)
class Least:
    """The least gap.

    Attributes:
        low: proven: no gap is smaller [mm].
        high: a gap that is really there [mm]; 0 or less where pieces overlap.
        angle: where that is [rad].
        piece: the moving and the standing piece there.
        where: the point of the moving piece's core that is nearest [mm].
    """

    low: float
    high: float
    angle: float
    piece: tuple[int, int]
    where: Point


def least_gap(scene: Scene, nodes: Nodes, *, within: float = 0.005) -> Least | None:
    """The least gap over all nodes; None where there are no nodes.

    Stops early where pieces are found to overlap: then `high` is 0 or less and `low` is 0.

    Args:
        scene: what turns and what stands.
        nodes: what to look at, with a first proven bound each.
        within: how far apart `low` and `high` may be [mm].
    """
    best: Least | None = None
    floor = np.inf
    while len(nodes):
        rows = _most_urgent(nodes)
        own, rest = nodes.take(rows), _without(nodes, rows)
        middle = own.span.mean(axis=1)
        found = gaps(scene, own, middle, within=0.02 * within)
        best = _better(best, own, found, middle)
        if best.high <= 0.0:
            return best
        half = 0.5 * (own.span[:, 1] - own.span[:, 0])
        low = np.maximum(own.low, over_span(own, found, half, half))
        loss = _losses(scene, own, found, low)
        done = (low >= best.high - within) | (loss.max(axis=1) < 0.01 * within)
        settled = rest.low >= best.high - within
        floor = min(
            floor,
            float(low[done].min(initial=np.inf)),
            float(rest.low[settled].min(initial=np.inf)),
        )
        nodes = joined(rest.take(~settled), _cut(own.take(~done), low[~done], loss[~done]))
    if best is None:
        return None
    low_ = min(floor, best.high)
    return Least(low=low_, high=best.high, angle=best.angle, piece=best.piece, where=best.where)


def _most_urgent(nodes: Nodes) -> Ints:
    if len(nodes) <= BATCH:
        return np.arange(len(nodes))
    return np.argpartition(nodes.low, BATCH)[:BATCH]


def _without(nodes: Nodes, rows: Ints) -> Nodes:
    keep = np.ones(len(nodes), dtype=bool)
    keep[rows] = False
    return nodes.take(keep)


def _better(best: Least | None, nodes: Nodes, found: Gaps, angle: Floats) -> Least:
    i = int(found.high.argmin())
    if best is not None and best.high <= found.high[i]:
        return best
    return Least(
        low=0.0,
        high=float(found.high[i]),
        angle=float(angle[i]),
        piece=(int(nodes.piece[i, 0]), int(nodes.piece[i, 1])),
        where=point(found.a[i]),
    )


def _losses(scene: Scene, nodes: Nodes, found: Gaps, low: Floats) -> Floats:
    """What each node loses by its span, its two chords and its two round ends, shape (n, 5)."""
    radius = np.stack(
        [scene.moving.radius[nodes.piece[:, 0]], scene.standing.radius[nodes.piece[:, 1]]], axis=1
    )
    ends = np.where(found.at_end, 0.3 * radius, 0.0)
    wide = nodes.span[:, 1] - nodes.span[:, 0] > NARROWEST
    span = np.where(wide, found.low - low, 0.0)
    return np.concatenate([span[:, None], 2.0 * found.sag, ends], axis=1)


def _cut(nodes: Nodes, low: Floats, loss: Floats) -> Nodes:
    """Each node cut in two where it loses most, or given its flat end."""
    worst = loss.argmax(axis=1)
    first, second = (
        Nodes(
            piece=nodes.piece,
            part=nodes.part.copy(),
            flat=nodes.flat.copy(),
            span=nodes.span.copy(),
            low=low,
        )
        for _ in (0, 1)
    )
    turn = worst == 0
    middle = nodes.span.mean(axis=1)
    first.span[turn, 1] = second.span[turn, 0] = middle[turn]
    for k in (0, 1):
        bent = worst == 1 + k
        half = nodes.part[:, k].mean(axis=1)
        first.part[bent, k, 1] = second.part[bent, k, 0] = half[bent]
        first.flat[worst == 3 + k, k] = True
    return joined(first, second.take(worst < 3))
