"""Which readings are wrong: one after another, the most unlikely first.

Iterated data snooping. The reading with the largest w is left out and the rest adjusted again,
until none is beyond chance; then each one left out is tried again, since a large blunder makes
its neighbours look bad too. A reading without redundancy is never left out: nothing checks it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import Adjusted, Linearised, adjust, normal_equations
from barwright.survey.datum import Datum, held, inner_covariance, placed
from barwright.survey.equations import Network, linearise
from barwright.survey.motion import free_twists, pushed
from barwright.survey.quality import (
    BAARDA,
    FAMILY,
    Quality,
    chi2_critical,
    critical_w,
    quality_of,
    redundancy_blocks,
    tau,
)

LEAST = 0.02
"""Redundancy below which a reading is not judged."""

WORSE = 400.0
"""A reading whose loss makes the marks this many times worse known (in mm²) is not left out."""
TRIED = 6
"""How many of the most unlikely readings are tried, one at a time."""
GROSS = 20.0
"""A w so many times its critical value that the survey is bent out of shape by it."""
ALIKE = 0.98
"""Correlation beyond which two readings' tests cannot be told apart."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Settled:
    """A network adjusted, placed and judged.

    Attributes:
        network: the readings used.
        used: their numbers among all readings.
        x: (n, 3) the marks.
        at: the readings linearised there.
        covariance: (3n, 3n), from the plus/minus as written.
        datum: what was free.
        adjusted: the last adjustment.
        quality: of the readings used.
        freedom: equations less unknowns found.
    """

    network: Network
    used: tuple[int, ...]
    x: Floats
    at: Linearised
    covariance: Floats
    datum: Datum
    adjusted: Adjusted
    quality: Quality
    freedom: int


@dataclass(frozen=True, kw_only=True, eq=False)
class Snooped:
    """What is left when suspect readings are out.

    Attributes:
        settled: the rest, adjusted.
        out: numbers of the readings left out.
        either: for some of them, the readings that might be wrong in their stead; and readings
            that contradict one another, none of which was left out.
    """

    settled: Settled
    out: tuple[int, ...]
    either: tuple[tuple[int, ...], ...]


def settle(network: Network, used: Sequence[int], x: Floats) -> Settled:
    """Adjust from a start close by, place by convention, and judge.

    Raises:
        numpy.linalg.LinAlgError: the readings used leave something loose here.
    """
    found = adjust(lambda v: linearise(network, v.reshape(-1, 3)), x.ravel())
    at, normal, start = found.at, found.normal, found.x.reshape(-1, 3)
    where, datum = placed(network, start, at)
    if datum.defect or datum.mirrored:
        target = where

        def anchored(v: Floats) -> Linearised:
            now = v.reshape(-1, 3)
            return held(linearise(network, now), datum, now, target)

        found = adjust(anchored, where.ravel())
        where = found.x.reshape(-1, 3)
    if where is not start:
        at = linearise(network, where)
        normal, _ = normal_equations(at, where.size)
        datum = replace(datum, free=free_twists(at, where))
    covariance = inner_covariance(normal, datum.free, where)
    return Settled(
        network=network,
        used=tuple(used),
        x=where,
        at=at,
        covariance=covariance,
        datum=datum,
        adjusted=found,
        quality=quality_of(network, at, covariance),
        freedom=len(at.residual) - where.size + datum.defect,
    )


def scores(settled: Settled, *, sigma_known: bool) -> Floats:
    """Each reading's w over its critical value: above 1 is beyond chance, 0 is not judged."""
    q = settled.quality
    judged = q.redundancy > LEAST
    if sigma_known:
        return np.where(judged, q.w / critical_w(len(q.w)), 0.0)
    if settled.freedom < 3:
        return np.zeros(len(q.w))
    sigma0 = max(float(np.sqrt(settled.adjusted.cost / settled.freedom)), 1e-12)
    alpha = 1.0 - (1.0 - FAMILY) ** (1.0 / len(q.w))
    return np.where(judged, q.w / sigma0 / tau(settled.freedom, alpha), 0.0)


def twins_of(settled: Settled, reading: int) -> tuple[int, ...]:
    """Readings whose test is so much the same that none can be blamed rather than this one.

    The correlation of two w is R_ij / sqrt(R_ii R_jj); beyond 0.98 in size they go together.
    """
    at = settled.at
    diagonal, jq = redundancy_blocks(at, settled.covariance)
    owner = settled.network.reading_of_row
    mine = np.flatnonzero(owner == reading)
    if len(mine) != 1:
        return ()
    shared = -pushed(at, jq[mine].T)[:, 0]
    shared[mine[0]] = diagonal[mine[0]]
    with np.errstate(invalid="ignore", divide="ignore"):
        alike = np.abs(shared) / np.sqrt(diagonal * diagonal[mine[0]])
    found = owner[(alike > ALIKE) & (diagonal > LEAST)]
    return tuple(int(i) for i in np.unique(found) if i != reading)


