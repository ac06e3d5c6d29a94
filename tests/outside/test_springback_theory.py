"""Springback from beam theory, and the textbook form for sheet (seen on a teaching page).

Tube: curvature lost = sigma_y Z / (E I), elastic unloading of the plastic moment.
Sheet: Ri / Rf = 4 X³ − 3 X + 1, X = Ri sigma_y / (E t); the inputs are from memory.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.tubes.thinning import (
    sheet_springback_ratio,
    springback_ratio,
    thin_wall_springback,
)


@pytest.mark.parametrize(
    ("yields", "ratio", "bend_to"), [(350, 0.98642, 91.239), (500, 0.98059, 91.781)]
)
def test_tube_38_by_2_5_at_clr_114(yields, ratio, bend_to):
    kept = springback_ratio(114.0, 38.0, 2.5, yields=yields, modulus=210000)
    assert kept == pytest.approx(ratio, abs=5e-6)
    assert 90 / kept == pytest.approx(bend_to, abs=5e-4)


def test_what_springs_back_at_350():
    kept = springback_ratio(114.0, 38.0, 2.5, yields=350, modulus=210000)
    assert 90 * kept == pytest.approx(88.777, abs=1e-3)
    assert 114 / kept == pytest.approx(115.570, abs=1e-3)


def test_thin_wall_limit():
    thin = springback_ratio(114.0, 38.0, 0.001, yields=350, modulus=210000)
    assert 1 - thin == pytest.approx(
        114 * thin_wall_springback(19.0, yields=350, modulus=210000), rel=1e-4
    )


def test_sheet():
    kept = sheet_springback_ratio(0.5, 0.0359, yields=40.0, modulus=29e3)
    assert kept == pytest.approx(0.94240, abs=5e-6)
    assert 0.5 / kept == pytest.approx(0.5306, abs=5e-5)


def test_no_yield_no_springback_and_never_more_from_less():
    assert sheet_springback_ratio(0.5, 1.0, yields=0.0, modulus=29e3) == 1.0
    ratios = [
        sheet_springback_ratio(x, 1.0, yields=1.0, modulus=1.0) for x in (0.01, 0.1, 0.3, 0.5)
    ]
    assert ratios == sorted(ratios, reverse=True)
    assert ratios[-1] == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(ValueError, match="elastic"):
        sheet_springback_ratio(0.6, 1.0, yields=1.0, modulus=1.0)


@given(st.floats(100, 600), st.floats(60, 300))
def test_bending_further_by_the_ratio_comes_back_to_what_is_wanted(yields, clr):
    kept = springback_ratio(clr, 38.0, 2.5, yields=yields, modulus=210000)
    wanted = math.radians(90)
    assert (wanted / kept) * kept == pytest.approx(wanted)
    assert 0 < kept < 1
