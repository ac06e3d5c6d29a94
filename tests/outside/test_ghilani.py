"""Ghilani, Adjustment Computations: a distance and an angle intersection, all in feet.

The control points and the angles are as posted with the book's problem (read); the distances
of chapter 14's first example are from memory, and agree with the angles' answer within 0.7 ft.
The answers were computed apart from this project with a general least-squares routine. Our
network is in space: every mark is given the height 0, so that what is left is the plane.
"""

import math

import numpy as np
import pytest

from barwright.job.schema import Reading
from barwright.survey.solve import solve

CONTROL = {"R": (865.40, 4527.15), "S": (2432.55, 2047.25), "T": (2865.22, 27.15)}
EXACT = 1e-5


def flat_control():
    for line, (name, (x, y)) in enumerate(CONTROL.items(), 2):
        yield Reading(line=line, kind="fixed", marks=(name,), at=(x, y, 0.0), plus_minus=EXACT)
    yield Reading(line=5, kind="height", marks=("U",), value=0.0, plus_minus=EXACT)


def seconds(degrees, minutes, rest):
    return math.radians(degrees + minutes / 60.0 + rest / 3600.0)


def test_three_distances_chapter_14():
    read = {"R": 6049.00, "S": 4736.83, "T": 5446.49}
    tapes = [
        Reading(line=6 + k, kind="tape", marks=(name, "U"), value=value, plus_minus=0.1)
        for k, (name, value) in enumerate(read.items())
    ]
    marks = solve((*flat_control(), *tapes))
    assert marks.at("U")[:2] == pytest.approx((6861.3168, 3727.8186), abs=1e-3)
    residuals = [f.residual for f in marks.fitted[-3:]]
    assert residuals == pytest.approx([-0.0374, 0.0768, -0.0474], abs=1e-4)
    assert marks.freedom == 1
    assert marks.sigma0 * 0.1 == pytest.approx(0.0977, abs=1e-4)
    assert np.array(marks.sd("U"))[:2] * marks.sigma0 == pytest.approx((0.078, 0.154), abs=1e-3)


def test_four_angles_chapter_15():
    read = [
        ("S R U", seconds(50, 6, 50)),
        ("U S R", seconds(101, 30, 47)),
        ("T S U", seconds(98, 41, 17)),
        ("U T S", seconds(59, 17, 1)),
    ]
    ten = seconds(0, 0, 10)
    corners = [
        Reading(line=6 + k, kind="corner", marks=tuple(m.split()), value=v, plus_minus=ten)
        for k, (m, v) in enumerate(read)
    ]
    marks = solve((*flat_control(), *corners))
    assert marks.at("U")[:2] == pytest.approx((6860.7260, 3727.4751), abs=2e-3)
    residuals = [math.degrees(f.residual) * 3600.0 for f in marks.fitted[-4:]]
    assert residuals == pytest.approx([-6.46, -4.75, 5.65, 7.37], abs=0.01)
    assert marks.freedom == 2
    assert marks.sigma0 * 10.0 == pytest.approx(8.67, abs=0.01)
    assert np.array(marks.sd("U"))[:2] * marks.sigma0 == pytest.approx((0.378, 0.178), abs=1e-3)
