"""Steiner's formula for parallel bodies: a square of side a offset by k/2 round its corners.

Area (a + k)² - (4 - π) k²/4. First principles; shapely makes the offset.
"""

import math

import pytest
from shapely.geometry import box

from barwright.plates.kerf import offset
from barwright.plates.slots import drawn_slot


@pytest.mark.parametrize(("side", "kerf"), [(10.0, 0.2), (100.0, 0.3), (7.0, 1.5)])
def test_area_of_the_path_round_a_square(side, kerf):
    expected = (side + kerf) ** 2 - (4.0 - math.pi) * kerf**2 / 4.0
    assert offset(box(0, 0, side, side), kerf).area == pytest.approx(expected, rel=1e-5)


def test_a_hole_shrinks_by_the_kerf():
    shape = box(0, 0, 20, 20) - box(5, 5, 15, 15)
    (hole,) = offset(shape, 0.4).interiors
    assert hole.bounds == pytest.approx((5.2, 5.2, 14.8, 14.8))


def test_a_hole_no_wider_than_the_kerf_cannot_be_cut():
    with pytest.raises(ValueError, match="kerf"):
        offset(box(0, 0, 20, 20) - box(5, 5, 5.3, 15), 0.4)


@pytest.mark.parametrize(
    ("t", "c", "kerf", "drawn"),
    [(3.0, 0.2, 0.0, 3.2), (3.0, 0.2, 0.3, 2.9), (6.35, 0.15, 0.25, 6.25)],
)
def test_slot_as_drawn(t, c, kerf, drawn):
    """Common practice, no source: thickness and clearance, less the kerf of a path on the line."""
    assert drawn_slot(thickness=t, clearance=c, kerf=kerf) == pytest.approx(drawn)
