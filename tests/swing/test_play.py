"""Play at the pin: closed forms against a search over all ways the pin can stand."""

import math

import numpy as np
import pytest

from barwright.swing.motion import Motion
from barwright.swing.play import Bearing, carried, play

MOTION = Motion(leaf="l", bars=(), through=(10.0, 20.0, 30.0), along=(0.0, 0.0, 1.0), opens=1.5)


@pytest.mark.parametrize("height", [0.0, 12.0, -60.0])
@pytest.mark.parametrize("end_float", [0.0, 0.5])
def test_no_way_of_standing_strays_farther(height: float, end_float: float) -> None:
    """The pin's ends anywhere within the clearance circles, the leaf anywhere in its float."""
    bearing = Bearing(clearance=0.2, length=50.0, end_float=end_float)
    tip = np.array([700.0, 0.0, height])
    rng = np.random.default_rng(1)
    r = 0.1 * np.sqrt(rng.random((200_000, 2)))
    w = 2 * math.pi * rng.random((200_000, 2))
    r[:50_000] = 0.1
    w[:25_000, 1] = w[:25_000, 0] + math.pi
    ends = np.stack([r * np.cos(w), r * np.sin(w)], axis=2)
    shift, lean = ends.mean(axis=1), (ends[:, 0] - ends[:, 1]) / 50.0
    moved = np.empty((len(r), 3))
    moved[:, :2] = shift + height * lean
    slid = end_float * (rng.integers(0, 2, len(r)) - 0.5)
    moved[:, 2] = -lean[:, 0] * tip[0] + slid
    at = tuple(tip + MOTION.through)
    known = play(MOTION, bearing, at)
    assert np.hypot(moved[:, 0], moved[:, 1]).max() == pytest.approx(known.across, rel=0.01)
    assert np.abs(moved[:, 2]).max() == pytest.approx(known.along, rel=0.01)
    strays = np.linalg.norm(moved, axis=1).max()
    assert strays <= carried(MOTION, bearing, at) + 1e-12
    assert strays == pytest.approx(carried(MOTION, bearing, at), rel=0.01)


def test_a_bearing_without_length_is_refused() -> None:
    with pytest.raises(ValueError, match="length"):
        play(MOTION, Bearing(clearance=0.1, length=0.0), (0.0, 0.0, 0.0))
