"""Where lines cross a torus, against roots by another route and where the answer is plain."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.geometry.torus import Torus, _cubic, _quartic, crossings, gradient
from barwright.geometry.vectors import point, unit

RING = Torus(centre=(0, 0, 0), axis=(0, 0, 1), ring=100.0, radius=10.0)


def of(torus, at, way):
    return crossings(torus, [at], way)[0]


def test_through_the_centre_in_its_plane_it_is_crossed_four_times_whichever_the_way():
    for turn in np.radians([0, 30, 45, 90, 137]):
        way = (math.cos(turn), math.sin(turn), 0.0)
        assert of(RING, (0, 0, 0), way) == pytest.approx((-110, -90, 90, 110))


def test_along_its_axis_it_is_crossed_twice_or_not_at_all():
    assert of(RING, (100, 0, 7), (0, 0, 1))[:2] == pytest.approx((-17, 3))
    assert np.isnan(of(RING, (100, 0, 7), (0, 0, 1))[2:]).all()
    assert np.isnan(of(RING, (0, 0, 0), (0, 0, 1))).all()


def test_a_line_that_just_misses_and_one_that_just_meets():
    for ring, found in ((10.0 + 1e-9, 0), (10.0 - 1e-6, 2)):
        here = of(RING, (100.0, 0.0, ring), (0, 1, 0))
        assert np.sum(np.isfinite(here)) in {found, 2 * found}


coordinate = st.floats(-150, 150)
places = st.tuples(coordinate, coordinate, coordinate)
ways = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: math.dist(v, (0, 0, 0)) > 0.2)


@settings(max_examples=60)
@given(st.lists(places, min_size=1, max_size=20), ways, ways, st.floats(3, 40))
def test_every_crossing_lies_on_the_torus_and_none_is_missing(at, way, axis, radius):
    torus = Torus(centre=(3, -4, 5), axis=point(unit(axis)), ring=100.0, radius=radius)
    d = unit(way)
    found = crossings(torus, at, d)
    real = np.isfinite(found)
    x = np.array(at)[:, None, :] + np.where(real, found, 0.0)[..., None] * d
    value, slope, _ = gradient(torus, x - torus.centre)
    assert np.abs(value[real]) == pytest.approx(0.0, abs=1e-7 * radius)
    assert np.all(np.sum(real, axis=1) % 2 == 0)
    # In and out by turns: F falls where the line enters and rises where it leaves.
    rising = np.sign(slope @ d) * np.where(np.arange(4) % 2 == 0, -1.0, 1.0)
    assert np.all(rising[real & (np.abs(slope @ d) > 1e-3 * radius)] > 0)
    # Marched at 0.5 mm, no stay inside of a millimetre or more goes unseen.
    s = np.arange(-500.0, 500.0, 0.5)
    for line, hits in zip(at, found, strict=True):
        f, _, _ = gradient(torus, np.array(line) + s[:, None] * d - torus.centre + 1e-12)
        entries = np.sum((f[:-1] > 0) & (f[1:] <= 0))
        assert entries <= np.sum(np.isfinite(hits)) / 2


@given(
    st.tuples(*[st.floats(-150, 150)] * 3).filter(lambda p: math.hypot(p[0], p[1]) > 20.0),
    ways,
)
def test_slope_and_bend_are_the_derivatives_of_the_equation(at, axis):
    """By central differences, about an axis of any direction."""
    torus = Torus(centre=(0, 0, 0), axis=point(unit(axis)), ring=100.0, radius=10.0)
    x = np.array(at)
    off_axis = np.linalg.norm(x - (x @ torus.axis) * np.array(torus.axis))
    if off_axis < 5.0:
        return
    _, slope, bend = gradient(torus, x)
    h = 1e-3
    steps = h * np.eye(3)
    ahead, behind = gradient(torus, x + steps), gradient(torus, x - steps)
    assert (ahead[0] - behind[0]) / (2 * h) == pytest.approx(slope, rel=1e-5, abs=1e-3)
    assert (ahead[1] - behind[1]) / (2 * h) == pytest.approx(bend, rel=1e-4, abs=1e-4)


@given(st.floats(-5, 5), st.floats(-5, 5))
def test_the_cubics_real_roots_are_numpys(p, q):
    found = _cubic(np.array([p]), np.array([q]))[0]
    assert found**3 + p * found + q == pytest.approx(0.0, abs=1e-6)
    assert np.all(np.diff(found) >= 0.0)
    if abs((q / 2) ** 2 + (p / 3) ** 3) > 1e-4:
        whole = np.roots([1.0, 0.0, p, q])
        real = np.sort(whole[np.abs(whole.imag) < 1e-7].real)
        assert np.unique(found.round(6)) == pytest.approx(np.unique(real.round(6)), abs=2e-5)


@given(st.lists(st.floats(-1.2, 1.2), min_size=2, max_size=4, unique=True))
def test_the_quartics_roots_are_those_it_was_made_from(chosen):
    """(s - a)(s - b)(s² + ...) without its cubic term, roots well apart."""
    a, b = min(chosen), max(chosen)
    if b - a < 0.05:
        return
    # (s - a)(s - b) times a quadratic s² + (a + b) s + c that has no real root.
    c = 1.0 + (a + b) ** 2
    whole = np.polymul(np.poly([a, b]), [1.0, a + b, c])
    assert whole[1] == pytest.approx(0.0, abs=1e-12)
    found = _quartic(*(np.array([k]) for k in whole[2:]), 3.0)[0]
    assert np.sort(found[np.isfinite(found)]) == pytest.approx([a, b], abs=1e-9)
