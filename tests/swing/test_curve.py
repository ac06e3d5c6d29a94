"""Clearance against angle: closed form."""

import math

import numpy as np
import pytest

from barwright.geometry.solids import Body, Rod
from barwright.swing.clearance import swing
from barwright.swing.curve import curve
from barwright.swing.motion import Motion

TURN = Motion(leaf="l", bars=(), through=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), opens=-1.5)
POST = Body(name="p", solids=(Rod(start=(400, 0, -99), end=(400, 0, 99), radius=10.0),))
OTHER = Body(name="q", solids=(Rod(start=(0, -450, -99), end=(0, -450, 99), radius=12.0),))


def test_two_posts_come_together_by_the_law_of_cosines() -> None:
    found = curve(TURN, (POST,), (OTHER,), steps=12)
    open_ = 0.5 * math.pi - found.angles
    exact = np.sqrt(400.0**2 + 450.0**2 - 2 * 400.0 * 450.0 * np.cos(open_)) - 22.0
    assert found.gaps == pytest.approx(exact, abs=0.02)
    assert found.gaps.min() == pytest.approx(
        swing(TURN, (POST,), (OTHER,)).least_clearance, abs=0.03
    )


def test_nothing_standing_is_far_away() -> None:
    found = curve(TURN, (POST,), (), steps=3)
    assert np.isinf(found.gaps).all()
    assert found.pairs == (None,) * 4
