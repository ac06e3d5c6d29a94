"""Convex pieces: convex, side by side, together the whole shape, and few."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.polygon import orient

from barwright.plates.convex import convex_pieces


def jagged(seed: int, n: int) -> Polygon:
    """A star-shaped polygon with corners at random distances, and a round hole in its middle."""
    rng = np.random.default_rng(seed)
    turn = 2.0 * np.pi * (np.arange(n) + rng.uniform(0.0, 0.9, n)) / n
    ring = rng.uniform(20.0, 60.0, n)[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
    return Polygon(ring) - Point(0.0, 0.0).buffer(2.0, quad_segs=3)


def dents(shape: Polygon) -> int:
    """How many corners turn away from the shape."""
    sided, count = orient(shape), 0
    for ring in (sided.exterior, *sided.interiors):
        u = np.diff(np.array(ring.coords), axis=0)
        v = np.roll(u, -1, axis=0)
        count += int(np.sum(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0.0))
    return count


@given(st.integers(0, 10_000), st.integers(7, 60))
@settings(max_examples=40)
def test_pieces_are_convex_lie_side_by_side_and_make_up_the_shape(seed, n):
    shape = jagged(seed, n)
    made = [Polygon(piece) for piece in convex_pieces(shape)]
    assert all(orient(p).exterior.is_ccw and p.exterior.is_ccw for p in made)
    assert max(p.convex_hull.area - p.area for p in made) < 1e-6
    assert sum(p.area for p in made) == pytest.approx(shape.area, abs=1e-6)
    assert shapely.union_all(made).symmetric_difference(shape).area < 1e-6


@given(st.integers(0, 10_000), st.integers(7, 60))
@settings(max_examples=40)
def test_no_two_neighbours_could_still_be_joined(seed, n):
    made = [Polygon(piece) for piece in convex_pieces(jagged(seed, n))]
    for k, p in enumerate(made):
        for q in made[:k]:
            if p.intersection(q).length > 1e-6:
                assert (p | q).convex_hull.area - (p | q).area > 1e-7


@given(st.integers(0, 10_000), st.integers(7, 60))
@settings(max_examples=40)
def test_each_dent_costs_at_most_two_pieces(seed, n):
    """Hertel and Mehlhorn's bound, from memory: at each dent at most two edges are needed."""
    shape = jagged(seed, n)
    assert len(convex_pieces(shape)) <= 2 * dents(shape) + 1


def test_corners_gone_straight_over_are_left_out():
    ring = [(0, 0), (1, 0), (2, 1e-9), (5, 0), (5, 4), (3, 4), (0, 4), (0, 2)]
    (piece,) = convex_pieces(Polygon(ring, [[(2, 1), (3, 1), (3, 2), (2, 2)]]).convex_hull)
    assert len(piece) == 4
    frame = convex_pieces(Polygon(ring, [[(2, 1), (3, 1), (3, 2), (2, 2)]]))
    assert sum(Polygon(p).area for p in frame) == pytest.approx(19.0)


def test_a_shape_in_several_parts_is_taken_part_by_part_and_nothing_gives_nothing():
    apart = MultiPolygon([box(0, 0, 2, 2), box(5, 0, 6, 1)])
    assert sorted(Polygon(p).area for p in convex_pieces(apart)) == [1.0, 4.0]
    assert convex_pieces(Polygon()) == []


def test_a_dent_of_any_use_is_kept():
    """A notch 1 µm deep and 10 mm wide is more than rounding."""
    ring = [(0, 0), (5, 0.001), (10, 0), (10, 10), (0, 10)]
    assert len(convex_pieces(Polygon(ring))) == 2
