"""The least gap of a scene over all spans of angle, by branch and bound.

A node whose proven least gap is no better than what some place already reaches (less what the
answer may be short of) is done with. The others are cut where they lose most: in angle, in the
length of an arc taken as a chord, or in ends taken as round. So the answer is proven: no angle
between the ones looked at can hold less.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.broad import ball_gap
from barwright.geometry.convex import Ints
from barwright.geometry.spans import over_span
from barwright.geometry.turning import Gaps, Nodes, Scene, gaps, joined, placed
from barwright.geometry.vectors import Floats

BATCH = 512
"""Nodes looked at in one go."""

FIRST = 32
"""Nodes looked at first of all, for a gap to hold the others against."""

PLENTY = 1.5
"""A gap proven to be this many times what would be enough is not worked out closer."""

ROUNDING = 1e-9
"""Taken off proven bounds for what arithmetic may have rounded [mm]."""

WIDE = 0.45
"""Spans wider than this are halved before they are looked at [rad]."""

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
    """

    low: float
    high: float
    angle: float
    piece: tuple[int, int]


def least_gap(scene: Scene, nodes: Nodes, *, within: float = 0.005) -> Least | None:
    """The least gap over all nodes; None where there are no nodes.

    Stops early where pieces are found to overlap: then `high` is 0 or less and `low` is 0.

    Args:
        scene: what turns and what stands.
        nodes: what to look at, with a first proven bound each.
        within: how far apart `low` and `high` may be [mm].
    """
    if len(nodes) == 0:
        return None
    best, floor = _first_look(scene, nodes, within), np.inf
    while len(nodes) and best.high > 0.0:
        rows = _most_urgent(nodes)
        own, rest = nodes.take(rows), _without(nodes, rows)
        best, settled, more = _look(scene, own, best, within)
        far = rest.low >= best.high - within
        floor = min(floor, settled, float(rest.low[far].min(initial=np.inf)))
        nodes = joined(rest.take(~far), more)
    return replace(best, low=min(floor, best.high) - ROUNDING if best.high > 0.0 else 0.0)


def _first_look(scene: Scene, nodes: Nodes, within: float) -> Least:
    """A gap that is really there, from the likeliest nodes as they stand at first."""
    likely = nodes.take(np.argsort(nodes.low, kind="stable")[: 4 * BATCH])
    shut = replace(likely, span=np.repeat(likely.at[:, None], 2, axis=1))
    near = likely.take(np.argsort(ball_gap(scene, shut), kind="stable")[:FIRST])
    found = gaps(scene, near, placed(scene, near), within=within)
    return _better(None, near, found)


def _look(scene: Scene, own: Nodes, best: Least, within: float) -> tuple[Least, float, Nodes]:
    """Look at some nodes: the best gap now, the least bound of those done with, and what is left.

    Cheap bounds come first: the balls round the pieces, then the plane of the last look.
    """
    enough = best.high - within
    own = replace(own, low=np.maximum(own.low, ball_gap(scene, own)))
    floor, own = _sifted(own, enough)
    wide = own.span[:, 1] - own.span[:, 0] > WIDE
    halves = _halved(own.take(wide))
    own = own.take(~wide)
    shapes = placed(scene, own)
    low, _ = over_span(shapes, shapes.away, *_reach_out(own))
    own = replace(own, low=np.maximum(own.low, low))
    keep = own.low < enough
    floor = min(floor, float(own.low[~keep].min(initial=np.inf)))
    own, shapes = own.take(keep), shapes.take(keep)
    if len(own) == 0:
        return best, floor, halves
    found = gaps(scene, own, shapes, within=0.1 * within, plenty=PLENTY * enough + 1.0)
    best = _better(best, own, found)
    low, slope = over_span(shapes, found.away, *_reach_out(own))
    own = replace(own, low=np.maximum(own.low, low), away=found.away)
    loss = _losses(scene, own, found)
    done = (own.low >= best.high - within) | (loss.max(axis=1) < 0.01 * within)
    floor = min(floor, float(own.low[done].min(initial=np.inf)))
    return best, floor, joined(halves, _cut(own.take(~done), loss[~done], slope[~done]))


