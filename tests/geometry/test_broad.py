"""First bounds of a swing hold: rings hold what turns, balls stay as far apart as is said."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.geometry.broad import ARC, _lengths, _ring_gap, _rings, _segment_from_axis
from barwright.geometry.path import Arc
from barwright.geometry.pieces import pieces
from barwright.geometry.pose import pose_of
from barwright.geometry.solids import Block, Body, Elbow, Rod
from barwright.geometry.vectors import point, square_to, unit

HERE = pose_of(np.eye(3), (0.0, 0.0, 0.0))


def strewn(seed):
    """A rod, an elbow and a block, and points all over each."""
    rng = np.random.default_rng(seed)
    a, b = rng.uniform(-200.0, 200.0, (2, 3))
    rod = Rod(start=point(a), end=point(b), radius=15.0)
    axis = unit(rng.normal(size=3))
    start, centre = 90.0 * square_to(axis), rng.uniform(-150.0, 150.0, 3)
    arc = Arc(
        centre=point(centre),
        start=point(centre + start),
        axis=point(axis),
        angle=float(rng.uniform(0.2, 2.8)),
    )
    cube = np.array([(i, j, k) for i in (0, 1) for j in (0, 1) for k in (0, 1)], dtype=float)
    corners = cube * rng.uniform(5.0, 90.0, 3) + rng.uniform(-150.0, 150.0, 3)
    body = Body(
        name="some",
        solids=(
            rod,
            Elbow(arc=arc, radius=12.0),
            Block(corners=tuple(point(c) for c in corners)),
        ),
    )
    t = np.linspace(0.0, 1.0, 41)[:, None]
    turn = t * arc.angle
    mid = centre + np.cos(turn) * start + np.sin(turn) * np.cross(axis, start)
    spread = np.random.default_rng(seed + 1).dirichlet(np.ones(8), 200) @ corners
    return body, (a + t * (b - a), mid, spread)


@settings(max_examples=40)
@given(st.integers(0, 10_000))
def test_rings_hold_what_turns(seed):
    body, inside = strewn(seed)
    rings = _rings(pieces((body,), HERE))
    for (least, most, low, high), at, radius in zip(rings, inside, (15.0, 12.0, 0.0), strict=True):
        away = np.hypot(at[:, 0], at[:, 1])
        assert away.min() - radius >= least - 1e-9 or least == 0.0
        assert away.max() + radius <= most + 1e-6 or radius == 0.0
        assert away.max() <= most + 1e-9
        assert low - 1e-9 <= at[:, 2].min()
        assert at[:, 2].max() <= high + 1e-9


def test_a_rods_ring_is_as_tight_as_its_ends_and_its_foot():
    rod = Rod(start=(100.0, -50.0, 10.0), end=(100.0, 120.0, 40.0), radius=5.0)
    (ring,) = _rings(pieces((Body(name="rod", solids=(rod,)),), HERE))
    assert ring == pytest.approx((95.0, math.hypot(100.0, 120.0) + 5.0, 5.0, 45.0))


def test_a_blocks_ring_reaches_its_own_corners():
    cube = [(x, y, z) for x in (30.0, 60.0) for y in (-10.0, 10.0) for z in (1.0, 9.0)]
    block = Block(corners=tuple(cube))
    (ring,) = _rings(pieces((Body(name="block", solids=(block,)),), HERE))
    assert ring[1:] == pytest.approx((math.hypot(60.0, 10.0), 1.0, 9.0))


@given(st.tuples(*[st.floats(-100, 100)] * 4))
def test_the_way_from_the_axis_to_a_segment_is_the_least_of_its_points(p):
    ends = np.array([[[p[0], p[1], 3.0], [p[2], p[3], -8.0]]])
    t = np.linspace(0.0, 1.0, 4001)[:, None]
    line = ends[0, 0] + t * (ends[0, 1] - ends[0, 0])
    least = float(np.hypot(line[:, 0], line[:, 1]).min())
    found = float(_segment_from_axis(ends)[0])
    assert found <= least + 1e-9
    assert found == pytest.approx(least, abs=0.08)


@pytest.mark.parametrize(
    ("a", "b", "gap"),
    [
        ((10.0, 20.0, 0.0, 5.0), (30.0, 40.0, 0.0, 5.0), 10.0),
        ((30.0, 40.0, 0.0, 5.0), (10.0, 20.0, 0.0, 5.0), 10.0),
        ((10.0, 20.0, 0.0, 5.0), (10.0, 20.0, 12.0, 15.0), 7.0),
        ((10.0, 20.0, 0.0, 5.0), (23.0, 40.0, 9.0, 15.0), 5.0),
        ((10.0, 20.0, 0.0, 5.0), (15.0, 40.0, 4.0, 15.0), 0.0),
    ],
)
def test_rings_are_apart_across_and_along(a, b, gap):
    assert _ring_gap(np.array([a]), np.array([b]))[0] == pytest.approx(gap)


@given(st.floats(0.05, 6.2))
def test_elbows_are_looked_at_in_lengths_of_thirty_degrees_at_most(angle):
    arc = Arc(centre=(0.0, 0.0, 0.0), start=(100.0, 0.0, 0.0), axis=(0, 0, 1), angle=angle)
    rod = Rod(start=(0.0, 0.0, 0.0), end=(9.0, 0.0, 0.0), radius=1.0)
    it = pieces((Body(name="it", solids=(rod, Elbow(arc=arc, radius=5.0))),), HERE)
    rows, parts = _lengths(it)
    own = parts[rows == 1]
    assert parts[rows == 0].tolist() == [[0.0, 1.0]]
    assert (own[0, 0], own[-1, 1]) == (0.0, 1.0)
    assert own[1:, 0] == pytest.approx(own[:-1, 1])
    assert np.all(np.diff(own, axis=1) * angle <= ARC + 1e-6)
    assert len(own) == 1 or angle / (len(own) - 1) > ARC - 1e-6
