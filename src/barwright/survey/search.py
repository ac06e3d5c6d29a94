"""Which start leads to the best answer, and whether a better one may have been missed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import Block, Linearised, adjust
from barwright.survey.equations import Network, linearise
from barwright.survey.flips import other_starts
from barwright.survey.grow import Grown, grow
from barwright.survey.links import ALL_AXES, Link, links_of
from barwright.survey.marks import Marks
from barwright.survey.place import loss
from barwright.survey.quality import chi2_critical
from barwright.survey.start import size_of, starts

GOOD_ENOUGH = 1e-5
"""A start is taken where a fit this bad would come by chance once in a hundred thousand."""
OUTLIER = 5.0
"""Residuals beyond this many plus/minuses count as wrong readings while a start is judged."""
ENOUGH = 6
"""Kinds of start to try before an answer with one wrong reading is believed."""
SAME = 1e-2
"""Answers whose forgiving misfit differs by less are one."""
AGREE = 3
"""So many starts of different kinds that lead to one answer make it believed, a few wrong
readings or not."""
STRONG, WEAK = 0.4, 0.33
"""Shares of the readings to spare above and below which a survey is strong or weak."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Found:
    """The best answer found.

    Attributes:
        x: (n, 3).
        how: the start that led there.
        tried: how many starts were tried.
        certain: whether it fits as well as the plus/minus promises, a few wrong readings apart.
        others: (n, 3) each, other answers met on the way that fit nearly as well.
    """

    x: Floats
    how: str
    tried: int
    certain: bool
    others: tuple[Floats, ...] = ()


@dataclass(frozen=True, kw_only=True, eq=False)
class _Try:
    x: Floats
    score: float
    good: bool
    wrong: int

    @property
    def clean(self) -> bool:
        """Whether it is good with no reading far off."""
        return self.good and not self.wrong


def forgiving(network: Network, x: Floats, *, rounds: int = 8) -> Floats:
    """The marks (n, 3) adjusted with less and less weight on what does not fit.

    Iteratively reweighted least squares with Cauchy's weights, scale 3 plus/minuses.
    """
    for _ in range(rounds):
        weight = 1.0 / np.sqrt(1.0 + (linearise(network, x).residual / 3.0) ** 2)

        def softened(v: Floats, weight: Floats = weight) -> Linearised:
            return _weighted(linearise(network, v.reshape(-1, 3)), weight)

        found = adjust(softened, x.ravel(), most=3, tolerance=1e-2, damping=1e-8)
        change = float(np.abs(found.x - x.ravel()).max())
        x = found.x.reshape(-1, 3)
        if change < 1e-2:
            break
    return x


def _weighted(at: Linearised, weight: Floats) -> Linearised:
    blocks, start = [], 0
    for b in at.blocks:
        w = weight[start : start + len(b.values), None]
        blocks.append(Block(columns=b.columns, values=b.values * w))
        start += len(b.values)
    return Linearised(residual=at.residual * weight, blocks=tuple(blocks))


def _good(residual: Floats, freedom: int) -> bool:
    """Whether residuals are what chance would give, but for a few wrong readings."""
    off = np.abs(residual) > OUTLIER
    allowed = max(1, round(0.04 * len(residual))) if freedom > 3 else 0
    if int(off.sum()) > min(allowed, max(freedom - 2, 0)):
        return False
    inside = residual[~off]
    return bool(inside @ inside <= chi2_critical(max(freedom, 1), GOOD_ENOUGH))


def _tried(network: Network, freedom: int, start: Floats) -> _Try:
    found = adjust(
        lambda v: linearise(network, v.reshape(-1, 3)), start.ravel(), most=40, damping=1e-4
    )
    x, residual = found.x.reshape(-1, 3), found.at.residual
    if not _good(residual, freedom):
        x = forgiving(network, x)
        residual = linearise(network, x).residual
    good = _good(residual, freedom)
    wrong = int(np.sum(np.abs(residual) > OUTLIER))
    return _Try(x=x, score=float(loss(residual)), good=good, wrong=wrong)


