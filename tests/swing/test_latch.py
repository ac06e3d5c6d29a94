"""The striker's arc against the latch's straight mouth, stepped by hand."""

import math

import numpy as np
import pytest

from barwright.geometry.vectors import unit
from barwright.swing.latch import Mouth, adjustment, approach
from barwright.swing.motion import Motion

SEAT = (900.0, 100.0, 20.0)
MOTION = Motion(leaf="l", bars=(), through=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), opens=1.5)


def mouth(inward: tuple[float, float, float], depth: float = 25.0) -> Mouth:
    return Mouth(
        seat=SEAT,
        inward=tuple(unit(inward)),
        bar=(0.0, 0.0, 1.0),
        depth=depth,
        width=14.0,
        striker=10.0,
    )


@pytest.mark.parametrize("opens", [1.5, -1.5])
@pytest.mark.parametrize("turn", [0.0, 0.2, -0.35])
def test_the_stray_at_the_mouths_edge_is_what_the_arc_does(opens: float, turn: float) -> None:
    motion = Motion(**{**vars(MOTION), "opens": opens})
    sense = -math.copysign(1.0, opens)
    heading = sense * np.cross([0.0, 0.0, 1.0], SEAT)
    c, s = math.cos(turn), math.sin(turn)
    inward = (c * heading[0] - s * heading[1], s * heading[0] + c * heading[1], 0.0)
    found = approach(motion, mouth(inward), (0.0, 0.0, 1.0))
    assert found.off == pytest.approx(abs(turn))
    assert not found.reversed
    edge = motion.pose(math.copysign(found.sweep, opens)).points(SEAT)
    short = np.subtract(SEAT, edge)
    assert short @ unit(inward) == pytest.approx(25.0)
    across = np.cross([0.0, 0.0, 1.0], unit(inward))
    assert found.sideways == pytest.approx(abs(short @ across))
    assert found.spare == pytest.approx(2.0 - found.sideways)


def test_square_to_the_arm_the_stray_is_the_arcs_height() -> None:
    """d² / 2r for a short way d, the sagitta."""
    heading = -np.cross([0.0, 0.0, 1.0], SEAT)
    found = approach(MOTION, mouth(tuple(heading), 30.0), (0.0, 0.0, 1.0))
    assert found.sideways == pytest.approx(30.0**2 / (2 * math.hypot(900.0, 100.0)), rel=1e-3)


def test_a_latch_turned_round_is_noticed() -> None:
    heading = np.cross([0.0, 0.0, 1.0], SEAT)
    found = approach(MOTION, mouth(tuple(heading)), (0.0, 0.3, -1.0))
    assert found.reversed
    assert found.off == pytest.approx(0.0, abs=1e-9)
    assert found.lean == pytest.approx(math.atan(0.3))


def test_a_seat_on_the_axis_is_refused() -> None:
    wrong = Mouth(**{**vars(mouth((0.0, 1.0, 0.0))), "seat": (0.0, 0.0, 5.0)})
    with pytest.raises(ValueError, match="axis"):
        approach(MOTION, wrong, (0.0, 0.0, 1.0))


def test_a_slot_takes_up_what_may_be_off_or_not() -> None:
    assert adjustment(22.0, 10.0, (2.0, -3.0)).left == pytest.approx(1.0)
    assert adjustment(14.0, 10.0, (2.0, 3.0)).left == pytest.approx(-3.0)
    with pytest.raises(ValueError, match="bolt"):
        adjustment(8.0, 10.0, ())
