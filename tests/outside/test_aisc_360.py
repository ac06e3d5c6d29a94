"""AISC 360: columns (E3), fillet welds (J2), pin-connected plates (D5)."""

import pytest

from barwright.strength.columns import OMEGA, PHI, aisc_stress
from barwright.strength.lugs import INCH_ALLOWANCE, Lug, lug_needs, lug_strength
from barwright.strength.welds import largest_leg, least_leg, working_length


@pytest.mark.parametrize(
    ("slenderness", "lrfd", "asd"),
    [
        (50.0, 37.48, 24.94),
        (100.0, 21.66, 14.41),
        (113.0, 17.69, 11.77),
        (150.0, 10.04, 6.68),
        (200.0, 5.65, 3.76),
    ],
)
def test_available_stress_50_ksi(slenderness, lrfd, asd):
    """E3-2, E3-3 at Fy 50 ksi; AISC Manual table 4-14 rounds these (from memory)."""
    stress = aisc_stress(slenderness, 50.0, 29000.0)
    assert PHI * stress == pytest.approx(lrfd, abs=0.006)
    assert stress / OMEGA == pytest.approx(asd, abs=0.006)


def test_the_two_formulas_meet_at_113_4():
    below, above = (aisc_stress(113.4 + d, 50.0, 29000.0) for d in (-0.01, 0.01))
    assert below == pytest.approx(above, rel=2e-3)


def test_design_example_e_1a_w14x132():
    """AISC Design Examples E.1A: 893 kip LRFD, 594 kip ASD (loads and section read; answer MEM)."""
    stress = aisc_stress(30 * 12 / 3.76, 50.0, 29000.0)
    assert PHI * stress * 38.8 == pytest.approx(893.0, abs=0.5)
    assert stress / OMEGA * 38.8 == pytest.approx(594.0, abs=0.5)


LUG = Lug(width=4.25, thickness=0.5, pin=1.0, hole=1.03, ahead=2.25, allowance=INCH_ALLOWANCE)


def test_design_example_d_7_pin_connected_plate():
    """AISC Design Example D.7: bearing governs, 24.3 kip LRFD, 16.2 kip ASD."""
    got = lug_strength(LUG, 36.0, 58.0)
    assert got.effective == pytest.approx(1.61)
    assert got.rupture == pytest.approx(93.4, abs=0.05)
    assert got.shear == pytest.approx(95.7, abs=0.05)
    assert got.bearing == pytest.approx(32.4, abs=0.05)
    assert 76.4 <= got.yielding <= 76.8
    assert got.lrfd == pytest.approx(24.3, abs=0.05)
    assert got.asd == pytest.approx(16.2, abs=0.05)
    assert lug_needs(LUG) == ()


def test_a_lug_too_short_and_too_loose_says_so():
    bad = Lug(width=4.25, thickness=0.5, pin=1.0, hole=1.1, ahead=1.0, allowance=INCH_ALLOWANCE)
    assert len(lug_needs(bad)) == 2


@pytest.mark.parametrize(("t", "leg"), [(5.9, 3), (6.0, 3), (6.1, 5), (13, 5), (19, 6), (20, 8)])
def test_table_j2_4_least_legs(t, leg):
    assert least_leg(t) == leg


def test_largest_leg_and_working_length():
    """J2.2b: t below 6 mm, else t - 2; nothing below 4w; 1.2 - 0.002 l/w; 180 w beyond 300 w."""
    assert (largest_leg(5.0), largest_leg(10.0)) == (5.0, 8.0)
    assert working_length(5.0, 19.9) == 0.0
    assert working_length(5.0, 500.0) == pytest.approx(500.0)
    assert working_length(5.0, 1500.0) == pytest.approx(0.6 * 1500.0)
    assert working_length(5.0, 1600.0) == pytest.approx(900.0)
