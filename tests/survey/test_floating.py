"""Marks that float are named, with readings that would hold them."""

import itertools
import math

import numpy as np
import pytest

from barwright.job.errors import BadInput
from barwright.job.schema import Reading
from barwright.survey.floating import remedies
from barwright.survey.motion import twists
from barwright.survey.solve import solve

POINTS = {
    "A": (0.0, 0.0, 0.0),
    "B": (1000.0, 0.0, 0.0),
    "C": (400.0, 700.0, 0.0),
    "D": (300.0, 200.0, 900.0),
}


def tape(a, b, points, line=2):
    value = math.dist(points[a], points[b])
    return Reading(line=line, kind="tape", marks=(a, b), value=value, plus_minus=1.0)


def body(points, line=2):
    pairs = itertools.combinations(points, 2)
    return [tape(a, b, points, line + k) for k, (a, b) in enumerate(pairs)]


def faults_of(readings):
    with pytest.raises(BadInput) as caught:
        solve(tuple(readings))
    return caught.value.faults


@pytest.mark.parametrize(("ties", "missing"), [(1, 2), (2, 1)])
def test_a_mark_with_too_few_tapes(ties, missing):
    points = POINTS | {"E": (600.0, 300.0, 500.0)}
    extra = [tape("E", n, points, 20 + k) for k, n in enumerate("ABC"[:ties])]
    (fault,) = faults_of([*body(POINTS), *extra])
    assert "mark E floats" in fault.expected
    assert f"{missing} more reading" in fault.expected
    assert fault.do.count("E") == missing
    assert "line 20" in fault.read


def test_a_mark_named_once():
    once = Reading(line=30, kind="height", marks=("K",), value=400.0, plus_minus=1.0)
    (fault,) = faults_of([*body(POINTS), once])
    assert "mark K floats" in fault.expected
    assert "line 30" in fault.read


def test_what_it_asks_for_is_enough():
    points = POINTS | {"E": (600.0, 300.0, 500.0)}
    readings = [*body(POINTS), tape("E", "A", points, 20)]
    (fault,) = faults_of(readings)
    asked = [part.split()[1:] for part in fault.do.removeprefix("take ").split("; ")]
    assert all(len(marks) == 2 for marks in asked)
    readings += [tape(a, b, points, 30 + k) for k, (a, b) in enumerate(asked)]
    assert "E" in solve(tuple(readings))


def test_a_hinged_body_is_named_as_one_group():
    points = POINTS | {
        "K": (1500.0, 900.0, 300.0),
        "L": (1900.0, 500.0, 200.0),
        "M": (1600.0, 200.0, 800.0),
    }
    other = body({n: points[n] for n in "BDKLM"}, 40)
    (fault,) = faults_of([*body(POINTS), *other])
    floated = fault.expected.split(" float")[0].removeprefix("marks ").split(", ")
    assert set(floated) in ({"K", "L", "M"}, {"A", "C"})
    assert "1 more reading" in fault.expected


def test_angles_alone_have_no_size():
    corners = [
        Reading(line=2, kind="corner", marks=(a, b, c), value=1.0, plus_minus=0.01)
        for a, b, c in itertools.permutations("ABCDE", 3)
        if a < c
    ]
    (fault, *_) = faults_of(corners)
    assert "float" in fault.expected


def test_one_tape_alone_is_refused_with_what_to_do():
    lone = Reading(line=2, kind="tape", marks=("A", "B"), value=1000.0, plus_minus=1.0)
    with pytest.raises(BadInput, match="on one line"):
        solve((lone,))


def test_a_group_that_tapes_cannot_hold_is_given_heights_and_offsets():
    """With no mark outside the group nothing can be taped to: axis by axis, until all is held."""
    x = np.array(list(POINTS.values()))
    motions = np.linalg.qr(twists(x))[0]
    asked = remedies(range(4), motions, x)
    assert len(asked) == 6
    assert {kind for kind, _ in asked} == {"height", "offset", "station"}
    assert all(len(marks) == 1 for _, marks in asked)
    axis = {"height": 2, "offset": 1, "station": 0}
    rows = np.zeros((6, x.size))
    for k, (kind, (mark,)) in enumerate(asked):
        rows[k, 3 * mark + axis[kind]] = 1.0
    assert np.linalg.matrix_rank(rows @ motions) == 6


def test_a_lone_mark_is_taped_to_the_nearest_first():
    points = POINTS | {"E": (310.0, 210.0, 850.0)}
    x = np.array(list(points.values()))
    motions = np.zeros((15, 3))
    motions[12:] = np.eye(3)
    asked = remedies([4], motions, x)
    assert [kind for kind, _ in asked] == ["tape"] * 3
    assert asked[0] == ("tape", (4, 3))


@pytest.mark.parametrize(("typed", "meant"), [("AO", "A0"), ("l3", "I3"), ("B-1", "b1")])
def test_a_mark_that_looks_like_another_is_asked_about(typed, meant):
    points = POINTS | {meant: (500.0, 300.0, 200.0)}
    lone = Reading(line=70, kind="height", marks=(typed,), value=400.0, plus_minus=1.0)
    (fault,) = faults_of([*body(points), lone])
    assert fault.do.startswith(f"did you mean {meant}? If not, ")
    assert fault.line == 70
