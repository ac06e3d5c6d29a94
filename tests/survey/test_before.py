"""What is taken over from the last survey changes no answer and hides no second one."""

import math

import numpy as np
import pytest
from network_maker import Plan, several

from barwright.job.schema import Reading
from barwright.survey.before import trusted
from barwright.survey.solve import solve

CORNERS = {
    "A": (0.0, 0.0, 300.0),
    "B": (1000.0, 0.0, 300.0),
    "C": (0.0, 800.0, 300.0),
    "D": (1000.0, 800.0, 300.0),
}


def above(height, rough):
    """A mark taped to four in one plane, and its height read roughly."""
    e = (450.0, 380.0, 300.0 + height)
    fixed = [
        Reading(line=k, kind="fixed", marks=(n,), at=p, plus_minus=0.5)
        for k, (n, p) in enumerate(CORNERS.items(), 2)
    ]
    tapes = [
        Reading(line=k, kind="tape", marks=("E", n), value=math.dist(e, p), plus_minus=1.0)
        for k, (n, p) in enumerate(CORNERS.items(), 10)
    ]
    up = Reading(line=20, kind="height", marks=("E",), value=e[2], plus_minus=rough)
    return (*fixed, *tapes, up)


@pytest.mark.parametrize("plan", [Plan(), Plan(tapes=(6, 9), heights=0.0)], ids=["held", "free"])
def test_an_edited_survey_has_the_answer_it_has_when_it_is_new(plan):
    for _, case in several(4, plan, first=300):
        i = next(i for i, r in enumerate(case.readings) if r.kind == "tape")
        r = case.readings[i]
        edited = [*case.readings]
        edited[i] = r.model_copy(update={"value": r.value + 1.3})
        new = solve(edited)
        again = solve(edited, before=solve(case.readings))
        assert again.freedom == new.freedom
        assert again.report.chi2 == pytest.approx(new.report.chi2, abs=1e-6)
        assert len(again.rivals) == len(new.rivals)
        if not new.rivals:
            assert np.abs(again.xyz - new.xyz).max() < 1e-6


def test_a_second_answer_that_an_edit_makes_is_told():
    first = solve(above(250.0, 60.0))
    assert first.rivals == ()
    readings = above(40.0, 60.0)
    assert trusted(first, readings) is first
    edited = solve(readings, before=first)
    (rival,) = edited.rivals
    assert rival.moved == ("E",)
    assert trusted(edited, readings) is None


def test_a_survey_of_other_readings_is_no_start():
    right = above(250.0, 1.0)
    assert trusted(solve(right[:-1]), right) is None
    assert trusted(None, right) is None


def test_a_wrong_reading_is_searched_for_anew():
    right = above(250.0, 1.0)
    wrong = right[5].model_copy(update={"value": right[5].value + 60.0})
    readings = (*right[:5], wrong, *right[6:])
    marks = solve(readings, before=solve(right))
    assert [f.reading.line for f in marks.fitted if f.suspect] == [wrong.line]
    assert trusted(marks, right) is None
