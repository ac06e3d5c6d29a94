"""The Jacobian is the derivative of the residuals, and the forms mean what they say."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.job.schema import Reading
from barwright.survey.adjust import dense, normal_equations
from barwright.survey.compile import network_of
from barwright.survey.equations import departures, linearise

VALUED = {"tape": 900.0, "over": 950.0, "between": 850.0, "height": 400.0, "station": 300.0}
VALUED |= {"offset": -200.0, "incline": 0.3, "corner": 1.1}
MARKS = {"tape": 2, "over": 2, "between": 2, "height": 1, "station": 1, "offset": 1, "incline": 2}
MARKS |= {"corner": 3, "level": 2, "plumb": 2, "middle": 3, "pair": 2, "fixed": 1}
ROWS = {"plumb": 2, "middle": 3, "pair": 3, "fixed": 3}


def one(kind, marks, **more):
    value = None if kind == "fixed" else VALUED.get(kind)
    at = (1.0, 2.0, 3.0) if kind == "fixed" else None
    return Reading(line=2, kind=kind, marks=marks, value=value, at=at, plus_minus=0.7, **more)


def network(kind, count=None):
    marks = tuple("ABCDEFGH"[: count or MARKS[kind]])
    return network_of((one(kind, marks),), dict.fromkeys(marks, 20.0))


def strewn(seed, count):
    return np.random.default_rng(seed).uniform(-1000.0, 1000.0, (count, 3))


@pytest.mark.parametrize("kind", MARKS)
@given(seed=st.integers(0, 10_000))
def test_jacobian_is_the_derivative(kind, seed):
    n = network(kind)
    x = strewn(seed, len(n.names))
    at = linearise(n, x)
    assert len(at.residual) == ROWS.get(kind, 1)
    exact = dense(at, x.size)
    for k in range(x.size):
        step = np.zeros(x.size)
        step[k] = 1e-3
        ahead = linearise(n, x + step.reshape(x.shape)).residual
        behind = linearise(n, x - step.reshape(x.shape)).residual
        assert (ahead - behind) / 2e-3 == pytest.approx(exact[:, k], abs=2e-6, rel=1e-5)


@pytest.mark.parametrize(("kind", "count"), [("line", 3), ("line", 5), ("flat", 4), ("flat", 7)])
@given(seed=st.integers(0, 10_000))
def test_gradient_of_straights(kind, count, seed):
    """Their rows turn with the frame they are told in; the cost and its gradient do not."""
    n = network(kind, count)
    x = strewn(seed, count)
    rank = 1 if kind == "line" else 2
    x = x * np.array((1.0, 1.0 if rank == 2 else 0.05, 0.05))
    at = linearise(n, x)
    assert len(at.residual) == (3 - rank) * (count - 1 - rank)
    _, gradient = normal_equations(at, x.size)
    off = departures(x, rank)
    assert at.residual @ at.residual == pytest.approx(off @ off / 0.7**2, rel=1e-9)
    for k in range(x.size):
        step = np.zeros(x.size)
        step[k] = 1e-3
        cost = [
            float(r @ r)
            for s in (1.0, -1.0)
            for r in [linearise(n, x + s * step.reshape(x.shape)).residual]
        ]
        slope = (cost[0] - cost[1]) / 4e-3
        assert slope == pytest.approx(gradient[k], abs=1e-3 + 1e-5 * np.abs(gradient).max())


def test_order_of_marks_on_a_straightedge_does_not_matter():
    x = strewn(3, 5) * np.array((1.0, 0.01, 0.01))
    a = network_of((one("line", tuple("ABCDE")),), {})
    b = network_of((one("line", tuple("DBEAC")),), {}, a.names)
    ra, rb = linearise(a, x).residual, linearise(b, x).residual
    assert ra @ ra == pytest.approx(rb @ rb, rel=1e-12)


def test_over_and_between_are_centre_distances_and_two_radii():
    marks = ("A", "B")
    x = np.array([[0.0, 0, 0], [900.0, 0, 0]])
    for kind, read in (("over", 900.0 + 20.0 + 15.0), ("between", 900.0 - 20.0 - 15.0)):
        r = Reading(line=2, kind=kind, marks=marks, value=read, plus_minus=1.0)
        n = network_of((r,), {"A": 20.0, "B": 15.0})
        assert linearise(n, x).residual == pytest.approx([0.0], abs=1e-12)


def test_incline_and_corner_by_hand():
    x = np.array([[0.0, 0, 0], [300.0, 0, 300.0], [300.0, 0, 900.0]])
    incline = Reading(line=2, kind="incline", marks=("A", "B"), value=0.0, plus_minus=1.0)
    n = network_of((incline,), {}, ("A", "B", "C"))
    assert linearise(n, x).residual[0] == pytest.approx(math.pi / 4)
    back = incline.model_copy(update={"marks": ("B", "A")})
    assert linearise(network_of((back,), {}, n.names), x).residual[0] == pytest.approx(-math.pi / 4)
    corner = Reading(line=2, kind="corner", marks=("A", "B", "C"), value=0.0, plus_minus=1.0)
    found = linearise(network_of((corner,), {}), x).residual[0]
    assert found == pytest.approx(math.radians(135.0))