def snoop(
    pick: Callable[[Sequence[int]], Network], count: int, x: Floats, *, sigma_known: bool = True
) -> Snooped:
    """Leave out what is beyond chance, one reading after another.

    Args:
        pick: the network of some of the readings, over all the marks.
        count: how many readings there are.
        x: (n, 3) where to start.
        sigma_known: whether the plus/minus is believed (Baarda) or not (Pope).

    Raises:
        numpy.linalg.LinAlgError: something is loose at these positions.
    """
    settled = settle(pick(range(count)), range(count), x)
    out: list[int] = []
    either: list[tuple[int, ...]] = []
    stuck: tuple[tuple[int, ...], ...] = ()
    most = max(1, count // 6)
    while len(out) < most and settled.freedom > 0:
        score = scores(settled, sigma_known=sigma_known)
        worst = int(np.argmax(score))
        if score[worst] <= 1.0:
            break
        number = settled.used[worst]
        alike = tuple(settled.used[j] for j in twins_of(settled, worst))
        alone = len(alike) > len(settled.used) // 3 or settled.freedom == 1
        if alike and alone:
            if not _told_apart(pick, settled, (number, *alike)):
                stuck = ((number, *alike),)
                break
            alike = ()
        found = _without_one(pick, settled, score)
        if found is None:
            break
        gone, settled = found
        if alike and gone == number:
            either.append((number, *alike))
        out.append(gone)
    settled, out = _taken_back(pick, settled, out, sigma_known=sigma_known)
    kept = (*(g for g in either if g[0] in out), *stuck)
    return Snooped(settled=settled, out=tuple(sorted(out)), either=kept)


def _told_apart(
    pick: Callable[[Sequence[int]], Network], settled: Settled, group: Sequence[int]
) -> bool:
    """Whether the rest fits without one of a few readings, and without none of the others.

    The test that calls them alike is linear; a reading no triangle closes over is not.
    """
    if len(group) > TRIED:
        return False
    costs = []
    for number in group:
        rest = pick([i for i in settled.used if i != number])
        evaluate = partial(_readings, rest)
        costs.append(adjust(evaluate, settled.x.ravel(), damping=1e-4).cost)
    first, second = sorted(costs)[:2]
    return first + chi2_critical(1, BAARDA) < second


def _readings(network: Network, v: Floats) -> Linearised:
    return linearise(network, v.reshape(-1, 3))


def _without_one(
    pick: Callable[[Sequence[int]], Network], settled: Settled, score: Floats
) -> tuple[int, Settled] | None:
    """The most unlikely reading's number, and the adjustment without it; None where none can go.

    The next in line is tried where the rest would not hold without the first; and where the
    survey is so far off that the test, which is linear, may name a neighbour, those nearly as
    unlikely are tried too and the one without which the rest fit best goes.
    """
    order = np.argsort(-score, kind="stable")[:TRIED]
    gross = score[order[0]] > GROSS
    found: list[tuple[int, Settled]] = []
    for k in order:
        if score[k] <= 1.0 or (found and not (gross and score[k] > 0.3 * score[order[0]])):
            break
        number = settled.used[int(k)]
        rest = [i for i in settled.used if i != number]
        try:
            left = settle(pick(rest), rest, settled.x)
        except np.linalg.LinAlgError:
            continue
        if left.covariance.trace() <= WORSE * settled.covariance.trace():
            found.append((number, left))
    return min(found, key=lambda f: f[1].adjusted.cost, default=None)


def _taken_back(
    pick: Callable[[Sequence[int]], Network],
    settled: Settled,
    out: list[int],
    *,
    sigma_known: bool,
) -> tuple[Settled, list[int]]:
    """Readings left out that fit after all, once the rest is clean, put back."""
    for number in list(out):
        if len(out) < 2:
            break
        used = sorted((*settled.used, number))
        trial = settle(pick(used), used, settled.x)
        if scores(trial, sigma_known=sigma_known).max() <= 1.0:
            settled = trial
            out = [i for i in out if i != number]
    return settled, out


def fails(settled: Settled) -> bool:
    """Whether the readings scatter more than their plus/minus allows (chi-square, 0.1 %)."""
    if settled.freedom <= 0:
        return False
    return settled.adjusted.cost > chi2_critical(settled.freedom, BAARDA)
