"""Which start leads to the best answer, and whether a better one may have been missed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import Block, Linearised, adjust
from barwright.survey.equations import Network, linearise
from barwright.survey.place import loss
from barwright.survey.quality import chi2_critical
from barwright.survey.start import starts

GOOD_ENOUGH = 1e-5
"""A start is taken where a fit this bad would come by chance once in a hundred thousand."""
OUTLIER = 5.0
"""Residuals beyond this many plus/minuses count as wrong readings while a start is judged."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Found:
    """The best answer found.

    Attributes:
        x: (n, 3).
        how: the start that led there.
        tried: how many starts were tried.
        certain: whether it fits as well as the plus/minus promises, a few wrong readings apart.
    """

    x: Floats
    how: str
    tried: int
    certain: bool


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


def search(network: Network, freedom: int, *, seed: int = 1, most: int = 12) -> Found:
    """The best answer from several starts; the first good one ends the search.

    Args:
        network: readings that hold together.
        freedom: their equations less the unknowns they can find.
        seed: of the random starts.
        most: how many of those.
    """
    best: Found | None = None
    least, tried = np.inf, 0
    for how, start in starts(network, seed=seed, most=most):
        tried += 1
        x = adjust(
            lambda v: linearise(network, v.reshape(-1, 3)), start.ravel(), most=40, damping=1e-4
        ).x.reshape(-1, 3)
        residual = linearise(network, x).residual
        good = _good(residual, freedom)
        if not good:
            x = forgiving(network, x)
            residual = linearise(network, x).residual
            good = _good(residual, freedom)
        score = float(loss(residual))
        if score < least or good:
            least, best = score, Found(x=x, how=how, tried=tried, certain=good)
        if good:
            break
    assert best is not None  # noqa: S101 - there is always at least one start
    return Found(x=best.x, how=best.how, tried=tried, certain=best.certain)
