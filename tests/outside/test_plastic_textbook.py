"""Plastic collapse loads of beams and a portal: Baker and Heyman, Plastic Design of Frames; Neal,
The Plastic Methods of Structural Analysis. All remembered, and each is two lines of virtual work.
"""

import math

import numpy as np
import pytest

from barwright.strength.frame import Loads, frame
from barwright.strength.plastic import Capacity, pushover
from barwright.strength.tube_limit import gauge

MP = 1.0e6
L = 1000.0


def _capacity(m: int) -> Capacity:
    far = np.full(m, 1e30)
    return Capacity(pull=far, bend=np.full(m, MP), twist=far)


def _beam(start: tuple[int, ...], end: tuple[int, ...]):
    held = np.zeros((3, 6), dtype=bool)
    held[0, list(start)] = True
    held[2, list(end)] = True
    nodes = np.array([[0.0, 0, 0], [L / 2, 0, 0], [L, 0, 0]])
    made = frame(nodes, np.array([[0, 1], [1, 2]]), EA=6e7, EIy=9e9, EIz=9e9, GJ=7e9, held=held)
    push = np.zeros((1, 3, 6))
    push[0, 1, 2] = -1.0
    return made, Loads(nodal=push)


ALL = (0, 1, 2, 3, 4, 5)
PIN = (0, 1, 2, 3)


@pytest.mark.parametrize(
    ("start", "end", "first", "collapse"),
    [(ALL, ALL, 8.0, 8.0), (ALL, PIN, 16.0 / 3.0, 6.0), (PIN, PIN, 4.0, 4.0)],
    ids=["fixed-fixed 8Mp/L", "propped 6Mp/L", "simply supported 4Mp/L"],
)
def test_beams_with_a_load_at_mid_span(start, end, first, collapse):
    got = pushover(*_beam(start, end), _capacity(2))
    assert got.folded
    assert got.first == pytest.approx(first * MP / L, rel=1e-9)
    assert got.collapse == pytest.approx(collapse * MP / L, rel=1e-7)


def _portal(H: float, V: float):
    h = L / 2
    nodes = np.array([[0.0, 0, 0], [0, 0, h], [L / 2, 0, h], [L, 0, h], [L, 0, 0]])
    held = np.zeros((5, 6), dtype=bool)
    held[[0, 4]] = True
    made = frame(
        nodes,
        np.array([[0, 1], [1, 2], [2, 3], [3, 4]]),
        EA=6e9,
        EIy=9e9,
        EIz=9e9,
        GJ=7e9,
        held=held,
    )
    push = np.zeros((1, 5, 6))
    push[0, 1, 0], push[0, 2, 2] = H, -V
    return made, Loads(nodal=push)


@pytest.mark.parametrize(
    ("H", "V", "collapse"),
    [(1.0, 1.0, 6.0), (1.0, 0.05, 8.0), (0.05, 1.0, 8.0)],
    ids=["combined", "sway", "beam"],
)
def test_fixed_portal_of_height_half_its_span(H, V, collapse):
    """Mechanisms: sway H h = 4 Mp, beam V L/2 = 4 Mp, both together H h + V L/2 = 6 Mp."""
    got = pushover(*_portal(H, V), _capacity(4))
    assert got.folded
    assert got.collapse == pytest.approx(collapse * MP / L, rel=1e-6)


def test_fully_plastic_thin_tube_against_the_integral_over_its_wall():
    """Pull and bending of a thin ring at yield: wall above a level pulls, below it pushes."""
    for level in np.linspace(0.05, 0.95, 7):
        theta = math.acos(level)
        n = 1.0 - 2.0 * theta / math.pi  # (pull area - push area) / area
        m = math.sin(theta)  # moment / (4 R² t fy)
        assert float(gauge(np.array(n), np.array(m), np.array(0.0))) == pytest.approx(1.0)
