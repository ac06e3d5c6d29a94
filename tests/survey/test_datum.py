"""What is free is named and settled by a stated convention, the same from every start."""

import itertools
import math

import numpy as np
import pytest
from network_maker import Plan, invented, several

from barwright.job.schema import Reading
from barwright.survey.check import check
from barwright.survey.motion import twists
from barwright.survey.solve import solve

TAPES = Plan(marks=(8, 15), tapes=(7, 8), heights=0.0, offsets=0.0, stations=0.0)


def tape_cases(count):
    return [case for _, case in several(count, TAPES)]


def distances(x):
    return np.linalg.norm(x[:, None] - x[None], axis=2)


@pytest.mark.parametrize("case", tape_cases(4))
def test_first_mark_at_zero_second_ahead_third_level(case):
    marks = solve(case.readings)
    assert len(marks.rank_defect) == 6
    assert marks.mirrored
    x = marks.xyz
    assert x[0] == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)
    assert x[1] == pytest.approx((np.linalg.norm(x[1]), 0.0, 0.0), abs=1e-6)
    assert x[2, 2] == pytest.approx(0.0, abs=1e-6)
    assert x[2, 1] > 0.0
    off = x[3:][np.abs(x[3:, 2]) > 0.01 * np.abs(x).max()]
    assert off[0, 2] > 0.0


@pytest.mark.parametrize("case", tape_cases(4))
def test_the_same_from_every_seed(case):
    one, other = (solve(case.readings, seed=seed) for seed in (1, 77))
    assert one.xyz == pytest.approx(other.xyz, abs=1e-4)


@pytest.mark.parametrize("case", tape_cases(3))
def test_inner_constraints_leave_the_whole_alone(case):
    """The covariance of a free network has no part along moving the whole, and is smallest."""
    marks = solve(case.readings)
    free = marks.covariance @ twists(marks.xyz)
    assert np.abs(free).max() < 1e-6 * np.abs(marks.covariance).max()


def test_heights_level_the_frame_and_leave_three_free():
    case = next(
        c
        for _, c in several(
            1, Plan(marks=(9, 12), tapes=(7, 8), heights=1.0, offsets=0.0, stations=0.0)
        )
    )
    marks = solve(case.readings)
    assert marks.rank_defect == ("forward", "left", "about z")
    truth = case.at(marks.names)
    assert marks.xyz[:, 2] == pytest.approx(truth[:, 2], abs=6.0)
    assert distances(marks.xyz) == pytest.approx(distances(truth), abs=8.0)


def test_inclines_level_it_too():
    case = next(c for _, c in several(1, TAPES, first=40))
    truth = dict(zip(case.names, case.truth, strict=True))
    inclines = []
    for line, (a, b) in enumerate(itertools.islice(itertools.combinations(case.names, 2), 6), 900):
        d = truth[b] - truth[a]
        angle = math.atan2(d[2], math.hypot(d[0], d[1]))
        inclines.append(
            Reading(line=line, kind="incline", marks=(a, b), value=angle, plus_minus=0.002)
        )
    marks = solve((*case.readings, *inclines))
    assert marks.rank_defect == ("forward", "left", "up", "about z")
    rise = marks.xyz[:, 2] - case.at(marks.names)[:, 2]
    assert rise - rise[0] == pytest.approx(np.zeros(len(rise)), abs=12.0)


def test_the_mirror_image_is_told_and_an_offset_settles_it():
    case = invented(0, TAPES)
    found = {f.code: f for f in check(solve(case.readings))}
    assert "survey.mirror" in found
    assert "survey.datum" in found
    assert found["survey.datum"].measured == 6.0
    offsets = [
        Reading(line=800 + i, kind="offset", marks=(n,), value=float(p[1]), plus_minus=1.0)
        for i, (n, p) in enumerate(zip(case.names, case.truth, strict=True))
    ]
    heights = [
        Reading(line=900 + i, kind="height", marks=(n,), value=float(p[2]), plus_minus=1.0)
        for i, (n, p) in enumerate(zip(case.names[:3], case.truth[:3], strict=True))
    ]
    marks = solve((*case.readings, *offsets, *heights))
    assert marks.rank_defect == ("forward",)
    assert marks.xyz[:, 1] == pytest.approx(case.at(marks.names)[:, 1], abs=6.0)
