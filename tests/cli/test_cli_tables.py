"""Answers for people: their own unit, remedies, cautions, nothing lost in a narrow pipe."""

import io
import math

import numpy as np
import pytest
from rich.console import Console

from barwright.cli import tables
from barwright.findings import Finding, Level
from barwright.job.schema import Job, JobTable, Reading
from barwright.survey.marks import Candidate, Fitted, Marks


def shown(show, *args):
    text = io.StringIO()
    show(Console(file=text, width=120, highlight=False), *args)
    return text.getvalue()


def found(level, code="swing.clear", **more):
    return Finding(code=code, level=level, subject="leaf.side", says="says [b]so[/b]", **more)


@pytest.mark.parametrize(
    ("mm", "unit", "written"),
    [
        (595.3125, "in", "23 7/16 (23.438)"),
        (-12.7, "in", "-1/2 (-0.500)"),
        (-0.0001, "in", "0.000"),
        (0.36, "in", "0.014"),
        (595.25, "mm", "595.3"),
        (-0.01, "mm", "0.0"),
        (math.inf, "in", "–"),
    ],
)
def test_lengths(mm, unit, written):
    assert tables.length(mm, unit) == written


def test_findings_stand_by_gravity_with_their_remedy_and_source():
    findings = (
        found(Level.GOOD),
        found(Level.LOOK, remedy="look at it"),
        found(Level.MUST, remedy="trim 3.2 mm", source="a rule", measured=25.4, unit="mm"),
        found(Level.GOOD),
    )
    said = shown(tables.show_findings, findings, "in")
    must, look, good = (said.index(h) for h in ("Must be", "To look", "Checked and right (2)"))
    assert must < said.index("do: trim 0.126 in") < said.index("by: a rule") < look
    assert look < said.index("do: look at it") < good
    assert "measured 1 (1.000) in" in said
    assert "swing.clear ×2" in said
    assert "says [b]so[/b]" in said  # what a job says is not read as markup


def test_millimetres_are_not_said_twice_to_who_measures_in_them():
    said = shown(tables.show_findings, (found(Level.MUST, measured=25.4, unit="mm"),), "mm")
    assert "that is" not in said


def test_a_narrow_table_does_not_fold_its_title_and_a_name_is_not_markup():
    marks = Marks(
        names=("A",),
        xyz=np.array([[25.4, -0.0, 50.8]]),
        covariance=np.eye(3),
        fitted=(
            Fitted(
                reading=Reading(
                    line=7, kind="incline", marks=("A", "B"), value=0.0, plus_minus=0.1
                ),
                residual=math.radians(1.25),
                suspect=True,
                redundancy=0.5,
            ),
        ),
        next_reading=(Candidate(kind="tape", marks=("A", "B"), gain=12.5),),
    )
    job = Job(job=JobTable(name="[Heron]", unit="in"))
    said = shown(tables.show_solved, job, marks, ())
    assert "[Heron]: 1 mark from 0 readings" in said
    assert "Readings that disagree with the rest\n" in said
    assert "Marks, in\n" in said
    assert "incline A B" in said
    assert "1.25°" in said
    assert "13 %" in said
    assert "1 (1.000)" in said
    assert "-0" not in said
