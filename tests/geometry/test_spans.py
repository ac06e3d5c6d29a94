"""What a plane proves over a span of turning, against the turned shapes themselves."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.geometry.contact import _far, _proven_step
from barwright.geometry.convex import Convex
from barwright.geometry.spans import WIDEST, _top_of_wave, over_span
from barwright.geometry.turning import Gaps, Placed
from barwright.geometry.vectors import unit

SEEDS = st.integers(0, 10_000)


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0.01, 2.7))
def test_the_top_of_the_wave_is_the_greatest_of_many(p, q, d):
    t = np.linspace(0.0, d, 20_001)
    wave = (p * np.sin(d - t) + q * np.sin(t)) / math.sin(d)
    found = _top_of_wave(np.array([p]), np.array([q]), np.array([d]))[0]
    assert found >= wave.max() - 1e-9
    if found > max(p, q) or wave.max() > 0.0:
        assert found == pytest.approx(wave.max(), rel=1e-5, abs=1e-5)


def test_no_span_is_no_wave():
    assert _top_of_wave(np.array([3.0]), np.array([3.0]), np.array([0.0])).tolist() == [3.0]


def pair(seed):
    """A moving and a standing box of corners beside each other, and the way between them."""
    rng = np.random.default_rng(seed)
    moving = rng.uniform(-30.0, 30.0, (1, 8, 3)) + np.array([150.0, 0.0, 0.0])
    standing = rng.uniform(-30.0, 30.0, (1, 8, 3)) + rng.uniform(60.0, 160.0) * np.array(
        [0.0, 1.0, 0.1]
    )
    first = Convex(corners=moving, ball=np.array([3.0]))
    second = Convex(corners=standing, ball=np.array([2.0]))
    away = unit(standing[0].mean(axis=0) - moving[0].mean(axis=0))[None]
    shapes = Placed(groups=((np.array([0]), first, second),), sag=np.zeros((1, 2)), away=away)
    return shapes, away


def plane_gap(shapes, away, turn):
    """At one turn, by the turned corners: the standing one's least along the way less the most."""
    (_, first, second) = shapes.groups[0]
    c, s = math.cos(turn), math.sin(turn)
    spin = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    most = float((first.corners[0] @ spin.T @ away[0]).max())
    return float((second.corners[0] @ away[0]).min()) - most - 5.0


@given(SEEDS, st.floats(0.0, 1.0), st.floats(0.0, 1.6))
def test_the_bound_over_a_span_lies_below_every_turn_in_it_and_not_far(seed, back, forth):
    shapes, away = pair(seed)
    low, slope = over_span(shapes, away, np.array([back]), np.array([forth]))
    turns = np.linspace(-back, forth, 181)
    least = min(plane_gap(shapes, away, t) for t in turns)
    assert low[0] <= least + 1e-9
    # What is lost is no more than the wave's own rise over the chord: of a reach of 200 mm.
    assert low[0] >= least - 200.0 * (1.0 / math.cos((back + forth) / 2.0) - 1.0) - 1e-6
    nearer = plane_gap(shapes, away, -back) - plane_gap(shapes, away, forth)
    assert slope[0] == pytest.approx(nearer, abs=1e-9)


def test_spans_too_wide_are_not_judged():
    shapes, away = pair(1)
    low, _ = over_span(shapes, away, np.array([1.0]), np.array([WIDEST - 0.99]))
    assert np.isneginf(low[0])
    low, _ = over_span(shapes, away, np.array([1.0]), np.array([WIDEST - 1.01]))
    assert np.isfinite(low[0])


@given(SEEDS, st.floats(0.05, 3.5))
def test_a_proven_step_is_free_and_reaches_most_of_the_way(seed, left):
    shapes, away = pair(seed)
    low = plane_gap(shapes, away, 0.0)
    if low <= 1.0:
        return
    one = np.array([low])
    found = Gaps(
        away=away,
        low=one,
        high=one,
        ball=np.array([2.0]),
        b=np.zeros((1, 3)),
        sag=np.zeros((1, 2)),
        at_end=np.zeros((1, 2), dtype=bool),
    )
    step = float(_proven_step(shapes, found, np.array([left]))[0])
    assert 0.0 < step <= left
    turns = np.linspace(0.0, step, 91)
    assert min(plane_gap(shapes, away, t) for t in turns) > 0.0
    # No less than what the distance from the axis alone proves.
    assert step >= min(left, 0.98 * low / float(_far(shapes, 1)[0]))
    ahead = np.linspace(0.0, min(left, WIDEST - 0.11), 361)
    gaps = np.array([plane_gap(shapes, away, t) for t in ahead])
    free = ahead[-1] if (gaps > 0.0).all() else ahead[np.argmax(gaps <= 0.0)]
    assert step >= 0.2 * free


def test_how_far_a_shape_reaches_from_the_axis():
    corners = np.array([[[3.0, 4.0, 50.0], [1.0, 1.0, -9.0]]])
    first = Convex(corners=corners, ball=np.array([2.0]), disc=np.array([1.5]), axes=corners * 0)
    shapes = Placed(
        groups=((np.array([0]), first, first),), sag=np.zeros((1, 2)), away=np.zeros((1, 3))
    )
    assert _far(shapes, 1).tolist() == [8.5]
