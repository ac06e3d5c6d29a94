"""What a plate shop would send back; every bound is common practice, no source (SM9)."""

import math
from dataclasses import replace

import pytest
from shapely.geometry import box

from barwright.findings import Level
from barwright.geometry.pose import UNMOVED
from barwright.plates.blank import Plate, blank, bored, flange, part_of
from barwright.plates.checks import Limits, check_one
from barwright.plates.outline import circle
from barwright.plates.part import Fold, Loop, Part


def bracket(*, reach=20.0, radius=3.0, holes=(), t=3.0):
    b = blank(Plate(thickness=t, radius=radius), box(0, 0, 50, 30), UNMOVED)
    b = flange(b, (50, 0), (50, 30), reach=reach, angle=math.pi / 2.0)
    return part_of(bored(b, *holes), "bracket", keep=(5, 5))


def codes(part, **limits):
    return {f.code for f in check_one(part, Limits(**limits))}


def test_a_good_bracket_has_nothing_against_it():
    assert codes(bracket(holes=(circle((20, 15), 4.0, hole=True),))) == set()


def test_a_flange_shorter_than_four_thicknesses_outside():
    (found,) = check_one(bracket(reach=5.0))
    assert found.code == "plates.flange"
    assert found.measured == pytest.approx(5.0 + 3.0 + 3.0)
    assert found.allowed == pytest.approx(12.0)
    assert found.remedy == "Make the flange 1.0 mm longer."
    assert found.source == "common practice, no source"
    assert codes(bracket(reach=5.0), flange=3.0) == set()


def test_a_hole_nearer_to_the_bend_than_two_thicknesses():
    part = bracket(holes=(circle((42, 15), 4.0, hole=True),))
    (found,) = check_one(part)
    assert found.code == "plates.hole-to-bend"
    assert found.measured == pytest.approx(50 - 42 - 4)
    assert "2.0 mm away" in found.remedy
    assert codes(part, hole_to_bend=1.0) == set()


def test_a_hole_near_an_edge_a_hole_too_small_a_radius_too_tight():
    assert codes(bracket(holes=(circle((5, 15), 4.0, hole=True),))) == {"plates.hole-to-edge"}
    assert codes(bracket(holes=(circle((20, 15), 1.0, hole=True),))) == {"plates.hole-size"}
    assert codes(bracket(radius=1.0)) == {"plates.bend-radius"}


def test_a_hole_through_the_edge_must_be_moved():
    found = check_one(bracket(holes=(circle((2, 15), 4.0, hole=True),)))
    assert [f.level for f in found if f.code == "plates.hole-to-edge"] == [Level.MUST]


def test_an_outline_that_crosses_itself():
    bow = Loop(vertices=((0, 0, 0), (10, 10, 0), (10, 0, 0), (0, 10, 0)))
    part = Part(name="bow", thickness=2.0, material="", outline=bow)
    (found,) = check_one(part)
    assert (found.code, found.level) == ("plates.outline", Level.MUST)


def test_a_bend_that_does_not_run_across():
    part = bracket()
    half = Fold(start=(25, 0), end=(25, 15), angle=1.0, radius=3.0)
    assert "plates.fold-across" in codes(replace(part, folds=(half,)))
