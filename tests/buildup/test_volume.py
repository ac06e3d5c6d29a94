"""What two hulls have in common, against closed forms."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from span_boxes import boxes

from barwright.buildup.hulls import rods_of
from barwright.buildup.volume import SIDES, common

ROUND = SIDES / math.pi * math.tan(math.pi / SIDES)
"""Area of the prism's section over the circle's it is drawn round."""


def one(a, b):
    ((corners, volume),) = common(a, b, np.array([0]), np.array([0]))
    return corners, volume


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.lists(st.floats(0.5, 20.0), min_size=3, max_size=3), st.floats(-3.0, 3.0))
def test_boxes_share_a_box(size, shift):
    a, b = boxes(((0, 0, 0), (10, 10, 10))), boxes(((shift,) * 3, np.add(shift, size)))
    lap = np.minimum(10.0, np.add(shift, size)) - np.maximum(0.0, shift)
    corners, volume = one(a, b)
    if lap.min() > 0.1:
        assert volume == pytest.approx(lap.prod())
        assert corners.min(axis=0) == pytest.approx(np.full(3, max(shift, 0.0)), abs=1e-6)
    if lap.min() < 0.0:
        assert (len(corners), volume) == (0, 0.0)


def test_two_round_bars_that_cross_share_steinmetz_solid():
    """16 r³ / 3: Archimedes, The Method, proposition 15 (from memory)."""
    a = rods_of([((-50, 0, 0), (50, 0, 0), 12.0)])
    b = rods_of([((0, -50, 0), (0, 50, 0), 12.0)])
    assert one(a, b)[1] == pytest.approx(16.0 * 12.0**3 / 3.0, rel=2e-3)


def test_bars_along_one_another_share_all_of_the_shorter():
    a = rods_of([((0, 0, 0), (0, 0, 80), 10.0)])
    b = rods_of([((0, 0, 30), (0, 0, 130), 10.0)])
    assert one(a, b)[1] == pytest.approx(50.0 * math.pi * 100.0 * ROUND)


def test_a_bar_in_a_wall_shares_its_stretch_and_several_pairs_are_told_each():
    bars = rods_of([((0, 0, -50), (0, 0, 50), 8.0), ((40, 0, -50), (40, 0, 50), 3.0)])
    walls = boxes(((-20, -20, 0), (20, 20, 6)), ((30, 0, 0), (50, 20, 4)))
    found = common(bars, walls, np.array([0, 1, 0]), np.array([0, 1, 1]))
    area = math.pi * ROUND
    assert [v for _, v in found] == pytest.approx([6.0 * 64.0 * area, 2.0 * 9.0 * area, 0.0])
    assert len(found[2][0]) == 0
