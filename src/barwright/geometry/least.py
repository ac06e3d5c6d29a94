"""The least gap of a scene over all spans of angle, by branch and bound.

A node whose proven least gap is no better than what some place already reaches (less what the
answer may be short of) is done with. The others are cut where they lose most: in angle, in the
length of an arc taken as a chord, or in ends taken as round. So the answer is proven: no angle
between the ones looked at can hold less.

Several questions about one scene (each span of a swing, say) are asked in one go: each node knows
the question it belongs to, and is held against the best answer to that one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.broad import ball_gap
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.spans import over_span
from barwright.geometry.turning import Gaps, Nodes, Scene, gaps, joined, placed
from barwright.geometry.vectors import Floats

BATCH = 512
"""Nodes looked at in one go."""

AT_ONCE = 8
"""As many questions' batches are looked at in one go."""

FIRST, FEWEST, IN_ALL = 8, 4, 512
"""Nodes looked at first of all, for a gap to hold the others against: of each question at most
and at least, and of all questions."""

COARSE = 1.0
"""How far above the true gap the first ones looked at may be told [mm]."""

PLENTY = 1.5
"""A gap proven to be this many times what would be enough is not worked out closer."""

ROUNDING = 1e-9
"""Taken off proven bounds for what arithmetic may have rounded [mm]."""

FEW = 96
"""Nodes that are cut in two once more: looking at many costs little more than at few."""

WIDE = 0.9
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


@dataclass(frozen=True, kw_only=True, eq=False)
class Leasts:
    """The least gaps of k questions: columns of what `Least` says of one.

    Attributes:
        low, high: shape (k,) [mm]; inf where there are no nodes.
        angle: shape (k,) [rad].
        piece: shape (k, 2).
    """

    low: Floats
    high: Floats
    angle: Floats
    piece: Ints

    def of(self, k: int) -> Least:
        """The least gap of one question."""
        i, j = self.piece[k]
        return Least(
            low=float(self.low[k]),
            high=float(self.high[k]),
            angle=float(self.angle[k]),
            piece=(int(i), int(j)),
        )


def least_gap(scene: Scene, nodes: Nodes, *, within: float = 0.005) -> Least | None:
    """The least gap over all nodes; None where there are no nodes.

    Stops early where pieces are found to overlap: then `high` is 0 or less and `low` is 0.

    Args:
        scene: what turns and what stands.
        nodes: what to look at, with a first proven bound each, all of one question.
        within: how far apart `low` and `high` may be [mm].
    """
    if len(nodes) == 0:
        return None
    return least_gaps(scene, nodes, 1, within=within).of(0)


def least_gaps(
    scene: Scene, nodes: Nodes, count: int, *, within: float = 0.005, coarse: float = COARSE
) -> Leasts:
    """The least gap of each of several questions, as `least_gap` has it for one.

    Args:
        scene: what turns and what stands.
        nodes: what to look at, with a first proven bound each; `asked` says for which question.
        count: how many questions there are.
        within: how far apart `low` and `high` may be [mm].
        coarse: how far above the true gap the first ones looked at may be told [mm].
    """
    best = _unknown(count) if len(nodes) == 0 else _first_look(scene, nodes, count, coarse)
    floor = np.full(count, np.inf)
    while len(nodes := _sifted(_open(nodes, best), best, floor, within)):
        urgent = _most_urgent(nodes, BATCH * min(count, AT_ONCE))
        best, more = _look(scene, nodes.take(urgent), best, floor, within)
        nodes = joined(nodes.take(~urgent), more)
    low = np.where(best.high > 0.0, np.minimum(floor, best.high) - ROUNDING, 0.0)
    return replace(best, low=low)


def _open(nodes: Nodes, best: Leasts) -> Nodes:
    """The nodes of questions that no overlap has answered yet."""
    return nodes.take(best.high[nodes.asked] > 0.0)


def _lower(floor: Floats, nodes: Nodes, done: Bools) -> None:
    """Note the bounds of those nodes that are done with."""
    np.minimum.at(floor, nodes.asked[done], nodes.low[done])


