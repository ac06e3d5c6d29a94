"""Pieces of a solid hold all of it and stand little proud; edges are clipped to a slab."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from barwright.geometry.path import Arc
from barwright.geometry.slices import _elbow_hulls, _sides, hulls_of, sections
from barwright.geometry.solids import Elbow, Rod


def skin(elbow, n=40, m=24):
    """Points all over an elbow's skin."""
    arc = elbow.arc
    out, axis = np.subtract(arc.start, arc.centre), np.array(arc.axis)
    turn = np.linspace(0.0, arc.angle, n)[:, None, None]
    arms = np.cos(turn) * out + np.sin(turn) * np.cross(axis, out)
    away = arms / np.linalg.norm(out)
    round_ = np.linspace(0.0, 2.0 * np.pi, m, endpoint=False)[None, :, None]
    offs = elbow.radius * (np.cos(round_) * away + np.sin(round_) * axis)
    return (arms + np.array(arc.centre) + offs).reshape(-1, 3)


def beyond(hull, at, ways):
    """How far a point lies outside a hull widened by its ball, in the worst of some directions."""
    corners = hull.edges.reshape(-1, 3)
    return float(np.max(ways @ at - (ways @ corners.T).max(axis=1))) - hull.fat


def holds(hull, at):
    """Whether a point is a mixture of a hull's corners, the hull drawn round by its ball."""
    corners = np.unique(hull.edges.reshape(-1, 3).round(9), axis=0)
    n = len(corners)
    mixed = np.vstack([corners.T, np.ones(n)])
    found = linprog(np.zeros(n), A_eq=mixed, b_eq=[*at, 1.0], bounds=(0, None), method="highs")
    return found.status == 0


@pytest.mark.parametrize("degrees", [15.0, 60.0, 90.0, 150.0])
@pytest.mark.parametrize("within", [0.05, 1.0, 4.0])
def test_an_elbows_pieces_stand_proud_by_the_rise_of_their_arc(degrees, within):
    arc = Arc(
        centre=(0.0, 0.0, 0.0), start=(100.0, 0.0, 0.0), axis=(0, 0, 1), angle=math.radians(degrees)
    )
    elbow = Elbow(arc=arc, radius=19.0)
    found = _elbow_hulls(elbow, 24, within)
    outer, part = 119.0, arc.angle / len(found)
    # The rise of the outermost circle off its chord, in closed form.
    for hull in found:
        assert hull.fat == pytest.approx(outer - outer * math.cos(part / 2.0), rel=1e-12)
        assert hull.fat <= within
    # One piece fewer would stand prouder than asked.
    if len(found) > 1:
        assert outer * (1.0 - math.cos(arc.angle / (len(found) - 1) / 2.0)) > within
    ways = np.random.default_rng(1).normal(size=(400, 3))
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    for at in skin(elbow, 12, 8):
        assert min(beyond(hull, at, ways) for hull in found) <= 1e-9


def test_a_rods_pieces_hold_its_skin_and_end_where_it_ends():
    rod = Rod(start=(10.0, 20.0, 30.0), end=(10.0, 20.0, 330.0), radius=19.0)
    found = hulls_of(rod, 0.2)
    assert len(found) == math.ceil(300.0 / (4.0 * 19.0))
    corners = np.concatenate([h.edges.reshape(-1, 3) for h in found])
    assert (corners[:, 2].min(), corners[:, 2].max()) == pytest.approx((30.0, 330.0))
    assert np.hypot(corners[:, 0] - 10.0, corners[:, 1] - 20.0).max() <= 19.0 + 0.1 + 1e-9
    for turn in np.linspace(0.0, 6.2, 17):
        at = (10.0 + 19.0 * math.cos(turn), 20.0 + 19.0 * math.sin(turn), 101.0)
        assert any(holds(h, at) for h in found)


@given(st.floats(1.0, 60.0), st.floats(0.01, 2.0))
def test_a_polygon_round_a_circle_has_as_few_sides_as_the_tolerance_lets(radius, within):
    n = _sides(radius, within)
    assert radius / math.cos(math.pi / n) - radius <= within * (1 + 1e-9)
    assert n == 12 or radius / math.cos(math.pi / (n - 1)) - radius > within * (1 - 1e-9)
    assert _sides(0.0, within) == 12


LINES = np.array(list(combinations(range(6), 2)))


@given(st.integers(0, 10_000))
def test_what_bounds_a_hull_in_a_slab_lies_in_both_and_reaches_as_far(seed):
    """A mixture of corners that lies in the slab is nowhere beyond the points given."""
    rng = np.random.default_rng(seed)
    corners = rng.uniform(-10.0, 10.0, (3, 6, 3))
    points, whose = sections(corners, LINES, -2.0, 5.0)
    assert (points[:, 2] >= -2.0 - 1e-9).all()
    assert (points[:, 2] <= 5.0 + 1e-9).all()
    ways = rng.normal(size=(50, 3))
    for k, own in enumerate(corners):
        got = points[whose == k]
        reach = (own @ ways.T).max(axis=0)
        held = rng.dirichlet(np.full(6, 0.3), 400) @ own
        held = held[(held[:, 2] >= -2.0) & (held[:, 2] <= 5.0)]
        if len(got):
            assert np.all((got @ ways.T).max(axis=0) <= reach + 1e-9)
            assert got[:2].tolist()[0] == got[:2].tolist()[1]
        if len(held):
            assert np.all((got @ ways.T).max(axis=0) >= (held @ ways.T).max(axis=0) - 1e-9)


def test_a_level_edge_on_the_slabs_face_is_kept_and_one_just_beyond_is_not():
    at = np.array([[[0.0, 0.0, 5.0], [1.0, 0.0, 5.0]], [[0.0, 0.0, 5.1], [1.0, 0.0, 5.1]]])
    line = np.array([[0, 1]])
    points, whose = sections(at, line, 0.0, 5.0)
    assert whose.tolist() == [0, 0, 0]
    assert points.tolist() == [at[0, 0].tolist(), *at[0].tolist()]
    on_low, _ = sections(at[:1] * (1, 1, 0), line, 0.0, 5.0)
    assert on_low[1:].tolist() == [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0]]


def test_an_edge_through_the_slab_is_cut_at_both_faces():
    points, _ = sections(np.array([[[0.0, 0.0, 0.0], [10.0, 20.0, 10.0]]]), LINES[:1], 2.0, 5.0)
    assert points[1:].tolist() == [[2.0, 4.0, 2.0], [5.0, 10.0, 5.0]]
