"""Doors on hinges: swept radii from plane geometry, in closed form (Pythagoras).

SW1: a door 600 x 30 hinged at mid-thickness at one end reaches sqrt(600² + 15²) = 600.1875, so a
jamb square to the closed door needs 0.1875 mm. SW2: hinge pin a distance h outboard of a leaf of
thickness t and length L: the inner edge's corner sweeps sqrt(L² + (t + h)²).
"""

import math

import pytest

from barwright.geometry.solids import Block, Body
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion


def box(x: tuple[float, float], y: tuple[float, float]) -> Block:
    return Block(corners=tuple((a, b, c) for a in x for b in y for c in (0.0, 50.0)))


def door_and_jamb(door: Block, gap: float) -> tuple[float | None, float]:
    motion = Motion(leaf="door", bars=(), through=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), opens=1.5)
    jamb = box((600.0 + gap, 640.0), (-30.0, 60.0))
    found = swing(
        motion,
        (Body(name="door", solids=(door,)),),
        (Body(name="jamb", solids=(jamb,)),),
    )
    return found.first_contact, found.least_clearance


def test_sw1_hinge_at_mid_thickness() -> None:
    door = box((0.0, 600.0), (-15.0, 15.0))
    needed = math.hypot(600.0, 15.0) - 600.0
    assert needed == pytest.approx(0.1875, abs=5e-5)
    contact, clearance = door_and_jamb(door, needed + 0.05)
    assert contact is None
    assert clearance == pytest.approx(0.05, abs=0.005)
    contact, _ = door_and_jamb(door, 0.1)
    # The corner (600, -15) turns about the pin; it meets x = 600.1 on its way to the widest place.
    meets = math.atan2(15.0, 600.0) - math.acos(600.1 / math.hypot(600.0, 15.0))
    assert contact == pytest.approx(meets, abs=math.radians(1e-5))


@pytest.mark.parametrize("h", [0.0, 20.0, 45.0])
def test_sw2_hinge_outboard(h: float) -> None:
    t, length = 30.0, 600.0
    # The pin lies h outboard of the outer face, and the leaf opens outward (y grows).
    door = box((0.0, length), (-h - t, -h))
    needed = math.hypot(length, t + h) - length
    contact, clearance = door_and_jamb(door, needed + 0.5)
    assert contact is None
    assert clearance == pytest.approx(0.5, abs=0.005)
    assert door_and_jamb(door, needed - 0.5)[0] is not None
