"""Loops of straights and arcs: areas, turns, arcs found again."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from barwright.plates import outline
from barwright.plates.arcs import loops_of
from barwright.plates.part import Loop

bulges = st.floats(-0.8, 0.8).map(lambda b: 0.0 if abs(b) < 0.02 else b)


@st.composite
def loops(draw):
    """Stars of 3 to 8 corners, gently bulged."""
    n = draw(st.integers(3, 8))
    reach = [draw(st.floats(20.0, 40.0)) for _ in range(n)]
    bulge = [draw(bulges) * 0.3 for _ in range(n)]
    turn = [2.0 * math.pi * i / n for i in range(n)]
    return Loop(
        vertices=tuple(
            (r * math.cos(a), r * math.sin(a), b)
            for r, a, b in zip(reach, turn, bulge, strict=True)
        )
    )


@given(loops())
def test_area_is_that_of_ever_finer_chords(loop):
    fine = Polygon(outline.points(loop, off=1e-5)).area
    assert outline.area(loop) == pytest.approx(fine, abs=0.02)


@given(loops(), st.floats(-3.0, 3.0))
def test_area_and_length_stay_when_moved(loop, turn):
    other = outline.moved(loop, turn=turn, shift=(7.0, -3.0))
    assert outline.area(other) == pytest.approx(outline.area(loop), rel=1e-9)
    assert outline.length(other) == pytest.approx(outline.length(loop), rel=1e-9)


@given(loops())
def test_backwards_changes_the_sign_and_flipping_does_not(loop):
    assert outline.area(outline.backwards(loop)) == pytest.approx(-outline.area(loop))
    assert outline.area(outline.flipped(loop)) == pytest.approx(outline.area(loop))
    twice = outline.flipped(outline.flipped(loop))
    assert np.allclose(sorted(twice.vertices), sorted(loop.vertices))


@given(loops())
def test_points_drawn_outside_hold_the_loop(loop):
    inside = Polygon(outline.points(loop, off=0.001)).buffer(0)
    outside = Polygon(outline.points(loop, off=0.3, outside=True)).buffer(0)
    assert inside.difference(outside).area < 0.05


@pytest.mark.parametrize("radius", [0.6, 3.0, 22.225, 150.0])
def test_a_circle_of_chords_is_found_again(radius):
    (loop, _) = loops_of(Point(4.0, -2.0).buffer(radius, quad_segs=128))
    assert len(loop.vertices) <= 4
    assert outline.area(loop) == pytest.approx(math.pi * radius**2, rel=2e-4)


@given(st.floats(0.1, 1.4), st.floats(0.0, 3.0))
def test_fillets_are_found_again_and_straights_keep_their_corners(turn, spin):
    notched = box(0, 0, 40, 20) - Point(15.0 + 6.0 * turn, 20.0).buffer(6.0, quad_segs=128)
    shape = affinity.rotate(notched, spin, origin=(0, 0), use_radians=True)
    loop, holes = loops_of(shape)
    assert not holes
    assert outline.region(loop).symmetric_difference(shape).area < 0.02 * shape.length
    assert len(loop.vertices) <= 12


def test_a_rectangle_is_not_taken_for_a_circle():
    loop, _ = loops_of(box(0, 0, 3, 2))
    assert sorted(v[2] for v in loop.vertices) == [0.0] * 4


def test_a_slot_no_longer_than_wide_is_a_round_hole():
    assert outline.slot((1, 2), 5.0, 4.0, 0.3) == outline.circle((1, 2), 2.5, hole=True)


def test_rounded_corners_shrink_to_what_the_edges_allow():
    loop = outline.rounded([(0, 0), (10, 0), (10, 4), (0, 4)], 50.0)
    assert outline.region(loop).is_valid
    assert 0.0 < outline.area(loop) < 40.0
