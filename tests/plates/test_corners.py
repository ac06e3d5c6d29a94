"""Numbered corners, and cutting them: areas in closed form."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.plates.corners import (
    CannotTrim,
    corners_of,
    cut_corner,
    edge_back,
    outline_of,
    ring,
)
from barwright.plates.outline import area, backwards, moved, rectangle, rounded
from barwright.plates.part import Loop, Part
from barwright.plates.twins import twin

BOX = rectangle(0.0, 0.0, 100.0, 60.0)
ELL = Loop(vertices=tuple((*p, 0.0) for p in
                          ((0, 0), (90, 0), (90, 30), (40, 30), (40, 80), (0, 80))))  # fmt: skip


def part(outline, **more):
    return Part(name="a", thickness=5.0, material="a36", outline=outline, **more)


def taken(outline, after):
    return area(outline) - area(outline_of(after))


def test_a_chamfer_takes_a_triangle():
    assert taken(BOX, cut_corner(ring(BOX), 3, "chamfer", 8.0)) == pytest.approx(8.0 * 8.0 / 2.0)


def test_a_round_takes_the_corner_less_a_quarter_disc():
    after = cut_corner(ring(BOX), 2, "round", 10.0)
    assert taken(BOX, after) == pytest.approx(100.0 * (1.0 - math.pi / 4.0))


def test_a_larger_round_takes_a_smaller_one_s_place():
    once = rounded([(0, 0), (100, 0), (100, 60), (0, 60)], 5.0)
    after = cut_corner(ring(once), 1, "round", 12.0)
    assert taken(once, after) == pytest.approx((144.0 - 25.0) * (1.0 - math.pi / 4.0))


def test_an_edge_moved_back_takes_a_strip():
    assert taken(BOX, edge_back(ring(BOX), 2, 4.0)) == pytest.approx(4.0 * 60.0)


def test_an_edge_between_slanted_ones_takes_a_trapezium():
    wedge = Loop(vertices=((0, 0, 0), (100, 0, 0), (80, 50, 0), (20, 50, 0)))
    after = edge_back(ring(wedge), 1, 5.0)
    assert taken(wedge, after) == pytest.approx(5.0 * (100.0 + 96.0) / 2.0)


def test_a_notch_s_floor_moved_back_deepens_the_notch():
    after = edge_back(ring(ELL), 3, 5.0)
    assert taken(ELL, after) == pytest.approx(5.0 * 50.0)


def test_rounds_stay_as_they_were_where_an_edge_is_moved_back():
    once = rounded([(0, 0), (100, 0), (100, 60), (0, 60)], 5.0)
    assert taken(once, edge_back(ring(once), 1, 4.0)) == pytest.approx(400.0)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda r: cut_corner(r, 9, "chamfer", 3.0), "no corner 9 any more: its outline has 6"),
        (lambda r: edge_back(r, 9, 3.0), "no edge 9"),
        (lambda r: cut_corner(r, 4, "round", 3.0), "inside corner"),
        (lambda r: cut_corner(r, 1, "chamfer", 85.0), "of which 80.0 mm are there"),
        (lambda r: edge_back(r, 1, 31.0), "reaches 30.0 mm in"),
        (lambda r: cut_corner(cut_corner(r, 1, "round", 9.0), 1, "round", 5.0), "already has a"),
    ],
)  # fmt: skip
def test_what_cannot_be_trimmed_says_why(change, says):
    with pytest.raises(CannotTrim, match=says):
        change(ring(ELL))


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    start=st.integers(0, 5),
    turn=st.floats(-0.3, 0.3),
    x=st.floats(-500.0, 500.0),
    y=st.floats(-500.0, 500.0),
    back=st.booleans(),
)
def test_numbers_do_not_depend_on_where_the_outline_starts_or_stands(start, turn, x, y, back):
    turned = Loop(vertices=ELL.vertices[start:] + ELL.vertices[:start])
    turned = moved(backwards(turned) if back else turned, turn=turn, shift=(x, y))
    there = moved(ELL, turn=turn, shift=(x, y))
    expected = [v[:2] for v in there.vertices]
    for found, wanted in zip(corners_of(part(turned)), expected, strict=True):
        assert found == pytest.approx(wanted)


def test_a_twin_s_corners_are_its_original_s_mirrored():
    one = part(ELL)
    assert corners_of(twin(one)) == tuple((x, -y) for x, y in corners_of(one))


def test_a_trimmed_part_keeps_its_numbers():
    one = part(ELL)
    after = replace(one, outline=outline_of(cut_corner(ring(ELL), 2, "chamfer", 4.0)),
                    generated=ELL)  # fmt: skip
    assert corners_of(after) == corners_of(one)
    assert corners_of(twin(after)) == corners_of(twin(one))


def test_points_amid_a_straight_and_doubled_points_are_no_corners():
    more = Loop(vertices=((0, 0, 0), (50, 0, 0), (100, 0, 0), (100, 0, 0), (100, 60, 0),
                          (0, 60, 0)))  # fmt: skip
    assert corners_of(part(more)) == corners_of(part(BOX))


def test_a_disc_has_no_corners():
    assert corners_of(part(Loop(vertices=((-5.0, 0.0, 1.0), (5.0, 0.0, 1.0))))) == ()
