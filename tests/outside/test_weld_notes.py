"""Fillet welds: M. E. Haque's course notes on AISC J2, and Shigley's table 9-6."""

import math

import pytest

from barwright.strength.welds import aisc_fillet, aisc_fillet_group


@pytest.mark.parametrize(
    ("degrees", "printed"), [(0, 133.62), (90, 200.43), (45, 173.35)], ids=["0", "90", "45"]
)
def test_haque_three_quarter_inch_fillet(degrees, printed):
    """3/4 in, 8 in long, E70. The notes print 172.7 at 45°: 1 + 0.5 sin^1.5 45° is 1.2973, not
    1.292, so 173.35 stands here.
    """
    got = 0.75 * aisc_fillet(leg=0.75, length=8, strength=70, angle=math.radians(degrees))
    assert got == pytest.approx(printed, rel=3e-4)


def test_haque_c_shaped_weld():
    """3/16 in E70, 2 x 10 in along and 8 in across: 161.5 kip."""
    along = aisc_fillet(leg=3 / 16, length=20, strength=70)
    across = aisc_fillet(leg=3 / 16, length=8, strength=70)
    assert along == pytest.approx(111.35, rel=3e-4)
    assert across == pytest.approx(44.54, rel=3e-4)
    assert along + across == pytest.approx(155.89, rel=3e-4)
    assert aisc_fillet_group(along, across) == pytest.approx(161.5, abs=0.1)


def test_a_sixteenth_of_leg_e70():
    """1.392 kip/in LRFD and 0.928 kip/in ASD a sixteenth."""
    rn = aisc_fillet(leg=1 / 16, length=1, strength=70)
    assert 0.75 * rn == pytest.approx(1.392, abs=6e-4)
    assert rn / 2.0 == pytest.approx(0.928, abs=6e-4)


@pytest.mark.parametrize(
    ("leg", "kip"), [(1 / 8, 1.86), (3 / 16, 2.78), (1 / 4, 3.71), (5 / 16, 4.64), (3 / 8, 5.57)]
)
def test_shigley_table_9_6_allowable(leg, kip):
    """14.85 h kip/in for E70: 0.30 x 70 ksi on 0.707 h, which is AISC's ASD strength."""
    assert aisc_fillet(leg=leg, length=1, strength=70) / 2.0 == pytest.approx(kip, abs=0.006)
