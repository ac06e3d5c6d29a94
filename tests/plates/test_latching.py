"""Stop, striker and latch: what is found about them, in numbers."""

import math
from dataclasses import replace

import numpy as np
import pytest
from joints import side

from barwright.findings import Level
from barwright.plates.hinge_box import HingeStack
from barwright.plates.latching import Closing, doubt_along, droop, findings
from barwright.plates.make import parts
from barwright.plates.outline import region

STACK = HingeStack(
    bolt=12.0, hole=12.25, spacer_od=18.0, spacer=30.254, bushing=60.0, bushing_od=27.0, gap=60.508
)
GOOD = Closing(
    subject="side.latch.plate",
    leaf="side",
    arm=850.0,
    front=18.0,
    bolt=10.0,
    adjust=8.0,
    bears=22.0,
    thickness=3.0,
    stop_gap=0.5,
    beyond=5.0,
    above=8.0,
    doubt=0.6,
    stack=STACK,
)


def found(code, **how):
    return next(f for f in findings(replace(GOOD, **how)) if f.code == code)


def test_all_is_well():
    assert {f.level for f in findings(GOOD)} == {Level.GOOD}


def test_droop_is_the_end_float_and_the_pins_tilt_at_the_end():
    assert droop(STACK, 0.0) == pytest.approx(0.508)
    assert droop(STACK, 600.0) == pytest.approx(0.508 + 1.0)


def test_a_flange_that_could_slip_past_must_be_longer():
    f = found("plates.stop-overlap", beyond=1.0)
    assert f.level is Level.MUST
    assert f.remedy == "Make the striker's flange 1.9 mm longer."


def test_a_flange_whose_bend_comes_down_to_the_carrier_needs_a_larger_gap():
    f = found("plates.stop-overlap", above=0.5)
    assert f.level is Level.MUST
    assert f.remedy.startswith("Make latch_gap 2.4 mm larger")


def test_a_stop_that_hardly_bears():
    f = found("plates.stop", bears=2.0)
    assert f.level is Level.MUST
    assert f.remedy == "Give the striker 4.0 mm more reach."


def test_a_short_leaf_brings_its_striker_in_askew():
    """The arc of radius R stands d deep at asin(d/R) off the mouth's line."""
    f = found("plates.latch-approach", arm=100.0)
    assert f.level is Level.LOOK
    assert f.measured == pytest.approx(math.degrees(math.asin(0.18)))


def test_a_slot_shorter_than_the_surveys_doubt():
    f = found("plates.striker-adjust", doubt=3.0)
    assert f.level is Level.LOOK
    assert f.allowed == pytest.approx(6.0)


def test_doubt_along_a_way():
    c = np.diag([1.0, 4.0, 9.0])
    assert doubt_along(c, np.array([0.0, 1.0, 0.0])) == pytest.approx(2.0)


def test_a_leafs_closing_is_told():
    made = parts(*side())
    codes = {f.code for f in made.findings}
    wanted = {
        "plates.stop",
        "plates.stop-overlap",
        "plates.latch-approach",
        "plates.striker-adjust",
    }
    assert wanted <= codes
    assert ("side.latch.plate", "hoop") in made.joins
    assert ("side.hinge.cheek-upper", "pillar") in made.joins


def test_a_latch_mounted_the_other_way_round():
    rows = {"holes": [[12, -14], [12, 6]]}
    way = [parts(*side(written={"latch": {**rows, "reversed": r}})) for r in (False, True)]
    plates = [next(p for p in m.parts if p.name == "side.latch.plate") for m in way]
    x = [np.mean([v[0] for v in p.holes[0].vertices]) for p in plates]
    assert x[0] - x[1] == pytest.approx(24.0)
    assert all(region(p.outline).is_valid for p in plates)


def test_a_bar_that_ends_too_near_the_tube_has_no_latch():
    made = parts(*side(latch=(30.0, 0.0)))
    f = [x for x in made.findings if x.code == "plates.latch-room"]
    assert len(f) == 2
    assert "Trim upper by" in f[0].remedy
    assert not [p for p in made.parts if "latch" in p.name or "striker" in p.name]
