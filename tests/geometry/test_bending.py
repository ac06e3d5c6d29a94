"""Centrelines from corners and from tables: round trips, tangency, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from barwright.geometry.bending import (
    CannotBend,
    bends_of,
    corners_of,
    from_corners,
    from_table,
    straights_of,
    table_of,
)
from barwright.geometry.foot import foot_on
from barwright.geometry.path import (
    Arc,
    BendTable,
    Straight,
    carried,
    ends,
    length,
    moved,
    point_at,
    reversed_line,
    tangent_at,
)
from barwright.geometry.pose import mirrored, pose_of
from barwright.geometry.vectors import rotation

place = st.tuples(*[st.floats(-1000, 1000)] * 3)


@st.composite
def tables(draw, least=0.0, most_bend=3.0):
    n = draw(st.integers(0, 5))
    some = st.floats(least, 600.0)
    return BendTable(
        straights=tuple(draw(st.lists(some, min_size=n + 1, max_size=n + 1))),
        bends=tuple(draw(st.lists(st.floats(0.02, most_bend), min_size=n, max_size=n))),
        turns=tuple(
            draw(st.lists(st.floats(-3.1, 3.1), min_size=max(n - 1, 0), max_size=max(n - 1, 0)))
        ),
        clr=draw(st.floats(20.0, 300.0)) if n else 0.0,
    )


@given(tables())
def test_table_to_xyz_and_back(table):
    assume(table.straights[0] + table.straights[-1] + len(table.bends) > 0.1)
    line = from_table(table, (10, -20, 30), (1, 2, 3), (0, 1, 0))
    back = table_of(line)
    assert back.bends == pytest.approx(table.bends, abs=1e-9)
    assert back.straights == pytest.approx(table.straights, abs=1e-8)
    assert back.turns == pytest.approx(table.turns, abs=1e-9)
    assert length(line) == pytest.approx(sum(table.straights) + table.clr * sum(table.bends))


@given(tables(least=1.0, most_bend=2.9))
def test_xyz_to_table_to_xyz_to_1e_9(table):
    line = from_table(table, (0, 0, 0), (1, 0, 0), (0, 1, 0))
    corners = corners_of(line)
    again = from_corners(corners, table.clr)
    made = table_of(again)
    way = corners[1] - corners[0]
    toward = corners[2] - corners[1] if len(corners) > 2 else (0, 0, 1)
    if len(corners) == 2:
        toward = (0, 1, 0)
    once_more = corners_of(from_table(made, corners[0], way, toward))
    assert np.abs(once_more - corners).max() < 1e-9


@given(tables())
def test_pieces_meet_in_line(table):
    """G1: every piece begins where and as the one before it ends."""
    assume(sum(table.straights) + len(table.bends) > 0.1)
    # a straight of less than a nanometre has the direction that the rounding of its ends leaves it
    assume(all(s == 0.0 or s > 1e-6 for s in table.straights))
    line = from_table(table, (0, 0, 0), (0, 0, 1), (1, 0, 0))
    begun = 0.0
    for before, after in zip(line.pieces, line.pieces[1:], strict=False):
        begun += (
            math.dist(before.start, before.end)
            if isinstance(before, Straight)
            else table.clr * before.angle
        )
        gap = point_at(line, begun + 1e-7) - point_at(line, begun - 1e-7)
        assert np.linalg.norm(gap) == pytest.approx(2e-7, abs=1e-9)
        turn = tangent_at(line, begun + 1e-7) - tangent_at(line, begun - 1e-7)
        assert np.linalg.norm(turn) < 1e-7
        assert type(after) in {Straight, Arc}


@given(tables())
def test_worked_from_the_other_end_the_turns_are_the_same(table):
    assume(table.straights[0] > 0.1)
    line = from_table(table, (0, 0, 0), (0, 0, 1), (1, 0, 0))
    back = table_of(reversed_line(line))
    assert back.straights[::-1] == pytest.approx(table.straights, abs=1e-8)
    assert back.turns[::-1] == pytest.approx(table.turns, abs=1e-9)


@given(tables())
def test_a_mirror_turns_every_turn_over_and_a_move_changes_nothing(table):
    assume(table.straights[0] > 0.1)
    line = from_table(table, (0, 0, 0), (0, 0, 1), (1, 0, 0))
    flat = table_of(moved(line, mirrored()))
    assert flat.bends == pytest.approx(table.bends, abs=1e-9)
    assert flat.turns == pytest.approx([-t for t in table.turns], abs=1e-9)
    away = table_of(moved(line, pose_of(rotation((1, 2, 3), 0.7), (5, 6, 7))))
    assert away.turns == pytest.approx(table.turns, abs=1e-9)


@given(tables(least=2.0, most_bend=0.2), st.floats(0, 1))
def test_the_foot_of_a_point_beside_the_line_is_where_it_was_taken(table, share):
    line = from_table(table, (0, 0, 0), (0, 0, 1), (1, 0, 0))
    at = share * length(line)
    way = tangent_at(line, at)
    side = np.cross(way, (0.3, 0.5, 0.7))
    side = side / np.linalg.norm(side)
    foot = foot_on(line, point_at(line, at) + 5.0 * side)
    assert foot.distance == pytest.approx(5.0, abs=1e-9)
    assert foot.along == pytest.approx(at, abs=1e-6)


def test_a_positive_turn_is_clockwise_seen_along_the_travel():
    """Along +x, then bent toward +y, axis +z: +90° about the new travel +y brings the axis to +x,
    and right hand about +x the bend leads from +y to +z."""
    table = BendTable(
        straights=(300.0, 300.0, 300.0), bends=(math.pi / 2,) * 2, turns=(math.pi / 2,), clr=50.0
    )
    line = from_table(table, (0, 0, 0), (1, 0, 0), (0, 1, 0))
    assert tangent_at(line, length(line)) == pytest.approx((0, 0, 1), abs=1e-12)


def test_a_line_scribed_along_the_tube_is_carried_round_the_bends():
    line = from_corners([(0, 0, 0), (300, 0, 0), (300, 400, 0)], 114)
    assert carried(line, (0, 0, 1)) == pytest.approx((0, 0, 1), abs=1e-12)
    assert carried(line, (0, -1, 0)) == pytest.approx((1, 0, 0), abs=1e-12)


def test_past_its_ends_a_centreline_runs_straight_on():
    arc = from_table(
        BendTable(straights=(0, 0), bends=(1.0,), clr=50.0), (0, 0, 0), (1, 0, 0), (0, 1, 0)
    )
    assert point_at(arc, -10.0) == pytest.approx((-10, 0, 0))
    assert tangent_at(arc, -10.0) == pytest.approx((1, 0, 0))
    past = point_at(arc, 50.0 + 7.0) - point_at(arc, 50.0)
    assert past == pytest.approx(7.0 * np.array([math.cos(1), math.sin(1), 0]))
    assert ends(arc)[1] == pytest.approx((50 * math.sin(1), 50 * (1 - math.cos(1)), 0))


@pytest.mark.parametrize(
    ("corners", "clr", "says"),
    [
        ([(0, 0, 0), (0, 0, 0), (1, 0, 0)], 10, "coincide"),
        ([(0, 0, 0), (100, 0, 0), (0, 0, 0)], 10, "turns straight back"),
        ([(0, 0, 0), (50, 0, 0), (50, 400, 0)], 60, "straight 1 is short by 10.000 mm"),
    ],
)
def test_what_cannot_be_bent_is_refused(corners, clr, says):
    with pytest.raises(CannotBend, match=says):
        from_corners(corners, clr)


@pytest.mark.parametrize(
    ("table", "says"),
    [
        (BendTable(straights=(1.0,), bends=(1.0,), clr=9.0), "want 2 straights and 0 turns"),
        (BendTable(straights=(1.0, -2.0), bends=(1.0,), clr=9.0), "straight 2 is negative"),
        (BendTable(straights=(1.0, 2.0), bends=(1.0,)), "radius above zero"),
    ],
)
def test_tables_that_do_not_hold_together(table, says):
    with pytest.raises(CannotBend, match=says):
        from_table(table, (0, 0, 0), (1, 0, 0), (0, 1, 0))


def test_overlap_is_told_in_millimetres():
    short = straights_of([(0, 0, 0), (300, 0, 0), (300, 100, 0), (600, 100, 0)], 114)
    assert short == pytest.approx((186.0, -128.0, 186.0))
    assert len(bends_of([(0, 0, 0), (1, 0, 0), (2, 0, 0)], 114)) == 0


def test_half_a_turn_has_no_corner():
    line = from_table(
        BendTable(straights=(10, 10), bends=(math.pi,), clr=50.0), (0, 0, 0), (1, 0, 0), (0, 1, 0)
    )
    with pytest.raises(CannotBend, match="180"):
        corners_of(line)


@pytest.mark.parametrize(
    ("straights", "bends", "turns", "clr", "says"),
    [
        ((1, 2), (1.0,), (0.5,), 50, "want 2 straights and 0 turns, not 2 and 1"),
        ((1, 2, 3), (1.0,), (), 50, "want 2 straights and 0 turns, not 3 and 0"),
        ((1, 2, 3), (1.0, 1.0), (), 50, "want 3 straights and 1 turns, not 3 and 0"),
        ((1, -2), (1.0,), (), 50, "straight 2 is negative: -2.000 mm"),
        ((1, 2), (1.0,), (), 0, "a centreline radius above zero"),
    ],
)
def test_a_table_that_does_not_belong_together_is_refused(straights, bends, turns, clr, says):
    table = BendTable(straights=straights, bends=bends, turns=turns, clr=clr)
    with pytest.raises(CannotBend, match=says):
        from_table(table, (0, 0, 0), (1, 0, 0), (0, 1, 0))


def test_corners_of_a_line_that_begins_and_ends_with_a_bend():
    """A quarter turn of 100 from the origin: its straights would meet at 100, 0."""
    table = BendTable(straights=(0.0, 0.0), bends=(math.pi / 2,), turns=(), clr=100.0)
    line = from_table(table, (0, 0, 0), (1, 0, 0), (0, 1, 0))
    wanted = [(0, 0, 0), (100, 0, 0), (100, 100, 0)]
    assert corners_of(line) == pytest.approx(np.array(wanted, dtype=float), abs=1e-9)
    half = BendTable(straights=(5.0, 5.0), bends=(math.pi,), turns=(), clr=100.0)
    with pytest.raises(CannotBend, match="no corner"):
        corners_of(from_table(half, (0, 0, 0), (1, 0, 0), (0, 1, 0)))


def test_a_path_that_turns_back_or_stands_still_is_told_by_its_corner():
    with pytest.raises(CannotBend, match="back on itself at corner 2"):
        from_corners([(0, 0, 0), (300, 0, 0), (100, 0, 0)], 50)
    with pytest.raises(CannotBend, match="corners 2 and 3 of the path coincide"):
        from_corners([(0, 0, 0), (300, 0, 0), (300, 0, 0), (300, 200, 0)], 50)
