"""What holds in which frame while the survey grows."""

import numpy as np
import pytest

from barwright.job.schema import Reading
from barwright.survey.compile import network_of
from barwright.survey.grow import _gauge, part_of
from barwright.survey.links import ALL_AXES, Link, links_of, strength

NAMES = tuple("ABCDE")


def reading(kind, marks, value=None, line=2):
    return Reading(line=line, kind=kind, marks=tuple(marks), value=value, plus_minus=1.0)


@pytest.mark.parametrize(
    ("kind", "marks", "value", "holds"),
    [
        # A middle is one in any frame; a height needs the height; a level needs two axes or up.
        ("middle", "ABC", None, {(): 3, (2,): 3, (0, 1): 3}),
        ("height", "A", 300.0, {(): 0, (0,): 0, (2,): 1, (0, 2): 1}),
        ("level", "AB", None, {(): 0, (0,): 0, (2,): 1, (0, 1): 1}),
        ("incline", "AB", 0.2, {(): 0, (0,): 0, (2,): 1, (0, 1): 1}),
        ("tape", "AB", 500.0, {(): 1, (0,): 1, (0, 1): 1}),
        ("corner", "ABC", 1.0, {(): 1, (0,): 1, (0, 1): 1}),
    ],
)
def test_a_row_counts_where_its_frame_gives_it_a_meaning(kind, marks, value, holds):
    network = network_of([reading(kind, marks, value)], {}, NAMES)
    placed = np.ones(len(NAMES), dtype=bool)
    for axes, rows in holds.items():
        part = part_of(network, placed, frozenset(axes))
        assert sum(len(r.value) for r in part.rows) == rows, axes
        links = [k for k in links_of(network) if k.holds(frozenset(axes))]
        assert len(links) == rows, axes
    whole = part_of(network, placed, ALL_AXES)
    assert sum(len(r.value) for r in whole.rows) == max(holds.values())


def test_rows_to_marks_not_placed_are_left_out_and_the_others_renumbered():
    told = [reading("tape", "AB", 1.0), reading("tape", "CE", 2.0), reading("height", "E", 3.0)]
    network = network_of(told, {}, NAMES)
    part = part_of(network, np.array([False, True, True, False, True]), ALL_AXES)
    assert part.names == ("B", "C", "E")
    found = {(tuple(m), v) for r in part.rows for m, v in zip(r.marks, r.value, strict=True)}
    assert found == {((1, 2), 2.0), ((2,), 3.0)}


def test_a_straightedge_ties_a_mark_once_enough_others_are_placed():
    line, flat = (Link(marks=(0, 1, 2, 3), value=0.0, sd=1.0, rank=k) for k in (1, 2))
    tape = Link(marks=(0, 1), value=500.0, sd=1.0)

    def placed(count):
        return [k <= count for k in range(4)]

    assert [strength(line, 0, placed(k)) for k in (1, 2, 3)] == [0, 2, 2]
    assert [strength(flat, 0, placed(k)) for k in (1, 2, 3)] == [0, 0, 1]
    assert [strength(tape, 0, placed(k)) for k in (0, 1)] == [0, 1]


@pytest.mark.parametrize(
    ("anchored", "count", "zero"),
    [
        ((), 0, [0, 1, 2]),
        ((), 1, [1, 2]),
        ((), 2, [2]),
        ((), 3, []),
        ((2,), 0, [0, 1]),
        ((2,), 1, [1]),
        ((2,), 2, []),
        ((0, 2), 0, [1]),
        ((0, 2), 1, []),
        ((0, 1, 2), 0, []),
    ],
)
def test_marks_are_put_at_zero_where_nothing_says_otherwise(anchored, count, zero):
    """Six freedoms with nothing anchored, three with one axis, one with two, none with three."""
    assert _gauge(frozenset(anchored), count) == zero
