"""How each reading fits: redundancy, and the test whether its residual is beyond chance.

With whitened residuals v of a reading's rows and R the block of I - J Q Jᵀ that belongs to
them, vᵀ R⁺ v is chi-square with as many degrees as rows where nothing is wrong. For a reading
of one row that is Baarda's w squared (w = v / sqrt(r), r its redundancy number). Where the
plus/minus is not to be trusted the same ratio is taken to the survey's own sigma0, which is
Pope's tau.

Sources: Baarda 1968, A testing procedure for use in geodetic networks; Pope 1976, The
statistics of residuals and the detection of outliers (both from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import Linearised
from barwright.survey.equations import Network
from barwright.survey.motion import pushed

FAMILY = 0.01
"""Chance that a survey without any blunder has one reading called suspect."""
BAARDA = 0.001
"""Chance for a single reading, where that is the stricter."""
MISSED = 0.2
"""Chance that a slip of the size called findable is missed all the same."""
_HELD = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class Quality:
    """One entry a reading.

    Attributes:
        redundancy: 0..1, the mean over the reading's rows.
        rows: how many independent tests its rows allow.
        statistic: vᵀ R⁺ v.
        w: the same as an equivalent normal deviate, in sd.
    """

    redundancy: Floats
    rows: NDArray[np.intp]
    statistic: Floats
    w: Floats


def noncentrality(alpha: float = BAARDA, missed: float = MISSED) -> float:
    """How far a slip must push a reading's w [sd] to be found but for a chance of `missed`.

    Baarda's root of lambda zero: z(1 - alpha/2) + z(1 - missed).

    >>> round(noncentrality(), 4)
    4.1321
    """
    return normal_deviate(alpha) + normal_deviate(2.0 * missed)


def least_found(plus_minus: float, redundancy: float) -> float:
    """The smallest slip [mm or rad] in a reading that four surveys of five would show.

    Baarda's minimal detectable bias, s root(lambda zero) / root(r); infinite where nothing
    checks the reading.

    >>> round(least_found(1.0, 0.5), 2)
    5.84
    """
    return plus_minus * noncentrality() / math.sqrt(redundancy) if redundancy > _HELD else math.inf


def critical_w(readings: int) -> float:
    """The deviate beyond which a reading is suspect: Baarda's 3.29, or more in a large survey.

    Šidák's correction keeps the chance of a false alarm in the whole survey at `FAMILY`.

    >>> round(critical_w(2), 2), round(critical_w(300), 2)
    (3.29, 4.15)
    """
    return normal_deviate(min(BAARDA, 1.0 - (1.0 - FAMILY) ** (1.0 / max(readings, 1))))


def normal_deviate(alpha: float) -> float:
    """The two-sided critical value of the standard normal distribution.

    >>> round(normal_deviate(0.001), 4), round(normal_deviate(0.05), 4)
    (3.2905, 1.96)
    """
    from scipy.special import ndtri

    return float(-ndtri(alpha / 2.0))


def tau(freedom: int, alpha: float) -> float:
    """Pope's critical value of a residual over sigma0 estimated from the same residuals.

    tau = sqrt(r) t / sqrt(r - 1 + t²), t Student's two-sided with r - 1 degrees; r >= 2.

    >>> round(tau(10, 0.05), 4)
    1.9039
    """
    from scipy.special import stdtrit

    t = float(stdtrit(freedom - 1, 1.0 - alpha / 2.0))
    return math.sqrt(freedom) * t / math.sqrt(freedom - 1 + t * t)


def chi2_critical(freedom: int, alpha: float) -> float:
    """The upper critical value of chi-square."""
    from scipy.special import chdtri

    return float(chdtri(freedom, alpha))


def deviate_of(statistic: float, rows: int) -> float:
    """The normal deviate as unlikely as a chi-square statistic with that many degrees."""
    if rows <= 1:
        return math.sqrt(max(statistic, 0.0))
    from scipy.special import chdtrc, ndtri

    tail = float(chdtrc(rows, statistic))
    if tail < 1e-300:
        return math.sqrt(statistic)
    return max(float(-ndtri(tail / 2.0)), 0.0)


def redundancy_blocks(at: Linearised, covariance: Floats) -> tuple[Floats, Floats]:
    """What the residuals' covariance is made of.

    Returns:
        The diagonal (rows,) of I - J Q Jᵀ, and J Q (rows, u).
    """
    jq = pushed(at, covariance)
    diagonal = np.empty(len(at.residual))
    start = 0
    for b in at.blocks:
        stop = start + len(b.values)
        mine = np.take_along_axis(jq[start:stop], b.columns, axis=1)
        diagonal[start:stop] = 1.0 - np.einsum("mk,mk->m", mine, b.values)
        start = stop
    return diagonal, jq


def quality_of(network: Network, at: Linearised, covariance: Floats) -> Quality:
    """Redundancy and test of every reading of an adjusted network.

    Args:
        network: the readings that were adjusted together.
        at: their whitened residuals and Jacobian at the solution.
        covariance: (3n, 3n) of the marks, not scaled by sigma0.
    """
    diagonal, jq = redundancy_blocks(at, covariance)
    owner = network.reading_of_row
    count = np.bincount(owner, minlength=len(network.readings))
    mean = np.bincount(owner, diagonal, minlength=len(count)) / np.maximum(count, 1)
    v = at.residual
    single = np.where(diagonal > _HELD, v * v / np.maximum(diagonal, _HELD), 0.0)
    statistic = np.bincount(owner, single, minlength=len(count)).astype(float)
    rows = np.where(mean > _HELD, 1, 0)
    w = np.sqrt(statistic)
    for i in np.flatnonzero(count > 1):
        mine = np.flatnonzero(owner == i)
        block = np.eye(len(mine)) - _cross(at, jq, mine)
        values, vectors = np.linalg.eigh(block)
        good = values > 1e-4
        along = vectors[:, good].T @ v[mine]
        statistic[i], rows[i] = float(np.sum(along**2 / values[good])), int(good.sum())
        w[i] = deviate_of(float(statistic[i]), int(rows[i])) if good.any() else 0.0
    return Quality(redundancy=np.clip(mean, 0.0, 1.0), rows=rows, statistic=statistic, w=w)


def _cross(at: Linearised, jq: Floats, mine: NDArray[np.intp]) -> Floats:
    """The block of J Q Jᵀ between some rows."""
    j = np.zeros((len(mine), jq.shape[1]))
    start = 0
    for b in at.blocks:
        for k, row in enumerate(mine):
            if start <= row < start + len(b.values):
                np.add.at(j[k], b.columns[row - start], b.values[row - start])
        start += len(b.values)
    return np.asarray(jq[mine] @ j.T)
