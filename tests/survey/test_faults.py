"""Readings that cannot be used: one clear fault each, with what to do."""

import math

import pytest

from barwright.job.errors import BadInput
from barwright.job.schema import Reading
from barwright.survey.faults import _way_round, faults_in, unclosed
from barwright.survey.solve import solve


def reading(*, line=2, kind="tape", marks="A B", value=500.0, at=None, sd=1.0):
    if kind in {"level", "plumb", "pair", "fixed", "middle", "line", "flat"}:
        value = None
    return Reading(
        line=line, kind=kind, marks=tuple(marks.split()), value=value, at=at, plus_minus=sd
    )


BASE = tuple(
    Reading(line=50 + i, kind="fixed", marks=(n,), at=p, plus_minus=0.1)
    for i, (n, p) in enumerate(
        {"P": (0.0, 0.0, 0.0), "Q": (1000.0, 0.0, 0.0), "R": (0.0, 900.0, 100.0)}.items()
    )
)


def fault_of(*readings, **more):
    with pytest.raises(BadInput) as caught:
        solve((*BASE, *readings), **more)
    return caught.value.faults


@pytest.mark.parametrize(
    ("wrong", "entry", "words"),
    [
        (reading(sd=0.0), "plus_minus", "above zero"),
        (reading(sd=float("nan")), "plus_minus", "above zero"),
        (reading(marks="A"), "marks", "2 marks"),
        (reading(marks="A A"), "marks", "twice"),
        (reading(value=None), "value", "a length"),
        (reading(value=-3.0), "value", "above zero"),
        (reading(kind="incline", value=2.0), "value", "angle"),
        (reading(kind="corner", marks="A B C", value=math.pi + 0.1), "value", "angle"),
        (reading(kind="line", marks="A B"), "marks", "3 marks or more"),
        (reading(kind="fixed", marks="A"), "value", "three coordinates"),
    ],
)
def test_each_is_told_by_its_line(wrong, entry, words):
    (fault,) = fault_of(wrong)
    assert (fault.file, fault.line, fault.entry) == ("readings.csv", 2, entry)
    assert words in fault.expected
    assert fault.do


def test_all_faults_come_at_once():
    faults = fault_of(reading(line=2, sd=0.0), reading(line=3, marks="A A"))
    assert [f.line for f in faults] == [2, 3]


def test_over_needs_the_tube():
    (fault,) = fault_of(reading(kind="over", marks="P Q"), radius_of={"P": 20.0})
    assert "no bar's path names Q" in fault.expected
    (fault,) = fault_of(
        reading(kind="over", marks="P Q", value=30.0), radius_of={"P": 20.0, "Q": 20.0}
    )
    assert "40 mm" in fault.expected


def test_contradictory_fixed_marks():
    (fault,) = fault_of(reading(line=9, kind="fixed", marks="P", at=(30.0, 0.0, 0.0), sd=0.1))
    assert fault.line == 9
    assert "30 mm apart" in fault.expected


def test_no_readings():
    with pytest.raises(BadInput, match="no readings"):
        solve(())


@pytest.mark.parametrize(("apart", "told"), [(4.9, 0), (5.1, 1), (5.9, 1)])
def test_two_places_of_one_mark_may_differ_by_five_of_their_doubts(apart, told):
    """Each to 1 mm: together √2 mm."""
    twice = [
        reading(line=k, kind="fixed", marks="K", at=(at, 0.0, 0.0))
        for k, at in ((9, 0.0), (10, apart * math.sqrt(2.0)))
    ]
    found = faults_in((*BASE, *twice), {})
    assert [f.line for f in found] == [10] * told


@pytest.mark.parametrize(("value", "told"), [(40.0, 1), (40.1, 0)])
def test_over_must_be_more_than_the_two_radii(value, told):
    over = reading(kind="over", marks="P Q", value=value)
    assert len(faults_in((*BASE, over), {"P": 20.0, "Q": 20.0})) == told


def chain(*values):
    names = "ABCDEFGH"
    return [
        reading(line=10 + k, marks=f"{names[k]} {names[k + 1]}", value=v)
        for k, v in enumerate(values)
    ]


@pytest.mark.parametrize(("value", "told"), [(1154.9, 0), (1155.1, 1)])
def test_a_tape_longer_than_the_way_round_cannot_close(value, told):
    """The triangle inequality, with five plus/minuses of 1 mm to spare; the shorter way counts."""
    round_ = [*chain(300.0, 400.0, 500.0), reading(line=20, marks="A C", value=650.0)]
    found = unclosed([reading(line=2, marks="A D", value=value), *round_])
    assert [f.line for f in found] == [2] * told
    if told:
        assert "the way round by C, 1150 mm" in found[0].expected


def test_without_a_way_round_nothing_is_told():
    assert unclosed([reading(line=2, marks="A H", value=9000.0), *chain(300.0, 400.0)]) == ()
    assert _way_round(reading(marks="A H"), chain(300.0, 400.0)) is None


def test_the_way_round_is_the_shortest_whichever_way_its_tapes_were_written():
    tapes = [
        reading(marks="B A", value=100.0),
        reading(marks="C B", value=100.0),
        reading(marks="A C", value=250.0),
        reading(marks="C D", value=50.0),
    ]
    assert _way_round(reading(marks="A D"), tapes) == (250.0, ("B", "C"))
    assert _way_round(reading(marks="D A"), tapes) == (250.0, ("C", "B"))
    assert _way_round(reading(marks="A C"), tapes[2:]) == (250.0, ())


@pytest.mark.parametrize(
    ("kind", "marks", "told"),
    [
        ("corner", "A B", 1),
        ("corner", "A B C", 0),
        ("corner", "A B C D", 1),
        ("line", "A B C D E", 0),
    ],
)
def test_too_few_marks_and_too_many(kind, marks, told):
    value = 1.0 if kind == "corner" else None
    found = faults_in([reading(kind=kind, marks=marks, value=value)], {})
    assert [f.entry for f in found] == ["marks"] * told


def test_a_fixed_mark_wants_numbers():
    far = reading(kind="fixed", marks="A", at=(0.0, math.inf, 0.0))
    assert [f.entry for f in faults_in([far], {})] == ["value"]
