"""Readings that cannot be as they stand, and what is said of them."""

import pytest

from barwright.job.errors import BadInput
from barwright.job.schema import Reading
from barwright.survey.check import check
from barwright.survey.solve import solve


def rows(*told):
    """(kind, marks, value) a line, or a fixed mark's (name, x, y, z)."""
    out = []
    for line, (kind, names, value) in enumerate(told, 2):
        at = {"at": value} if kind == "fixed" else {"value": value}
        out.append(Reading(line=line, kind=kind, marks=tuple(names.split()), plus_minus=0.8, **at))
    return tuple(out)


THREE = (("fixed", "A", (0, 0, 0)), ("fixed", "B", (1000, 0, 0)), ("fixed", "C", (0, 1000, 0)))


def test_three_tapes_that_cannot_close_are_said_not_to():
    with pytest.raises(BadInput) as caught:
        solve(rows(("tape", "A B", 3.0), ("tape", "B C", 4.0), ("tape", "A C", 500.0)))
    (fault,) = caught.value.faults
    assert fault.line == 4
    assert "cannot close" in fault.expected
    assert "7 mm" in fault.expected


def test_three_tapes_that_close_lie_flat_and_have_no_mirror_image():
    marks = solve(rows(("tape", "A B", 300.0), ("tape", "B C", 400.0), ("tape", "A C", 500.0)))
    assert marks.rank_defect
    assert not marks.mirrored
    assert all(sd >= 0.0 for name in marks.names for sd in marks.sd(name))


def test_one_fixed_mark_and_one_tape_have_an_answer():
    marks = solve(rows(THREE[0], ("tape", "A B", 500.0)))
    assert marks.at("B") == pytest.approx((500.0, 0.0, 0.0), abs=1e-6)


def test_a_mark_written_otherwise_once_is_asked_about():
    told = rows(*THREE, *(("tape", f"{n} {d}", 700.0) for n, d in ("AD", "BD", "Cd")))
    with pytest.raises(BadInput) as caught:
        solve((*told, *rows(("height", "D", 300.0))))
    assert caught.value.faults[0].do.startswith("did you mean D?")


def test_a_two_metre_tape_over_two_hundred_is_one_suspect_with_its_likely_mistake():
    far = rows(*THREE, ("fixed", "D", (200, 0, 0)), ("tape", "A D", 2000.0))
    marks = solve((*far, *rows(("tape", "B D", 800.0), ("tape", "C D", 1019.8))))
    told = [f for f in check(marks) if f.level.value != "good"]
    assert [(f.code, f.subject) for f in told] == [("survey.suspect", "readings.csv line 6")]
    assert "ten times too long" in told[0].says
