"""Propagation against closed forms and against drawing the marks at random."""

import math

import numpy as np
import pytest
from network_maker import Plan, several

from barwright.survey import derived
from barwright.survey.marks import Marks
from barwright.survey.solve import solve


def two_marks(sd):
    return Marks(
        names=("A", "B"),
        xyz=np.array([[0.0, 0, 0], [1000.0, 0, 0]]),
        covariance=np.eye(6) * sd**2,
    )


def test_length_between_two_equal_marks():
    found = derived.length(two_marks(0.6), "A", "B")
    assert found.value == pytest.approx(1000.0)
    assert found.sd == pytest.approx(0.6 * math.sqrt(2.0))


def test_incline_of_a_level_line():
    found = derived.incline(two_marks(0.6), "A", "B")
    assert found.value == pytest.approx(0.0)
    assert found.sd == pytest.approx(0.6 * math.sqrt(2.0) / 1000.0)


def test_ellipsoid_of_a_round_mark():
    """chi-square with 3 degrees at 95 % is 7.815 (any table)."""
    found = derived.ellipsoid(two_marks(0.6), "A")
    assert found.axes == pytest.approx([0.6 * math.sqrt(7.815)] * 3, rel=1e-4)


CASE = next(case for _, case in several(1, Plan(marks=(10, 12))))
MARKS = solve(CASE.readings)


@pytest.fixture(scope="module")
def drawn():
    random = np.random.default_rng(1)
    root = np.linalg.cholesky(MARKS.covariance + 1e-12 * np.eye(len(MARKS.covariance)))
    return [MARKS.xyz + (root @ random.normal(size=len(root))).reshape(-1, 3) for _ in range(4000)]


@pytest.mark.parametrize("name", ["length", "corner", "incline", "between_bars", "propagated"])
def test_sd_by_drawing(drawn, name):
    a, b, c, d = MARKS.names[:4]

    def unit(v):
        return v / np.linalg.norm(v)

    cases = {
        "length": (derived.length(MARKS, a, b), lambda p: math.dist(p[0], p[1])),
        "corner": (
            derived.corner(MARKS, a, b, c),
            lambda p: math.acos(unit(p[0] - p[1]) @ unit(p[2] - p[1])),
        ),
        "incline": (
            derived.incline(MARKS, a, b),
            lambda p: math.asin(unit(p[1] - p[0])[2]),
        ),
        "between_bars": (
            derived.between_bars(MARKS, (a, b), (c, d)),
            lambda p: math.acos(unit(p[1] - p[0]) @ unit(p[3] - p[2])),
        ),
        "propagated": (
            derived.propagated(MARKS, (a, b, c), lambda p: float(p.std())),
            lambda p: float(p[:3].std()),
        ),
    }
    found, of = cases[name]
    values = np.array([of(x) for x in drawn])
    assert found.value == pytest.approx(of(MARKS.xyz), rel=1e-9)
    assert values.std() == pytest.approx(found.sd, rel=0.05)
