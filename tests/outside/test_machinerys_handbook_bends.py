"""Machinery's Handbook, lengths of straight stock for a right-angle bend (formula from memory).

L = 0.55 T + 1.57 R for soft brass and copper, 0.64 T for half-hard, 0.71 T for hard: the same as
K-factors of 0.35, 0.41 and 0.45 to the printed digits.
"""

import math

import pytest

from barwright.plates.bends import allowance


@pytest.mark.parametrize(("k", "inches"), [(0.35, 0.46125), (0.41, 0.47250), (0.45, 0.48125)])
def test_length_of_a_right_angle_bend(k, inches):
    found = allowance(angle=math.pi / 2.0, radius=0.25, thickness=0.125, k=k)
    assert found == pytest.approx(inches, abs=0.0008)
