"""A second answer that fits about as well is told, with the reading that decides."""

import itertools
import math

import numpy as np
import pytest

from barwright.findings import Level
from barwright.job.schema import Reading
from barwright.survey.check import check
from barwright.survey.solve import solve

FIXED = {
    "A": (0.0, 0.0, 300.0),
    "B": (1000.0, 0.0, 300.0),
    "C": (0.0, 800.0, 300.0),
    "D": (1000.0, 800.0, 300.0),
}


def survey(height, extra=()):
    """A mark E tied by four tapes to marks in one plane: it may stand above it or below."""
    e = (450.0, 380.0, 300.0 + height)
    fixed = [
        Reading(line=2 + k, kind="fixed", marks=(n,), at=p, plus_minus=0.5)
        for k, (n, p) in enumerate(FIXED.items())
    ]
    tapes = [
        Reading(line=10 + k, kind="tape", marks=("E", n), value=math.dist(e, p), plus_minus=1.0)
        for k, (n, p) in enumerate(FIXED.items())
    ]
    return (*fixed, *tapes, *extra)


def test_both_places_are_told():
    marks = solve(survey(40.0))
    (rival,) = marks.rivals
    assert rival.moved == ("E",)
    assert rival.apart == pytest.approx(80.0, abs=1.0)
    assert abs(rival.chi2_more) < 1e-6
    i = marks.names.index("E")
    heights = sorted((marks.xyz[i, 2], rival.xyz[i, 2]))
    assert heights == pytest.approx([260.0, 340.0], abs=1.0)
    finding = next(f for f in check(marks) if f.code == "survey.two-answers")
    assert finding.level is Level.MUST
    assert "E" in finding.says


def test_the_reading_it_asks_for_decides():
    marks = solve(survey(40.0))
    decides = marks.rivals[0].decides
    assert decides is not None
    assert "E" in decides.marks
    truth = FIXED | {"E": (450.0, 380.0, 340.0)}
    p = np.array([truth[n] for n in decides.marks])
    if decides.kind == "incline":
        d = p[1] - p[0]
        value, sd = math.atan2(d[2], math.hypot(d[0], d[1])), math.radians(0.2)
    else:
        axis = {"station": 0, "offset": 1, "height": 2}.get(decides.kind)
        value, sd = (math.dist(*p) if axis is None else p[0][axis]), 1.0
    taken = Reading(line=30, kind=decides.kind, marks=decides.marks, value=value, plus_minus=sd)
    decided = solve(survey(40.0, (taken,)))
    assert decided.rivals == ()
    assert decided.at("E")[2] == pytest.approx(340.0, abs=2.0)


def test_a_pair_that_can_flip_together():
    """Both of a pair hang on marks of one plane each; `pair` ties them, and both flip at once."""
    fixed = {
        n: p
        for s, side in ((1.0, "L"), (-1.0, "R"))
        for n, p in {
            f"A{side}": (0.0, s * 500.0, 300.0),
            f"B{side}": (1000.0, s * 500.0, 300.0),
            f"C{side}": (200.0, s * 500.0, 1100.0),
        }.items()
    }
    points = fixed | {"EL": (450.0, 535.0, 650.0), "ER": (450.0, -535.0, 650.0)}
    rows = [("fixed", (n,), None, p) for n, p in fixed.items()]
    rows += [
        (
            "tape",
            (f"E{side}", f"{n}{side}"),
            math.dist(points[f"E{side}"], points[f"{n}{side}"]),
            None,
        )
        for side in "LR"
        for n in "ABC"
    ]
    rows += [("pair", ("EL", "ER"), None, None)]
    readings = tuple(
        Reading(line=k, kind=kind, marks=marks, value=value, at=at, plus_minus=1.0)
        for k, (kind, marks, value, at) in enumerate(rows, 2)
    )
    marks = solve(readings)
    assert any(set(r.moved) == {"EL", "ER"} for r in marks.rivals)
    assert marks.rivals[0].apart == pytest.approx(70.0, abs=2.0)


def test_a_well_tied_mark_has_no_rival():
    side = Reading(line=20, kind="height", marks=("E",), value=340.0, plus_minus=1.0)
    assert solve(survey(40.0, (side,))).rivals == ()


@pytest.mark.parametrize("seed", range(3))
def test_tapes_between_all_marks_leave_no_rival(seed):
    random = np.random.default_rng(seed)
    points = {f"M{i}": random.uniform(0.0, 1500.0, 3) for i in range(7)}
    readings = tuple(
        Reading(
            line=k, kind="tape", marks=(a, b), value=math.dist(points[a], points[b]), plus_minus=1.0
        )
        for k, (a, b) in enumerate(itertools.combinations(points, 2), 2)
    )
    assert solve(readings).rivals == ()


@pytest.mark.parametrize("first", ["A", "E"])
def test_the_reading_asked_for_names_all_its_marks_whatever_their_order(first):
    """A reading of one mark names one, a tape two: also the mark that was written first."""
    told = sorted(survey(40.0), key=lambda r: r.marks[0] != first)
    rows = tuple(r.model_copy(update={"line": k}) for k, r in enumerate(told, 2))
    decides = solve(rows).rivals[0].decides
    count = {"station": 1, "offset": 1, "height": 1, "tape": 2, "incline": 2, "corner": 3}
    assert len(decides.marks) == count[decides.kind]
    assert "E" in decides.marks
