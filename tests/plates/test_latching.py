"""Stop, striker and latch: what is found about them, in numbers."""

import math
from dataclasses import replace

import numpy as np
import pytest
from joints import side

from barwright.findings import Level
from barwright.plates.hinge_box import HingeStack
from barwright.plates.hinged import hung
from barwright.plates.joint import Joint
from barwright.plates.latching import bearing_of, doubt_along
from barwright.plates.make import parts
from barwright.plates.outline import region
from barwright.swing.play import play

STACK = HingeStack(
    bolt=12.0, hole=12.25, spacer_od=18.0, spacer=30.254, bushing=60.0, bushing_od=27.0, gap=60.508
)


def found(made, code):
    return next(f for f in made.findings if f.code == code)


def test_a_leaf_hangs_on_its_bushing():
    """Droop at 600 mm: half the end float, and the pin's tilt: 0.10 in 60 is 1.0 at 600."""
    job, marks, bars, motions = side()
    hinge = hung(
        Joint(
            name="side.hinge",
            entry="",
            written={},
            job=job,
            marks=marks,
            bars=bars,
            motion=motions[0],
        ),
        far=False,
    )
    bearing = bearing_of(STACK, hinge)
    at = motions[0].through + np.array([600.0, 0.0, 0.0])
    assert play(motions[0], bearing, tuple(at)).along == pytest.approx(0.254 + 1.0, abs=1e-3)
    assert bearing_of(None, hinge) is None


def test_all_is_well():
    made = parts(*side())
    assert found(made, "swing.stop").level is Level.GOOD
    assert found(made, "swing.latch").level is Level.GOOD
    assert found(made, "swing.latch").subject == "leaf.side"


def test_the_striker_strays_by_its_arc_alone():
    """R(1 - cos t) at sin t = depth / R: the arc's sagitta over the mouth's depth."""
    made = parts(*side())
    says = found(made, "swing.latch").says
    told = float(says.split("strays ")[1].split(" mm")[0])
    arm = math.hypot(797.0 - 44.0, 525.0 - 460.0)
    assert told == pytest.approx(18.0**2 / (2.0 * (arm + 25.0)), abs=0.04)


def test_a_flange_with_nothing_to_spare_is_a_must():
    """A flange that hardly reaches the carrier lets it slip by the hinge's play."""
    made = parts(*side(written={"striker": {"flange": 0.0}, "hinge": {"end_float": 4.0}}))
    short = found(made, "swing.stop")
    assert short.level is Level.MUST
    assert "more" in short.remedy


def test_a_slot_shorter_than_the_surveys_doubt():
    job, marks, bars, motions = side(written={"striker": {"adjust": 1.0}})
    known = replace(marks, names=("H", "B"))  # the bar's end by its own mark: 0.7 mm, one sd
    it = found(parts(job, known, bars, motions), "swing.latch")
    assert it.level is Level.LOOK
    assert "lengthen the slot" in it.remedy


def test_doubt_along_a_way():
    c = np.diag([1.0, 4.0, 9.0])
    assert doubt_along(c, np.array([0.0, 1.0, 0.0])) == pytest.approx(2.0)


def test_a_leafs_closing_is_told():
    made = parts(*side())
    codes = {f.code for f in made.findings}
    assert {"swing.stop", "swing.latch"} <= codes
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
