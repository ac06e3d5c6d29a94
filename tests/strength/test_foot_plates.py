"""The feet of a frame on a body shell: what the fitting made, held to the rule's sizes."""

import pytest

from barwright.findings import Level
from barwright.job.schema import Job, Reading
from barwright.route import build

PLACES = {"A": (0, 0, 0), "B": (0, 0, 800)}


def feet(foot, strength):
    said = {
        "stock": {"main": {"od": 45, "wall": 2.5}},
        "bar": {"post": {"stock": "main", "path": ["A", "B"]}},
        "sheet": {"s": {"thickness": 3}},
        "fitting": {"foot": {"fitting": "foot-plate", "bar": "post", **foot}},
        "strength": strength,
    }
    job = Job.model_validate(said, context={"unit": "mm"})
    readings = tuple(
        Reading(line=i, kind="fixed", marks=(name,), at=at, plus_minus=0.1)
        for i, (name, at) in enumerate(PLACES.items(), 2)
    )
    found = build(job.model_copy(update={"readings": readings})).strength.findings
    return {f.code: f for f in found}


def test_a_foot_of_four_bolts_on_a_large_plate_is_right():
    told = feet({}, {"feet": {"reinforcement": [120, 100, 3], "bolt": 8}})
    assert told["strength.foot-bolts"].measured == 4.0
    assert told["strength.foot-area"].measured == 12000.0
    assert {f.level for c, f in told.items() if c.startswith("strength.foot")} == {Level.GOOD}
    assert "strength.caution" in told


@pytest.mark.parametrize(
    ("foot", "under", "short"),
    [
        ({"bolts": 2}, {"reinforcement": [120, 100, 3], "bolt": 8}, "bolts"),
        ({}, {"reinforcement": [120, 90, 3], "bolt": 8}, "area"),
        ({}, {"reinforcement": [120, 100, 2.5], "bolt": 8}, "reinforcement"),
        ({"hole": 7}, {"reinforcement": [120, 100, 3], "bolt": 6}, "bolt"),
    ],
)
def test_what_falls_short_is_named(foot, under, short):
    told = feet(foot, {"feet": under})
    musts = [c for c, f in told.items() if c.startswith("strength.foot") and f.level is Level.MUST]
    assert musts == [f"strength.foot-{short}"]
    assert told[f"strength.foot-{short}"].remedy


def test_without_a_shell_feet_are_not_judged():
    assert not [code for code in feet({}, {}) if code.startswith("strength.foot")]
