"""What lies against the leaf when closed is told apart from what it passes under way."""

import math
from dataclasses import replace

import pytest

from barwright.geometry.solids import Block, Body, Rod
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion
from barwright.swing.passing import PAST_REST, Around, passing, passings

TURN = Motion(leaf="side", bars=(), through=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), opens=1.5)
BAR = Body(name="bar", solids=(Rod(start=(30, 0, 0), end=(600, 0, 0), radius=20.0),))


def box(name: str, x: tuple[float, float], y: tuple[float, float]) -> Body:
    corners = tuple((a, b, c) for a in x for b in y for c in (-40.0, 40.0))
    return Body(name=name, solids=(Block(corners=corners),))


STOP = box("stop", (300.0, 306.0), (-60.0, -20.3))
JAMB = box("jamb", (math.hypot(600.0, 20.0) + 8.0, 640.0), (-400.0, 400.0))
TWO = frozenset({("bar", "stop")})


@pytest.mark.parametrize("rests", [frozenset(), TWO])
def test_a_stop_lies_against_the_leaf_and_is_not_passed(rests) -> None:
    met = passing(TURN, Around(movers=(BAR,), standing=(STOP, JAMB), rests=rests))
    assert met.lying == (("bar", "stop", pytest.approx(0.3, abs=0.01)),)
    assert (met.least_pair, met.at) == (("bar", "stop"), pytest.approx(0.0, abs=1e-6))
    assert met.under_way.least_pair == ("bar", "jamb")
    assert met.under_way.least_clearance == pytest.approx(8.0, abs=0.01)


def test_the_whole_swing_is_what_swing_itself_has() -> None:
    around = Around(movers=(BAR,), standing=(STOP, JAMB), rests=TWO)
    met, plain = passing(TURN, around), swing(TURN, around.movers, around.standing)
    assert (met.least_clearance, met.least_pair) == (plain.least_clearance, plain.least_pair)


def test_what_rests_but_is_struck_on_the_way_still_counts() -> None:
    """A hook on the open side of the bar, 5 degrees on: meant to rest, yet in the way."""
    at = 400.0 * math.tan(math.radians(5.0)) + 20.0
    hook = box("stop", (399.0, 401.0), (at, at + 4.0))
    met = passing(TURN, Around(movers=(BAR,), standing=(hook, JAMB), rests=TWO))
    assert met.first_contact == pytest.approx(math.radians(5.0), rel=0.02)
    assert met.under_way.first_contact == met.first_contact


def test_what_rests_is_to_have_been_left_a_little_open() -> None:
    """A rail bent along the bar's own way: 0.5 mm off when closed, and ever after."""
    post = Body(name="stop", solids=(Rod(start=(0, 0, -90), end=(0, 0, 90), radius=29.5),))
    met = passing(TURN, Around(movers=(BAR,), standing=(post,), rests=TWO))
    assert met.under_way.least_clearance == pytest.approx(0.5, abs=0.01)
    assert met.under_way.at >= PAST_REST - 1e-9


def test_pairs_that_may_touch_are_left_out_even_if_they_rest() -> None:
    met = passing(TURN, Around(movers=(BAR,), standing=(STOP,), allowed=TWO, rests=TWO))
    assert met.least_pair is None
    assert met.under_way.least_clearance == math.inf


def test_leaves_looked_into_side_by_side_are_as_each_by_itself() -> None:
    """One free, one that opens the other way into the jamb, one with nothing round it."""
    back = replace(TURN, leaf="back", opens=-1.2)
    ahead = box("ahead", (300.0, 306.0), (-400.0, -300.0))
    around = {
        "side": Around(movers=(BAR,), standing=(STOP, JAMB), rests=TWO),
        "back": Around(movers=(BAR,), standing=(ahead,)),
        "alone": Around(movers=(BAR,), standing=()),
    }
    leaves = (TURN, back, replace(TURN, leaf="alone"))
    free, struck, alone = passings(leaves, around)
    assert free == passing(TURN, around["side"])
    assert struck == passing(back, around["back"])
    assert struck.touches == ("bar", "ahead")
    assert alone.least_clearance == math.inf


def test_a_job_without_leaves_has_no_swings() -> None:
    assert passings((), {}) == ()


def test_a_leaf_that_hardly_opens_is_never_swung_backwards() -> None:
    """Opened by 3 degrees, less than what a rest is left by: 8 mm to the jamb all the way."""
    little = replace(TURN, opens=math.radians(3.0))
    met = passing(little, Around(movers=(BAR,), standing=(STOP, JAMB), rests=TWO))
    assert met.first_contact is None
    assert 0.0 <= met.under_way.at <= math.radians(3.0)
    assert met.under_way.least_clearance == pytest.approx(8.0, abs=0.01)
