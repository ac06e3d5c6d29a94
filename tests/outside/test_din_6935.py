"""DIN 6935, cold bending of flat steel: correction k, compensation v, its change of sign.

The formula for k was read in three public repositories; the cases of v in printed notes on the
standard, whose sign limit 65°24'30" is theirs. Not checked against the standard itself.
"""

import math

import pytest

from barwright.plates.bends import din_6935_k, din_6935_v, k_factor


@pytest.mark.parametrize(
    ("ratio", "k"),
    [
        (0.65, 0.5565),
        (1.0, 0.6500),
        (1.5, 0.7380),
        (2.0, 0.8005),
        (3.0, 0.8886),
        (4.0, 0.9510),
        (5.0, 1.0),
        (6.0, 1.0),
    ],
)
def test_k_by_ratio_of_radius_and_thickness(ratio, k):
    assert din_6935_k(ratio * 3.0, 3.0) == pytest.approx(k, abs=6e-5)
    assert k_factor(ratio * 3.0, 3.0) == pytest.approx(k / 2.0, abs=3e-5)


@pytest.mark.parametrize(
    ("opening", "r", "s", "v"),
    [
        (90, 3, 3, -5.7561),
        (90, 2, 2, -3.8374),
        (90, 6, 3, -6.6891),
        (135, 3, 3, -1.8486),
        (45, 3, 3, -2.6341),
        (166, 3, 3, 0.0),
    ],
)
def test_compensation_v(opening, r, s, v):
    found = din_6935_v(opening=math.radians(opening), radius=r, thickness=s)
    assert found == pytest.approx(v, abs=6e-5)


def test_compensation_v_where_k_reaches_one():
    """r/s = 5: the formula alone gives k = 0.9995 and v = -6.7220; with k capped at 1, -6.7212."""
    found = din_6935_v(opening=math.pi / 2.0, radius=10.0, thickness=2.0)
    assert found == pytest.approx(-6.7220, abs=1e-3)
    assert found == pytest.approx(11.0 * math.pi / 2.0 - 24.0)


def test_flat_length_of_two_legs_of_fifty():
    v = din_6935_v(opening=math.pi / 2.0, radius=3.0, thickness=3.0)
    assert 50.0 + 50.0 + v == pytest.approx(94.2439, abs=1e-4)


def test_v_changes_sign_at_the_printed_opening():
    """For s against nothing and k = 1, v is zero at 65°24'30"."""
    zero = math.radians(65 + 24 / 60 + 30 / 3600)
    assert din_6935_v(opening=zero, radius=1.0, thickness=1e-9) == pytest.approx(0.0, abs=2e-6)
    assert din_6935_v(opening=zero - 0.01, radius=1.0, thickness=1e-9) > 0.0
    assert din_6935_v(opening=zero + 0.01, radius=1.0, thickness=1e-9) < 0.0
