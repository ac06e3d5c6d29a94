"""The gain foretold is the gain got."""

import math

import numpy as np
import pytest
from network_maker import Plan, several

from barwright.job.schema import Reading
from barwright.survey.next_reading import NEAREST, REACH
from barwright.survey.solve import solve

CASES = [case for _, case in several(4, Plan(marks=(10, 16), tapes=(4, 5)), first=200)]
AXES = {"station": 0, "offset": 1, "height": 2}


def worst(marks):
    n = len(marks.names)
    blocks = marks.covariance.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n), :]
    return math.sqrt(np.linalg.eigvalsh(blocks)[:, -1].max())


def value_of(candidate, marks):
    p = np.array([marks.at(n) for n in candidate.marks])
    if candidate.kind == "tape":
        return math.dist(*p)
    if candidate.kind == "incline":
        d = p[1] - p[0]
        return math.atan2(d[2], math.hypot(d[0], d[1]))
    return p[0][AXES[candidate.kind]]


@pytest.mark.parametrize("case", CASES)
def test_foretold_gain_comes_true(case):
    before = solve(case.readings)
    best = before.next_reading[0]
    sd = math.radians(0.2) if best.kind == "incline" else 1.0
    if best.kind == "tape":
        assert NEAREST <= value_of(best, before) <= REACH
    taken = Reading(
        line=999, kind=best.kind, marks=best.marks, value=value_of(best, before), plus_minus=sd
    )
    after = solve((*case.readings, taken))
    assert 100.0 * (1.0 - worst(after) / worst(before)) == pytest.approx(best.gain, abs=0.5)


@pytest.mark.parametrize("case", CASES[:2])
def test_best_first_and_nothing_taken_already(case):
    marks = solve(case.readings)
    gains = [c.gain for c in marks.next_reading]
    assert gains == sorted(gains, reverse=True)
    taken = {(r.kind, frozenset(r.marks)) for r in case.readings}
    assert not taken & {(c.kind, frozenset(c.marks)) for c in marks.next_reading}