def _sifted(nodes: Nodes, enough: float) -> tuple[float, Nodes]:
    """The least bound of the nodes that are done with, and the others."""
    far = nodes.low >= enough
    return float(nodes.low[far].min(initial=np.inf)), nodes.take(~far)


def _reach_out(nodes: Nodes) -> tuple[Floats, Floats]:
    """How far each span goes back and on from the angle looked at [rad]."""
    return nodes.at - nodes.span[:, 0], nodes.span[:, 1] - nodes.at


def _most_urgent(nodes: Nodes) -> Ints:
    if len(nodes) <= BATCH:
        return np.arange(len(nodes))
    return np.argpartition(nodes.low, BATCH)[:BATCH]


def _without(nodes: Nodes, rows: Ints) -> Nodes:
    keep = np.ones(len(nodes), dtype=bool)
    keep[rows] = False
    return nodes.take(keep)


def _better(best: Least | None, nodes: Nodes, found: Gaps) -> Least:
    i = int(found.high.argmin())
    if best is not None and best.high <= found.high[i]:
        return best
    return Least(
        low=0.0,
        high=float(found.high[i]),
        angle=float(nodes.at[i]),
        piece=(int(nodes.piece[i, 0]), int(nodes.piece[i, 1])),
    )


def _losses(scene: Scene, nodes: Nodes, found: Gaps) -> Floats:
    """What each node loses by its span, its two chords and its two round ends, shape (n, 5)."""
    radius = np.stack(
        [scene.moving.radius[nodes.piece[:, 0]], scene.standing.radius[nodes.piece[:, 1]]], axis=1
    )
    ends = np.where(found.at_end, 0.3 * radius, 0.0)
    wide = nodes.span[:, 1] - nodes.span[:, 0] > NARROWEST
    span = np.where(wide, found.low - nodes.low, 0.0)
    return np.concatenate([span[:, None], 2.0 * found.sag, ends], axis=1)


def _cut(nodes: Nodes, loss: Floats, slope: Floats) -> Nodes:
    """Each node cut in two where it loses most, or given its flat end."""
    worst = loss.argmax(axis=1)
    round_ = (loss[:, 3:] > 0.0) & (loss[:, 3:] >= 0.25 * loss.max(axis=1)[:, None])
    nodes = replace(nodes, flat=nodes.flat | round_)
    turn, flat = worst == 0, worst > 2
    arc = ~(turn | flat)
    return joined(
        nodes.take(flat),
        _halved(nodes.take(turn), slope[turn]),
        _shortened(nodes.take(arc), worst[arc] - 1),
    )


def _shortened(nodes: Nodes, side: Ints) -> Nodes:
    """Each node with one side's arc cut in two."""
    rows = np.arange(len(nodes))
    middle = nodes.part[rows, side].mean(axis=1)
    first, second = nodes.part.copy(), nodes.part.copy()
    first[rows, side, 1] = second[rows, side, 0] = middle
    return joined(replace(nodes, part=first), replace(nodes, part=second))


def _halved(nodes: Nodes, slope: Floats | None = None) -> Nodes:
    """Each node cut in two in angle.

    A half is looked at where its gap is likely least: at the end toward which the plane came
    nearer (`slope` positive: the span's end), or in its middle.
    """
    lo, hi = nodes.span.T
    middle = nodes.span.mean(axis=1)
    rises = np.zeros(len(nodes)) if slope is None else slope
    first = np.where(rises < 0.0, lo, 0.5 * (lo + middle))
    second = np.where(rises > 0.0, hi, 0.5 * (middle + hi))
    return joined(
        replace(nodes, span=np.stack([lo, middle], axis=1), at=first),
        replace(nodes, span=np.stack([middle, hi], axis=1), at=second),
    )
