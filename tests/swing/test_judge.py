"""Findings about stop, latch, opening and cable: right level, and the remedy in numbers."""

import math
from dataclasses import replace

import pytest

from barwright.findings import Level
from barwright.swing.judge import latch_finding, stop_finding
from barwright.swing.latch import Adjustment, Approach
from barwright.swing.play import Play
from barwright.swing.stop import Stop

PLAY = Play(across=0.2, along=1.5, tilt=0.002)


def a_stop(overlap: float) -> Stop:
    return Stop(
        moving="bar",
        standing="flange",
        beyond=0.01,
        where=(0.0, 0.0, 0.0),
        lever=800.0,
        area=120.0,
        overlap=overlap,
    )


def an_approach(off: float = 0.05, spare: float = 2.0, *, back: bool = False) -> Approach:
    return Approach(
        direction=(0.0, 1.0, 0.0),
        off=off,
        lean=0.0,
        sideways=0.5,
        spare=spare,
        sweep=0.03,
        reversed=back,
    )


def test_stops() -> None:
    assert stop_finding("side", None).level is Level.MUST
    assert stop_finding("side", a_stop(2.5)).level is Level.GOOD
    short = stop_finding("side", a_stop(0.5))
    assert short.level is Level.MUST
    assert short.measured == pytest.approx(0.5)
    assert "0.5 mm more" in short.remedy


def test_latches() -> None:
    slot, short = (Adjustment(range=6.0, needed=n, left=6.0 - n) for n in (4.0, 7.5))
    assert latch_finding("side", an_approach(), PLAY, slot).level is Level.GOOD
    tight = latch_finding("side", an_approach(spare=-0.3), PLAY, slot)
    assert tight.level is Level.MUST
    assert "1.0 mm wider" in tight.remedy  # 0.3 short and 0.2 of play, on either side
    lying = replace(an_approach(spare=1.0), axial=1.0)  # its mouth across the hinge's axis
    assert latch_finding("side", lying, PLAY, slot).measured == pytest.approx(-0.5)
    skew = latch_finding("side", an_approach(off=0.5, back=True), PLAY, short)
    assert skew.level is Level.LOOK
    assert f"{math.degrees(0.5):.1f}°" in skew.remedy
    assert "slot by 3.0 mm" in skew.remedy
    assert "reversed" in skew.says
