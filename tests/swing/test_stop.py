"""The stop: a flange behind a bar, in closed form."""

import math

import pytest

from barwright.geometry.solids import Block, Body, Rod
from barwright.swing.motion import Motion
from barwright.swing.play import Play
from barwright.swing.stop import stop

TURN = Motion(leaf="l", bars=(), through=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), opens=1.7)
BAR = Body(name="bar", solids=(Rod(start=(30, 0, 0), end=(900, 0, 0), radius=20.0),))


def flange(gap: float, low: float = -10.0, high: float = 50.0, far: float = 860.0) -> Body:
    """A plate behind the bar, `gap` off its side, over the bar from height low to high."""
    corners = [
        (x, y, z)
        for x in (far, far + 4.0)
        for y in (-20.0 - gap - 30.0, -20.0 - gap)
        for z in (low, high)
    ]
    return Body(name="flange", solids=(Block(corners=tuple(corners)),))


def test_the_bar_comes_to_rest_on_the_flange() -> None:
    found = stop(TURN, (BAR,), (flange(0.5),))
    assert found is not None
    assert (found.moving, found.standing) == ("bar", "flange")
    # The bar's far side meets the flange's far edge first: 20 off the line from the axis.
    corner = math.hypot(864.0, 20.5)
    beyond = math.asin(20.5 / corner) - math.asin(20.0 / corner)
    assert found.beyond == pytest.approx(beyond, abs=1e-6)
    assert found.lever == pytest.approx(corner, abs=0.5)
    assert found.area == pytest.approx(4.0 * 30.0, rel=0.02)
    assert found.overlap == pytest.approx(4.0, rel=0.02)


def test_a_thin_overlap_is_seen_as_thin() -> None:
    found = stop(TURN, (BAR,), (flange(0.5, low=18.5),))
    assert found is not None
    assert found.overlap < 2.0


def test_nothing_stops_it() -> None:
    assert stop(TURN, (BAR,), (flange(0.5, low=25.0),)) is None


def test_play_along_the_axis_is_taken_up_the_worse_way() -> None:
    """The flange covers the lowest 4 mm of a square bar; with the bar lifted by 3 it covers 1."""
    wide = flange(0.5, low=-50.0, high=-16.0)
    corners = [(x, y, z) for x in (30.0, 900.0) for y in (-20.0, 20.0) for z in (-20.0, 20.0)]
    square = Body(name="bar", solids=(Block(corners=tuple(corners)),))
    sure = stop(TURN, (square,), (wide,))
    loose = stop(TURN, (square,), (wide,), play=Play(across=0.0, along=3.0, tilt=0.0))
    assert sure is not None
    assert loose is not None
    assert sure.overlap == pytest.approx(4.0, abs=0.1)
    assert loose.overlap == pytest.approx(1.0, abs=0.1)
    assert loose.area == pytest.approx(sure.area)


def test_a_flange_that_reaches_past_on_both_sides_loses_nothing() -> None:
    loose = stop(
        TURN,
        (BAR,),
        (flange(0.5, low=-40.0, high=40.0),),
        play=Play(across=0.0, along=3.0, tilt=0.0),
    )
    assert loose is not None
    assert loose.overlap == pytest.approx(4.0, rel=0.02)


def test_nothing_there_or_all_of_it_allowed_stops_nothing() -> None:
    assert stop(TURN, (), (flange(0.5),)) is None
    assert stop(TURN, (BAR,), ()) is None
    assert stop(TURN, (BAR,), (flange(0.5),), allowed=frozenset({("bar", "flange")})) is None