def _core(network: Network, x: Floats) -> NDArray[np.bool_]:
    """Which marks (n,) the readings agree about, at a wrong or half right answer."""
    at = linearise(network, x)
    fits = np.abs(at.residual) < OUTLIER
    good, bad = np.zeros(len(x)), np.zeros(len(x))
    start = 0
    for b in at.blocks:
        mine = fits[start : start + len(b.values)]
        start += len(b.values)
        for ok, marks in zip(mine, b.columns // 3, strict=True):
            which = np.unique(marks)
            good[which] += ok
            bad[which] += not ok
    return np.asarray((good >= 3) & (bad <= 0.2 * good))


def _regrown(network: Network, links: Sequence[Link], x: Floats, size: float) -> Iterator[Floats]:
    """The marks the readings agree about kept, the others placed anew from them."""
    core = _core(network, x)
    if not 4 <= int(core.sum()) < len(x):
        return
    whole = np.where(core[:, None], x, 0.0)
    onto = Grown(x=whole[None], placed=core, score=np.zeros(1))
    grown = grow(network, links, anchored=ALL_AXES, size=size, onto=onto)
    if grown.placed.all():
        yield from grown.x[:2]
        return
    yield np.where(grown.placed[:, None], grown.x[0], x)


def _mended(network: Network, links: Sequence[Link], freedom: int, found: _Try) -> _Try:
    """A half right answer bettered: marks placed anew, and marks flipped one by one."""
    size = size_of(network)
    for _ in range(6):
        before = found.score
        for start in _regrown(network, links, found.x, size):
            found = min(found, _tried(network, freedom, start), key=lambda t: t.score)
        if found.clean:
            return found
        for start in other_starts(network, found.x, None, most=5):
            trial = _tried(network, freedom, start)
            if trial.score < found.score - 1e-3:
                found = trial
                break
        if found.clean or found.score > before - 1e-3:
            return found
    return found


def _enough(best: _Try, freedom: int, rows: int) -> int:
    """Kinds of start to try before an answer with wrong readings is believed.

    Where hardly a third of the readings is to spare, a wrong answer may show in few of them;
    where there are plenty, it shows in many.
    """
    share = freedom / max(rows, 1)
    if share > STRONG and best.wrong <= 0.04 * rows:
        return 2
    weak = 3 if share < WEAK else 1
    return weak * (ENOUGH if best.wrong == 1 else 2 * ENOUGH)


def search(
    network: Network,
    freedom: int,
    *,
    seed: int = 1,
    most: int = 24,
    before: Marks | None = None,
) -> Found:
    """The best answer from several starts; the first good one ends the search.

    Args:
        network: readings that hold together.
        freedom: their equations less the unknowns they can find.
        seed: of the random starts.
        most: how many of those.
        before: marks found for the same readings with other values, as the first start.
    """
    if before is not None:
        again = _tried(network, freedom, before.xyz)
        if again.clean:
            return Found(x=again.x, how=before.report.start, tried=1, certain=True)
    links = links_of(network)
    rows = len(network.reading_of_row)
    best: _Try | None = None
    how, tried, others = "", 0, []
    ends: list[tuple[float, _Try]] = []
    for groups, (name, group) in enumerate(starts(network, seed=seed, most=most), 1):
        found = []
        for start in group:
            found.append(_tried(network, freedom, start))
            tried += 1
        first = min(found, key=lambda t: t.score)
        if not first.clean:
            met = next((end for was, end in ends if abs(was - first.score) < SAME), None)
            score, first = first.score, met or _mended(network, links, freedom, first)
            ends.append((score, first))
        if best is None or first.score < best.score:
            best, how = first, name
            others = [t.x for t in found if t.score < first.score + 12.0]
        agree = sum(abs(end.score - best.score) < SAME for _, end in ends)
        if best.clean:
            break
        if best.good and (agree >= AGREE or groups >= _enough(best, freedom, rows)):
            break
    assert best is not None  # noqa: S101 - there is always at least one start
    return Found(x=best.x, how=how, tried=tried, certain=best.good, others=tuple(others))
