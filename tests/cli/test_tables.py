"""Answers for people: their own unit, remedies, cautions, nothing lost in a narrow pipe."""

import io
import math

import pytest
from rich.console import Console

from barwright.cli import tables
from barwright.findings import Finding, Level


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
        (-0.0001, "in", "0 (0.000)"),
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
    assert must < said.index("do: trim 3.2 mm") < said.index("by: a rule") < look
    assert look < said.index("do: look at it") < good
    assert "measured 1 (1.000) in" in said
    assert "swing.clear ×2" in said
    assert "says [b]so[/b]" in said  # what a job says is not read as markup


def test_millimetres_are_not_said_twice_to_who_measures_in_them():
    said = shown(tables.show_findings, (found(Level.MUST, measured=25.4, unit="mm"),), "mm")
    assert "that is" not in said
