"""The objects for programs: the fixed fields, in mm and degrees, strict JSON."""

import json
import math
from types import SimpleNamespace

import numpy as np
import pytest

from barwright.cli import as_json
from barwright.cli.output import dumps
from barwright.findings import Finding, Level
from barwright.fits.chance_result import FirstFit
from barwright.geometry.path import BendTable, Centreline, Straight
from barwright.job.schema import Reading
from barwright.survey.marks import Candidate, Fitted, Marks
from barwright.swing.motion import Swing
from barwright.tubes.bars import BuiltBar, End

FOUND = Finding(
    code="tubes.clr",
    level=Level.MUST,
    subject="bar.upper",
    says="too tight",
    measured=math.inf,
    allowed=133.35,
    unit="mm",
    source="common practice, no source",
    remedy="use the 6 in die",
)


def end(mark, along):
    return End(
        mark=mark,
        origin=(0.0, 0.0, 0.0),
        along=along,
        zero=(0.0, 0.0, 1.0),
        against=("main",),
        cope=np.arange(360.0),
    )


BAR = BuiltBar(
    name="upper",
    stock="main",
    radius=20.0,
    wall=2.0,
    centreline=Centreline(pieces=(Straight(start=(0.0, 0.0, 0.0), end=(100.0, 0.0, 0.0)),)),
    table=BendTable(
        straights=(10.0, 20.0, 30.0),
        bends=(math.radians(22), math.pi / 2),
        turns=(-math.pi,),
        clr=100.0,
    ),
    start=end("A", (1.0, 0.0, 0.0)),
    finish=end("B", (-1.0, 0.0, 0.0)),
    cut_length=123.5,
    mass=0.75,
)


def reading(kind, marks, **more):
    return Reading(line=2, kind=kind, marks=marks, plus_minus=1.0, **more)


def through_json(value):
    return json.loads(dumps(value))


def test_solved():
    marks = Marks(
        names=("A", "B"),
        xyz=np.array([[1.0, 2.0, -0.0], [3.0, math.nan, 5.0]]),
        covariance=np.diag([4.0, 9.0, 16.0, 1.0, np.inf, 1.0]),
        fitted=(
            Fitted(
                reading=reading("incline", ("A", "B"), value=0.1),
                residual=math.radians(0.5),
                suspect=True,
                redundancy=0.25,
            ),
            Fitted(
                reading=reading("height", ("A",), value=3.0),
                residual=-1.5,
                suspect=False,
                redundancy=1.0,
            ),
        ),
        sigma0=1.25,
        freedom=3,
        next_reading=(Candidate(kind="tape", marks=("A", "B"), gain=40.0),),
    )
    out = through_json(as_json.solved(marks, (FOUND,)))
    assert out["marks"] == {
        "A": {"xyz": [1, 2, 0], "sd": [2, 3, 4]},
        "B": {"xyz": [3, None, 5], "sd": [1, None, 1]},
    }
    assert out["readings"][0] == {
        "line": 2,
        "kind": "incline",
        "marks": ["A", "B"],
        "residual": pytest.approx(0.5),
        "suspect": True,
        "redundancy": 0.25,
    }
    assert out["readings"][1]["residual"] == -1.5
    assert (out["sigma0"], out["freedom"]) == (1.25, 3)
    assert out["next_reading"] == [{"kind": "tape", "marks": ["A", "B"], "gain": 40}]


def build(*swings):
    return SimpleNamespace(
        findings=(FOUND,),
        bars=SimpleNamespace(bars=(BAR,)),
        swings=swings,
        first_fit=FirstFit(chance=None, why="Nothing to fit."),
    )


def test_checked_bars_are_in_mm_and_degrees_with_their_copes():
    out = through_json(as_json.checked(build()))
    bar = out["bars"]["upper"]
    assert (bar["cut_length"], bar["straights"], bar["mass"]) == (123.5, [10, 20, 30], 0.75)
    assert bar["bends"] == pytest.approx([22, 90])
    assert bar["turns"] == pytest.approx([-180])
    start = bar["ends"]["from"]
    assert start["mark"] == "A"
    assert start["against"] == ["main"]
    assert start["zero"] == [0, 0, 1]
    assert start["cope"] == [[d, d] for d in range(360)]
    assert bar["ends"]["to"]["mark"] == "B"


def test_checked_findings_have_every_field_and_no_infinity():
    (found,) = through_json(as_json.checked(build()))["findings"]
    assert found == {
        "code": "tubes.clr",
        "level": "must",
        "subject": "bar.upper",
        "says": "too tight",
        "measured": None,
        "allowed": 133.35,
        "unit": "mm",
        "source": "common practice, no source",
        "remedy": "use the 6 in die",
    }


def test_checked_leaves_that_open_freely_or_touch():
    free = Swing(
        leaf="side",
        first_contact=None,
        touches=None,
        where=None,
        least_clearance=12.5,
        at=math.radians(30),
        least_pair=("upper", "post"),
    )
    stuck = Swing(
        leaf="other",
        first_contact=math.radians(58),
        touches=("upper", "post"),
        where=(1.0, 2.0, 3.0),
        least_clearance=0.0,
        at=math.radians(58),
        least_pair=("upper", "post"),
    )
    leaves = through_json(as_json.checked(build(free, stuck)))["leaves"]
    assert leaves["side"] == {
        "first_contact": None,
        "with": None,
        "least_clearance": 12.5,
        "at": pytest.approx(30),
        "nearest": ["upper", "post"],
    }
    assert leaves["other"]["first_contact"] == pytest.approx(58)
    assert leaves["other"]["with"] == "post"


def test_the_chance_of_a_first_fit_is_not_made_up_and_the_cautions_are_there():
    out = through_json(as_json.checked(build()))
    assert out["first_fit"]["chance"] is None
    assert out["first_fit"]["why"]
    assert "engineer" in " ".join(out["cautions"])
