"""Invented surveys with a known truth, for the survey's tests and studies.

Marks are strewn over a vehicle's space; the nearest are taped, some have heights, offsets from
the centre plane and stations; every reading has normal noise of its plus/minus.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.job.schema import Reading
from barwright.survey.adjust import adjust
from barwright.survey.compile import network_of
from barwright.survey.equations import linearise
from barwright.survey.faults import faults_in
from barwright.survey.floating import find_loose, general_position


@dataclass(frozen=True, kw_only=True, eq=False)
class Invented:
    """A survey and the truth behind it."""

    names: tuple[str, ...]
    truth: np.ndarray
    readings: tuple[Reading, ...]

    def at(self, names):
        """The truth (n, 3) in the order of some marks."""
        return self.truth[[self.names.index(name) for name in names]]


@dataclass(frozen=True, kw_only=True)
class Plan:
    """How densely an invented survey is measured; shares are of the marks."""

    marks: tuple[int, int] = (10, 61)
    tapes: tuple[int, int] = (4, 8)
    heights: float = 0.6
    offsets: float = 0.3
    stations: float = 0.3
    sd: float = 1.0


def invented(seed: int, plan: Plan = Plan()) -> Invented:
    """One invented survey; the same for the same seed."""
    random = np.random.default_rng(seed)
    n = int(random.integers(*plan.marks))
    low, high = np.array((0.0, -800.0, 100.0)), np.array((2600.0, 800.0, 1400.0))
    truth = random.uniform(low, high, (n, 3))
    names = tuple(f"M{i}" for i in range(n))
    rows: list[tuple[str, tuple[int, ...], float]] = []
    apart = np.linalg.norm(truth[:, None] - truth[None], axis=2)
    each = int(random.integers(*plan.tapes))
    pairs = {
        (min(i, int(j)), max(i, int(j)))
        for i in range(n)
        for j in np.argsort(apart[i])[1 : each + 1]
    }
    rows += [("tape", (i, j), float(apart[i, j])) for i, j in sorted(pairs)]
    shares = (
        ("height", 2, plan.heights),
        ("offset", 1, plan.offsets),
        ("station", 0, plan.stations),
    )
    for kind, axis, share in shares:
        rows += [(kind, (i,), float(truth[i, axis])) for i in range(n) if random.random() < share]
    readings = tuple(
        Reading(
            line=line,
            kind=kind,
            marks=tuple(names[m] for m in marks),
            value=value + plan.sd * random.normal(),
            plus_minus=plan.sd,
        )
        for line, (kind, marks, value) in enumerate(rows, 2)
    )
    return Invented(names=names, truth=truth, readings=readings)


def solvable(case: Invented) -> bool:
    """Whether nothing floats in it."""
    if faults_in(case.readings, {}):
        return False
    network = network_of(case.readings, {})
    if len(network.names) < len(case.names):
        return False
    return find_loose(network, general_position(network, 2600.0)) is None


def several(count: int, plan: Plan = Plan(), first: int = 0):
    """So many solvable surveys, by seed."""
    seed, found = first, 0
    while found < count:
        case = invented(seed, plan)
        seed += 1
        if solvable(case):
            found += 1
            yield seed - 1, case


def best_cost(case: Invented) -> float:
    """The sum of squares an adjustment started at the truth comes to."""
    network = network_of(case.readings, {})
    start = case.at(network.names)
    return adjust(lambda v: linearise(network, v.reshape(-1, 3)), start.ravel(), damping=1e-8).cost
