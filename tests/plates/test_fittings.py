"""Corner and box gussets, tabs, feet; and a fitting of somebody else's."""

import math
from importlib.metadata import EntryPoint

import numpy as np
import pytest
from joints import bar, side

from barwright.geometry.distance import apart
from barwright.job.errors import BadInput
from barwright.job.schema import Job
from barwright.plates import make
from barwright.plates.folded import folded
from barwright.plates.joint import line_body
from barwright.plates.outline import region
from barwright.plates.slots import overlap
from barwright.plates.solids import body_of
from barwright.tubes.bars import Bars


def made(table, name="mine", unit="mm"):
    _, marks, bars, _ = side()
    rail = bar("rail", [877, 511, 1000], [200, 511, 1050], 19.05)
    brace = bar("brace", [500, 511, 1025], [430, 500, 400], 15.0)
    bars = Bars(bars=(*bars.bars, rail, brace))
    job = Job.model_validate(
        {"job": {"unit": unit}, "sheet": {"s": {"thickness": "3 mm"}}, "fitting": {name: table}},
        context={"unit": unit},
    )
    return make.parts(job, marks, bars, ()), bars


@pytest.mark.parametrize("kind", ["corner-gusset", "box-gusset"])
@pytest.mark.parametrize("pair", [("rail", "brace"), ("brace", "rail"), ("pillar", "rail")])
def test_a_gusset_touches_both_tubes_and_stands_in_neither(kind, pair):
    parts, bars = made({"fitting": kind, "bars": list(pair)})
    for part in parts.parts:
        assert region(part.outline).is_valid
        for name in pair:
            tube, body = line_body(bars.named(name)), body_of(part)
            assert apart(tube, body).low < 0.05
    if kind == "box-gusset":
        one, two, face = parts.parts
        for s in (one, two):
            panel = folded(s).panels[0]
            assert overlap(face, s, panel.pose, panel.shape) < 0.01


def test_toward_marks_choose_the_side_of_a_through_tube():
    wide, _ = made({"fitting": "corner-gusset", "bars": ["rail", "brace"], "toward": ["H", "L"]})
    narrow, _ = made({"fitting": "corner-gusset", "bars": ["rail", "brace"], "toward": ["L", "L"]})
    x = [p.parts[0].placed.directions((1.0, 0.0, 0.0))[0] for p in (wide, narrow)]
    assert x[0] > 0.9
    assert x[1] < -0.9


def test_tubes_that_do_not_meet_cannot_be_gusseted():
    with pytest.raises(BadInput, match="mm apart"):
        made({"fitting": "corner-gusset", "bars": ["hoop", "brace"]})


def test_a_tab_stands_on_its_tube_and_its_hole_at_its_reach():
    parts, bars = made(
        {
            "fitting": "tube-tab",
            "bar": "pillar",
            "at": "H",
            "hole": 8.5,
            "toward": "left",
            "reach": 20,
        }
    )
    (tab,) = parts.parts
    assert apart(line_body(bars.named("pillar")), body_of(tab)).low < 0.05
    (x, y, _), (x1, _, _) = tab.holes[0].vertices
    centre = tab.placed.points(((x + x1) / 2.0, y, tab.thickness / 2.0))
    line = bars.named("pillar").centreline.pieces[0]
    a, b = np.array(line.start), np.array(line.end)
    d = (b - a) / np.linalg.norm(b - a)
    off = centre - a - ((centre - a) @ d) * d
    assert np.linalg.norm(off) == pytest.approx(22.225 + 20.0)
    assert off[1] > 40.0


def test_a_pair_of_tabs_leaves_its_gap():
    parts, _ = made(
        {
            "fitting": "tube-tab",
            "bar": "pillar",
            "at": "H",
            "hole": 8.5,
            "pair": 12,
            "toward": "back",
        }
    )
    one, two = (body_of(p) for p in parts.parts)
    assert apart(one, two).low == pytest.approx(12.0, abs=1e-3)


@pytest.mark.parametrize(("face", "lean"), [(None, 0.0), ("square", math.radians(6.4))])
def test_a_foot_lies_level_or_square_to_its_tube(face, lean):
    table = {"fitting": "foot-plate", "bar": "brace", "end": "to"}
    parts, bars = made(table if face is None else {**table, "face": face})
    (foot,) = parts.parts
    z = foot.placed.directions((0.0, 0.0, 1.0))
    assert math.acos(abs(z[2])) == pytest.approx(lean, abs=0.01)
    assert len(foot.holes) == 5
    top = foot.placed.points((0.0, 0.0, foot.thickness))
    assert np.allclose(top, bars.named("brace").finish.origin)


@pytest.mark.parametrize(
    ("table", "entry"),
    [
        ({"fitting": "corner-gusset"}, "fitting.mine.bars"),
        ({"fitting": "corner-gusset", "bars": ["rail", "brase"]}, "fitting.mine.bars"),
        ({"fitting": "corner-gusset", "bars": ["rail"]}, "fitting.mine.at"),
        ({"fitting": "corner-gusset", "bars": ["rail", "brace"], "leg": 5}, "fitting.mine.leg"),
        ({"fitting": "box-gusset", "bars": ["rail", "brace"], "width": 8}, "fitting.mine.width"),
        ({"fitting": "tube-tab", "bar": "rail", "at": "Q", "hole": 8}, "fitting.mine.at"),
        (
            {"fitting": "tube-tab", "bar": "rail", "at": "H", "hole": 8, "toward": "back"},
            "fitting.mine.toward",
        ),
        ({"fitting": "foot-plate", "bar": "rail", "width": 10}, "fitting.mine.width"),
        ({"fitting": "boxed-hinge"}, "fitting.mine.fitting"),
    ],
)
def test_a_wrong_parameter_is_told_with_its_entry(table, entry):
    with pytest.raises(BadInput) as caught:
        made(table)
    assert [f.entry for f in caught.value.faults] == [entry]


def test_somebody_elses_fitting_is_found_by_entry_point(monkeypatch):
    point = EntryPoint(name="my-lug", value="own_fitting:lug", group=make.GROUP)
    monkeypatch.setattr(make, "_others", lambda: (point,))
    parts, _ = made({"fitting": "my-lug", "size": "2 in"})
    (lug,) = parts.parts
    assert region(lug.outline).area == pytest.approx(50.8**2)


def test_somebody_elses_fitting_reads_its_own_parameters(monkeypatch):
    point = EntryPoint(name="my-lug", value="own_fitting:lug", group=make.GROUP)
    monkeypatch.setattr(make, "_others", lambda: (point,))
    with pytest.raises(BadInput, match=r"fitting\.mine\.sise"):
        made({"fitting": "my-lug", "sise": "2 in"})
