"""TS9, TS10, TS12: how far from its name a bought tube may be.

ASTM A513 type 5 as two service centres print it (outside diameter and bore: teamtubellc.com;
wall: boyersteel.com); EN 10219-2 as a maker prints it (nkcelik.com.tr). All read, secondary.
"""

import pytest

from barwright.tubes.size_limits import INCH, size_limits


@pytest.mark.parametrize(
    ("od", "over"), [(0.5, 0.005), (1.5, 0.005), (1.699, 0.005), (1.75, 0.006), (2.0, 0.006)]
)
def test_a513_outside_diameter_is_over_and_never_under(od, over):
    limits = size_limits(od * INCH, 0.095 * INCH, "dom-1020")
    assert limits.od == pytest.approx((od * INCH, (od + over) * INCH))
    assert limits.bore == pytest.approx((od - 0.190 - over) * INCH)


@pytest.mark.parametrize(("wall", "over", "under"), [(0.095, 0.002, 0.003), (0.120, 0.002, 0.004)])
def test_a513_wall(wall, over, under):
    limits = size_limits(1.5 * INCH, wall * INCH, "dom-1020")
    assert limits.wall == pytest.approx(((wall - under) * INCH, (wall + over) * INCH))


@pytest.mark.parametrize(
    ("od", "wall", "off"), [(33.7, 3.0, 0.5), (48.3, 3.0, 0.5), (60.3, 3.0, 0.603), (1200, 5, 10)]
)
def test_en_10219_one_per_cent_but_half_a_millimetre_at_least_and_ten_at_most(od, wall, off):
    limits = size_limits(od, wall, "s235")
    assert limits.od == pytest.approx((od - off, od + off))
    assert limits.wall == pytest.approx((0.9 * wall, 1.1 * wall))
    assert limits.bore == pytest.approx(od - off - 2.2 * wall)


def test_en_10219_round_and_straight():
    limits = size_limits(48.3, 3.0, "s355")
    assert (limits.out_of_round, limits.straightness) == (0.02, 0.002)
    assert size_limits(500.0, 4.0, "s355").out_of_round is None
