"""Groover, Fundamentals of Modern Manufacturing, bending example (from memory, worked again).

A 60 degree bend, radius 4.75 mm, stock 3.2 mm, K 0.33, flats of 38 and 25 mm, width 44.5 mm,
tensile strength 450 MPa, die opening 25 mm.
"""

import math

import pytest

from barwright.plates.bends import allowance, bending_force, springback_ratio


def test_blank_length():
    bend = allowance(angle=math.radians(60.0), radius=4.75, thickness=3.2, k=0.33)
    assert bend == pytest.approx(6.080, abs=5e-4)
    assert 38.0 + 25.0 + bend == pytest.approx(69.080, abs=5e-4)


def test_bending_force():
    found = bending_force(tensile=450.0, width=44.5, thickness=3.2, opening=25.0)
    assert found == pytest.approx(10909.0, abs=0.5)


def test_springback_of_sheet():
    """The textbook form 4X³ - 3X + 1; inputs from memory: R 0.5 in, t 0.0359 in, 40 ksi, 29e3."""
    ratio = springback_ratio(radius=0.5, thickness=0.0359, yield_=40.0, modulus=29e3)
    assert ratio == pytest.approx(0.94240, abs=2e-5)
    assert 0.5 / ratio == pytest.approx(0.5306, abs=5e-5)


def test_nothing_springs_back_without_yield_stress():
    assert springback_ratio(radius=0.5, thickness=0.1, yield_=0.0, modulus=29e3) == 1.0