def _first_look(scene: Scene, nodes: Nodes, count: int, coarse: float) -> Leasts:
    """Gaps that are really there, from the likeliest nodes as they stand at first."""
    shut = replace(nodes, span=np.repeat(nodes.at[:, None], 2, axis=1))
    most = min(FIRST, max(IN_ALL // count, FEWEST))
    near = _first_of(nodes, np.maximum(nodes.low, ball_gap(scene, shut)), most)
    found = gaps(scene, near, placed(scene, near), within=coarse)
    return _better(_unknown(count), near, found)


def _unknown(count: int) -> Leasts:
    """Nothing found yet."""
    return Leasts(
        low=np.zeros(count),
        high=np.full(count, np.inf),
        angle=np.zeros(count),
        piece=np.zeros((count, 2), dtype=np.intp),
    )


def _first_of(nodes: Nodes, by: Floats, most: int) -> Nodes:
    """The nodes of each question that come first by a figure, no more than so many."""
    order = np.lexsort((by, nodes.asked))
    asked = nodes.asked[order]
    nth = np.arange(len(order)) - np.searchsorted(asked, asked)
    return nodes.take(order[nth < most])


def _look(
    scene: Scene, own: Nodes, best: Leasts, floor: Floats, within: float
) -> tuple[Leasts, Nodes]:
    """Look at some nodes: the best gaps now, and what is left; bounds of the others go to `floor`.

    Cheap bounds come first: the balls round the pieces, then the plane of the last look.
    """
    own = replace(own, low=np.maximum(own.low, ball_gap(scene, own)))
    own = _sifted(own, best, floor, within)
    wide = own.span[:, 1] - own.span[:, 0] > WIDE
    halves = _halved(own.take(wide))
    own = own.take(~wide)
    shapes = placed(scene, own)
    low, _ = over_span(shapes, shapes.away, *_reach_out(own))
    own = replace(own, low=np.maximum(own.low, low))
    enough = best.high[own.asked] - within
    keep = own.low < enough
    _lower(floor, own, ~keep)
    own, shapes = own.take(keep), shapes.take(keep)
    if len(own) == 0:
        return best, halves
    found = gaps(scene, own, shapes, within=0.1 * within, plenty=PLENTY * enough[keep] + 1.0)
    best = _better(best, own, found)
    low, slope = over_span(shapes, found.away, *_reach_out(own))
    own = replace(own, low=np.maximum(own.low, low), away=found.away)
    loss = _losses(scene, own, found)
    done = (own.low >= best.high[own.asked] - within) | (loss.max(axis=1) < 0.01 * within)
    _lower(floor, own, done)
    return best, joined(halves, _cut(own.take(~done), loss[~done], slope[~done]))


def _sifted(nodes: Nodes, best: Leasts, floor: Floats, within: float) -> Nodes:
    """The nodes that are not done with; the bounds of the others go to `floor`."""
    far = nodes.low >= best.high[nodes.asked] - within
    _lower(floor, nodes, far)
    return nodes.take(~far)


def _reach_out(nodes: Nodes) -> tuple[Floats, Floats]:
    """How far each span goes back and on from the angle looked at [rad]."""
    return nodes.at - nodes.span[:, 0], nodes.span[:, 1] - nodes.at


def _most_urgent(nodes: Nodes, most: int) -> Bools:
    """Which nodes have the least bounds, no more than so many."""
    urgent = np.ones(len(nodes), dtype=bool)
    if len(nodes) > most:
        urgent[np.argpartition(nodes.low, most)[most:]] = False
    return urgent


def _better(best: Leasts, nodes: Nodes, found: Gaps) -> Leasts:
    """The best answers with what was found just now."""
    order = np.lexsort((found.high, nodes.asked))
    asked, first = np.unique(nodes.asked[order], return_index=True)
    i = order[first]
    less = found.high[i] < best.high[asked]
    asked, i = asked[less], i[less]
    high, angle, piece = best.high.copy(), best.angle.copy(), best.piece.copy()
    high[asked], angle[asked], piece[asked] = found.high[i], nodes.at[i], nodes.piece[i]
    return replace(best, high=high, angle=angle, piece=piece)


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
        _parted(nodes.take(turn), slope[turn]),
        _shortened(nodes.take(arc), worst[arc] - 1),
    )


def _shortened(nodes: Nodes, side: Ints) -> Nodes:
    """Each node with one side's arc cut in two."""
    rows = np.arange(len(nodes))
    middle = nodes.part[rows, side].mean(axis=1)
    first, second = nodes.part.copy(), nodes.part.copy()
    first[rows, side, 1] = second[rows, side, 0] = middle
    return joined(replace(nodes, part=first), replace(nodes, part=second))


def _parted(nodes: Nodes, slope: Floats) -> Nodes:
    """Each node cut in angle: in two, or in more where so few are left that a look is cheap."""
    nodes = _halved(nodes, slope)
    while 0 < len(nodes) <= FEW:
        slope = np.tile(slope, 2)
        nodes = _halved(nodes, slope)
    return nodes


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
    span = np.empty((2 * len(nodes), 2))
    span[:, 0], span[:, 1] = np.concatenate([lo, middle]), np.concatenate([middle, hi])
    return replace(joined(nodes, nodes), span=span, at=np.concatenate([first, second]))
