"""Chains of points made up from known straights and arcs, cut and fitted again."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.survey.template_fit import distances, fitted
from barwright.survey.template_rim import Rim

NOISE = 0.04


def rim(points, noise=NOISE, seed=0, weight=None):
    xy = np.asarray(points, float)
    xy = xy + np.random.default_rng(seed).normal(0.0, noise, xy.shape)
    spacing = float(np.median(np.linalg.norm(np.diff(xy, axis=0), axis=1)))
    return Rim(
        xy=xy,
        pixel=xy,
        weight=np.ones(len(xy)) if weight is None else weight,
        middle=(0.0, 0.0),
        unseen=0.0,
        spacing=spacing,
        asked=len(xy),
        sd=noise,
        shaded=0.0,
    )


def straight(a, b, step=0.6):
    n = max(2, round(math.dist(a, b) / step))
    t = np.arange(n)[:, None] / n
    return np.asarray(a) + t * (np.asarray(b, float) - a)


def arc(x, y, r, start, end, *, step=0.6):
    n = max(3, round(abs(math.radians(end - start)) * r / step))
    a = np.radians(start + (end - start) * np.arange(n) / n)
    return np.stack([x + r * np.cos(a), y + r * np.sin(a)], axis=1)


def slot(length, r):
    return np.concatenate(
        [
            straight((0, -r), (length, -r)),
            arc(length, 0, r, -90, 90),
            straight((length, r), (0, r)),
            arc(0, 0, r, 90, 270),
        ]
    )


def test_a_rectangle_has_four_straights_and_sharp_corners():
    corners = [(0, 0), (120, 0), (120, 80), (0, 80)]
    points = [straight(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    it = fitted(rim(np.concatenate(points)), 0.25, 1.0)
    assert [v[2] for v in it.vertices] == [0.0] * 4
    for corner in corners:
        assert min(math.dist(corner, v[:2]) for v in it.vertices) < 0.05
    assert max(it.sd) < 0.05
    assert max(it.rms) == pytest.approx(NOISE, rel=0.3)


@pytest.mark.parametrize("start", [0, 37, 150, 260])
def test_where_the_chain_begins_does_not_matter(start):
    it = fitted(rim(np.roll(slot(60.0, 8.0), -start, axis=0), seed=2), 0.25, 1.0)
    bulges = sorted(v[2] for v in it.vertices)
    # Where a straight runs smoothly into an arc the corner may slide along both.
    assert bulges == pytest.approx([0.0, 0.0, 1.0, 1.0], abs=0.12)


def test_a_circle_is_a_circle():
    it = fitted(rim(arc(30, 40, 6.5, 0, 360)), 0.25, 1.0)
    (x0, y0, b0), (x1, y1, b1) = it.vertices
    assert (b0, b1) == (1.0, 1.0)
    assert (x1 - x0) / 2 == pytest.approx(6.5, abs=0.02)
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((30, 40), abs=0.02)


def test_a_long_edge_bowed_by_less_than_the_tolerance_stays_straight():
    r = 40_000.0  # rises 0.11 mm over 190 mm
    half = math.asin(95.0 / r)
    bowed = arc(95.0, r, r, -90 - math.degrees(half), -90 + math.degrees(half))
    bowed[:, 1] -= bowed[0, 1]
    points = np.concatenate(
        [
            bowed,
            straight((190, 0), (190, 60)),
            straight((190, 60), (0, 60)),
            straight((0, 60), (0, 0)),
        ]
    )
    it = fitted(rim(points, noise=0.02), 0.25, 1.0)
    assert [v[2] for v in it.vertices] == [0.0] * 4
    assert max(it.worst) < 0.25


def test_points_of_little_weight_do_not_bend_an_edge():
    points = np.concatenate(
        [
            straight((0, 0), (100, 0)),
            straight((100, 0), (100, 50)),
            straight((100, 50), (0, 50)),
            straight((0, 50), (0, 0)),
        ]
    )
    weight = np.ones(len(points))
    off = (points[:, 0] > 40) & (points[:, 0] < 55) & (points[:, 1] < 1e-9)
    points[off, 1] += 0.12
    weight[off] = 0.25
    it = fitted(rim(points, noise=0.02, weight=weight), 0.25, 1.0)
    assert len(it.vertices) == 4
    assert min(math.dist((0, 0), v[:2]) for v in it.vertices) < 0.06


@settings(max_examples=12)
@given(
    r=st.floats(5.0, 40.0),
    wide=st.floats(100.0, 200.0),
    seed=st.integers(0, 10_000),
)
def test_a_rounded_corner_comes_back_with_its_radius(r, wide, seed):
    points = np.concatenate(
        [
            straight((0, 0), (wide - r, 0)),
            arc(wide - r, r, r, -90, 0),
            straight((wide, r), (wide, 100)),
            straight((wide, 100), (0, 100)),
            straight((0, 100), (0, 0)),
        ]
    )
    it = fitted(rim(points, seed=seed), 0.25, 1.0)
    assert len(it.vertices) == 5
    k = next(i for i, v in enumerate(it.vertices) if v[2])
    a, b = it.vertices[k], it.vertices[(k + 1) % 5]
    bulge = a[2]
    radius = math.dist(a[:2], b[:2]) * (1 + bulge * bulge) / (4 * bulge)
    assert radius == pytest.approx(r, rel=0.12, abs=0.4)


@given(
    x=st.floats(-50, 50),
    y=st.floats(-50, 50),
    sweep=st.floats(0.1, 1.9),
)
def test_distance_to_an_arc_is_that_to_its_circle(x, y, sweep):
    bulge = math.tan(sweep * math.pi / 4)
    a, b = np.array([[0.0, 0.0]]), np.array([[20.0, 0.0]])
    centre = np.array([10.0, 5.0 * (1 - bulge**2) / bulge])
    radius = 5.0 * (1 + bulge**2) / bulge
    off = math.hypot(x - centre[0], y - centre[1]) - radius
    ours = float(distances(np.array([[x, y]]), a, b, np.array([bulge]))[0])
    assert ours == pytest.approx(off, abs=1e-9 * max(1.0, radius))
