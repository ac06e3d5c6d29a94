"""Support points of convex shapes, against all points of a finely cut outline."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.geometry.convex import Convex, together
from barwright.geometry.vectors import square_to, unit

SEEDS = st.integers(0, 10_000)


def discs(seed, n=3, v=4):
    rng = np.random.default_rng(seed)
    axes = rng.normal(size=(n, v, 3))
    return Convex(
        corners=rng.uniform(-50.0, 50.0, (n, v, 3)),
        ball=rng.uniform(0.0, 4.0, n),
        disc=rng.uniform(1.0, 20.0, n),
        axes=axes / np.linalg.norm(axes, axis=2, keepdims=True),
    )


def rims(shape, i):
    """Points round every disc of one shape."""
    turn = np.linspace(0.0, 2.0 * np.pi, 3601)[:, None]
    out = []
    for corner, axis in zip(shape.corners[i], shape.axes[i], strict=True):
        x = square_to(unit(axis))
        y = np.cross(axis, x)
        out.append(corner + shape.disc[i] * (np.cos(turn) * x + np.sin(turn) * y))
    return np.concatenate(out)


@given(SEEDS)
def test_no_point_of_the_discs_lies_beyond_the_reach_and_one_lies_there(seed):
    shape = discs(seed)
    d = np.random.default_rng(seed + 1).normal(size=(3, 3))
    reach, far = shape.reach(d), shape.farthest(d)
    for i in range(3):
        heights = rims(shape, i) @ d[i]
        assert heights.max() <= reach[i] + 1e-9
        assert heights.max() == pytest.approx(reach[i], abs=1e-3)
        assert far[i] @ d[i] == pytest.approx(reach[i], abs=1e-9)
        assert np.linalg.norm(rims(shape, i) - far[i], axis=1).min() < 0.05


@given(SEEDS)
def test_without_discs_the_farthest_is_a_corner(seed):
    whole = discs(seed)
    shape = Convex(corners=whole.corners, ball=whole.ball)
    d = np.random.default_rng(seed + 1).normal(size=(3, 3))
    heights = np.einsum("nvk,nk->nv", shape.corners, d)
    assert shape.reach(d) == pytest.approx(heights.max(axis=1))
    for i, point in enumerate(shape.farthest(d)):
        assert point.tolist() == shape.corners[i, heights[i].argmax()].tolist()


def test_seen_along_its_axis_a_disc_is_told_by_its_middle():
    it = Convex(
        corners=np.zeros((1, 1, 3)),
        ball=np.zeros(1),
        disc=np.array([5.0]),
        axes=np.array([[[0.0, 0.0, 1.0]]]),
    )
    assert it.farthest(np.array([[0.0, 0.0, 2.0]])).tolist() == [[0.0, 0.0, 0.0]]
    assert it.reach(np.array([[0.0, 0.0, 2.0]])) == pytest.approx([0.0])
    assert it.farthest(np.array([[3.0, 4.0, 0.0]])) == pytest.approx(np.array([[3.0, 4.0, 0.0]]))


@given(SEEDS, st.floats(-3.0, 3.0))
def test_turning_shapes_is_turning_the_direction_back(seed, angle):
    shape = discs(seed)
    d = np.random.default_rng(seed + 2).normal(size=(3, 3))
    c, s = np.cos(angle), np.sin(angle)
    spin = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    turned = shape.turned(np.full(3, c), np.full(3, s))
    assert turned.reach(d) == pytest.approx(shape.reach(d @ spin), abs=1e-9)
    assert turned.farthest(d) == pytest.approx(shape.farthest(d @ spin) @ spin.T, abs=1e-9)
    bare = Convex(corners=shape.corners, ball=shape.ball).turned(np.full(3, c), np.full(3, s))
    assert (bare.disc, bare.axes) == (None, None)
    assert bare.ball.tolist() == shape.ball.tolist()


@given(SEEDS)
def test_in_one_lot_every_shape_reaches_as_far_as_alone(seed):
    one, rng = discs(seed, n=2, v=3), np.random.default_rng(seed + 3)
    other = Convex(corners=rng.uniform(-50.0, 50.0, (3, 6, 3)), ball=rng.uniform(0.0, 3.0, 3))
    both = together((one, other))
    d = rng.normal(size=(5, 3))
    apart = np.concatenate([one.reach(d[:2]), other.reach(d[2:])])
    assert both.reach(d) == pytest.approx(apart, abs=1e-9)
    assert both.corners.shape == (5, 6, 3)
    assert both.ball.tolist() == [*one.ball, *other.ball]
    assert together((other, other)).disc is None
    some = both.take(np.array([1, 4]))
    assert some.reach(d[[1, 4]]) == pytest.approx(apart[[1, 4]], abs=1e-9)
    alone = other.take(np.array([2]))
    assert (alone.disc, alone.axes) == (None, None)
