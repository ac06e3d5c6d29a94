"""Straights and circles under a chain of points, against numpy's own fits."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.survey.template_fit import _bulge, _circle, _meeting, distances
from barwright.survey.template_runs import LEAST_ARC, Run, _misfits, _price, _rise, runs

TOLERANCE = 0.25


@given(st.integers(0, 10_000))
def test_misfits_are_those_of_the_best_straight_and_of_kasas_circle(seed):
    rng = np.random.default_rng(seed)
    p = rng.uniform(-5.0, 5.0, (12, 2))
    p[0] = 0.0
    w = rng.uniform(0.2, 1.0, 12)
    straight, circle = _misfits(p, w, np.cumsum(w))
    for n in (3, 7, 12):
        q, v = p[:n], w[:n]
        middle = v @ q / v.sum()
        least = np.linalg.svd((q - middle) * np.sqrt(v)[:, None])[1][-1]
        assert straight[n - 1] == pytest.approx(least**2, abs=1e-8)
        # Kåsa: least squares on x² + y² - a x - b y - c, its misses over twice the radius.
        rows = np.column_stack([q, np.ones(n)]) * np.sqrt(v)[:, None]
        z = np.sum(q * q, axis=1) * np.sqrt(v)
        (a, b, c), *_ = np.linalg.lstsq(rows, z, rcond=None)
        rest = float(np.sum((z - rows @ (a, b, c)) ** 2))
        radius2 = c + 0.25 * (a * a + b * b)
        if n > 3 and radius2 > 0.1:
            assert circle[n - 1] == pytest.approx(rest / (4.0 * radius2), rel=1e-5, abs=1e-7)


def test_a_run_off_its_points_by_more_than_the_tolerance_costs_much_more():
    count = np.array([40])
    total = count.astype(float)

    def price(rms):
        return float(_price(total * rms**2, total, count, TOLERANCE)[0])

    assert price(0.0) == 0.0
    assert price(0.2 * TOLERANCE) == pytest.approx(40 * (0.2 / 0.7) ** 2)
    # Within, the price grows with the square alone; beyond, many times as fast.
    assert price(0.44 * TOLERANCE) / price(0.22 * TOLERANCE) == pytest.approx(4.0)
    assert price(0.6 * TOLERANCE) > 10.0 * price(0.44 * TOLERANCE)
    assert price(0.47 * TOLERANCE) > price(0.44 * TOLERANCE) + 40.0


def test_the_rise_of_an_arc_is_its_middle_off_its_chord():
    a = np.radians(np.linspace(0.0, 60.0, 31))
    p = 50.0 * np.stack([np.cos(a), np.sin(a)], axis=1)
    p = p - p[0]
    rise = _rise(p, np.arange(1, 32))
    assert rise[30] == pytest.approx(50.0 * (1.0 - math.cos(math.radians(30.0))))
    assert rise[20] == pytest.approx(50.0 * (1.0 - math.cos(math.radians(20.0))))
    assert rise[0] == 0.0


def rectangle(wide, high, step=1.0):
    n, m = round(wide / step), round(high / step)
    one = np.stack([np.arange(n) * step, np.zeros(n)], axis=1)
    two = np.stack([np.full(m, wide), np.arange(m) * step], axis=1)
    return np.concatenate([one, two, (wide, high) - one, (0.0, high) - two * (0, 1)])


@pytest.mark.parametrize("begin", [0, 7, 25, 61])
@pytest.mark.parametrize("size", [(40.0, 20.0), (28.0, 12.0)])
def test_a_rectangle_is_cut_at_its_corners_wherever_its_chain_begins(begin, size):
    xy = rectangle(*size)
    n = len(xy)
    found = runs(np.roll(xy, -begin, axis=0), np.ones(n), TOLERANCE, 1)
    assert not any(r.arc for r in found)
    lengths = sorted(r.last - r.first for r in found)
    wide, high = round(size[0]), round(size[1])
    assert lengths == pytest.approx([high, high, wide, wide], abs=2)
    covered = {i % n for r in found for i in range(r.first, r.last + 1)}
    assert len(covered) >= n - len(found)


def test_a_slot_is_two_straights_and_two_arcs():
    a = np.radians(np.arange(-90.0, 90.0, 6.0))
    end = 10.0 * np.stack([np.cos(a), np.sin(a)], axis=1)
    side = np.stack([np.arange(0.0, 40.0), np.full(40, -10.0)], axis=1)
    middle = np.array([40.0, 0.0])
    xy = np.concatenate([side, end + middle, middle - side, -end])
    found = runs(xy, np.ones(len(xy)), TOLERANCE, 1)
    assert sorted(r.arc for r in found) == [False, False, True, True]
    assert all(r.last - r.first + 1 >= LEAST_ARC for r in found if r.arc)


def rough_arc(sweep, n=3):
    t = np.linspace(0.0, sweep, n)
    return 7.0 * np.stack([np.cos(t), np.sin(t)], axis=1) + (2.0, 3.0)


@pytest.mark.parametrize("degrees", [5, 60, 90, 179, 200, 300])
def test_a_bulge_is_the_tangent_of_a_quarter_of_the_sweep(degrees):
    """As DXF has it, positive anticlockwise."""
    a, m, b = rough_arc(math.radians(degrees))
    assert _bulge(a, m, b) == pytest.approx(math.tan(math.radians(degrees) / 4.0))
    assert _bulge(b, m, a) == pytest.approx(-math.tan(math.radians(degrees) / 4.0))


@given(st.floats(0.02, 50.0), st.floats(-2.5, 2.5), st.floats(-40, 40), st.floats(-40, 40))
def test_distances_off_an_arc_are_those_off_its_circle(chord, bulge, x, y):
    a, b = np.array([[0.0, 0.0]]), np.array([[chord, 0.0]])
    found = float(distances(np.array([[x, y]]), a, b, np.array([bulge]))[0])
    if abs(bulge) < 1e-2:
        return
    sweep = 4.0 * math.atan(bulge)
    radius = chord / 2.0 / math.sin(abs(sweep) / 2.0)
    middle = (chord / 2.0, chord / 2.0 / math.tan(sweep / 2.0))
    off = math.dist((x, y), middle) - radius
    assert found == pytest.approx(math.copysign(1.0, bulge) * off, rel=1e-6, abs=1e-6)


@given(st.floats(0.02, 50.0), st.floats(-40, 40), st.floats(-40, 40))
def test_distances_off_a_straight_are_to_its_right(length, x, y):
    a, b = np.array([[1.0, 2.0]]), np.array([[1.0, 2.0 + length]])
    found = distances(np.array([[x, y]]), a, b, np.zeros(1))
    assert found == pytest.approx([x - 1.0], abs=1e-6)


def test_straights_meet_where_their_lines_cross_and_else_half_way():
    xy = np.array([[0.0, 0.0], [9.0, 0.0], [10.0, 1.0], [10.0, 8.0], [20.0, 9.0]])
    one, two = Run(first=0, last=1, arc=False), Run(first=2, last=3, arc=False)
    assert _meeting(xy, one, two) == pytest.approx((10.0, 0.0))
    bent = Run(first=2, last=3, arc=True)
    assert _meeting(xy, one, bent) == pytest.approx((9.5, 0.5))
    # All but in line: where they cross is anywhere.
    flat = np.array([[0.0, 0.0], [9.0, 0.0], [10.0, 0.2], [20.0, 0.3]])
    assert _meeting(flat, one, two) == pytest.approx((9.5, 0.1))
    # Crossing far off what lies between them.
    far = np.array([[0.0, 0.0], [9.0, 0.0], [9.0, 2.0], [20.0, 4.0]])
    assert _meeting(far, one, two) == pytest.approx((9.0, 1.0))


@given(st.floats(2.0, 60.0), st.tuples(st.floats(-90, 90), st.floats(-90, 90)))
def test_a_circle_comes_back_and_its_misses_are_off_it(radius, middle):
    a = np.radians(np.arange(0.0, 360.0, 10.0))
    wave = 0.01 * radius * np.where(np.arange(36) % 2, 1.0, -1.0)
    xy = (radius + wave)[:, None] * np.stack([np.cos(a), np.sin(a)], axis=1) + middle
    found, off = _circle(xy, np.ones(36))
    assert found == pytest.approx((*middle, radius), abs=1e-4 * radius)
    assert off == pytest.approx(wave, abs=1e-3 * radius)
