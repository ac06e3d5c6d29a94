"""Findings about swings, and remedies that are tried before they are said."""

import math
import re
from dataclasses import replace

import pytest

from barwright.findings import Level
from barwright.geometry.solids import Block, Body, Rod
from barwright.swing.check import Around, check
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion
from barwright.swing.passing import passing

TURN = Motion(leaf="side", bars=(), through=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), opens=1.5)
BAR = Body(name="bar", solids=(Rod(start=(30, 0, 0), end=(600, 0, 0), radius=20.0),))


def wall(gap: float) -> Body:
    """A jamb beyond the bar's end, and off it by `gap` from the farthest the end's rim sweeps."""
    near = math.hypot(600.0, 20.0) + gap
    return Body(
        name="jamb",
        solids=(
            Block(
                corners=tuple(
                    (x, y, z)
                    for x in (near, near + 20.0)
                    for y in (-400.0, 400.0)
                    for z in (-40.0, 40.0)
                )
            ),
        ),
    )


def found(*standing: Body, wanted: float = 1.5):
    around = Around(movers=(BAR,), standing=standing)
    met = passing(TURN, around, wanted=wanted)
    (finding,) = check((met,), (TURN,), {"side": around}, wanted=wanted)
    return finding


def test_a_free_leaf_is_good_with_its_figures() -> None:
    finding = found(wall(8.0))
    assert finding.level is Level.GOOD
    assert finding.measured == pytest.approx(8.0, abs=0.01)


def test_a_contact_says_where_and_how_far_to_trim() -> None:
    finding = found(wall(-0.1))
    assert finding.level is Level.MUST
    assert finding.unit == "deg"
    assert finding.source
    trim = float(re.search(r"trim jamb there by ([\d.]+) mm", finding.remedy)[1])
    assert trim == pytest.approx(1.6, abs=0.15)
    axis = float(re.search(r"move the axis and the leaf ([\d.]+) mm", finding.remedy)[1])
    assert axis == pytest.approx(1.6, abs=0.15)


def test_a_tight_place_is_to_be_looked_at() -> None:
    finding = found(wall(0.6))
    assert finding.level is Level.LOOK
    assert (finding.measured, finding.allowed) == (pytest.approx(0.6, abs=0.01), 1.5)
    assert "trim jamb there by 1.0 mm" in finding.remedy or "0.9 mm" in finding.remedy


def test_lying_near_its_stop_when_closed_is_no_tight_place() -> None:
    stop = Body(
        name="stop",
        solids=(
            Block(
                corners=tuple(
                    (x, y, z) for x in (300.0, 306.0) for y in (-60.0, -20.3) for z in (-40.0, 40.0)
                )
            ),
        ),
    )
    finding = found(stop, wall(8.0))
    assert finding.level is Level.GOOD
    assert "0.30 mm from stop" in finding.says
    assert finding.measured == pytest.approx(8.0, abs=0.01)


def test_without_the_bodies_there_is_no_remedy() -> None:
    met = swing(TURN, (BAR,), (wall(0.6),))
    (finding,) = check((met,), (TURN,))
    assert finding.remedy == ""
    (free,) = check((replace(met, least_pair=None, least_clearance=math.inf),), (TURN,))
    assert free.measured is None
