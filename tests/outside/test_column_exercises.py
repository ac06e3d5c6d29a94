"""Columns of open course items: homeworksource.com HSS20, cnx.org m10711."""

import pytest

from barwright.strength.columns import PHI, aisc_stress


def test_round_tube_hss20():
    """homeworksource.com HSS20 item: Lc/r 62.6, Fcr 33, phi Pn 909 kip at Fy 42 (formula check)."""
    stress = aisc_stress(432 / 6.9, 42.0, 29000.0)
    assert stress == pytest.approx(33.0, abs=0.1)
    assert PHI * stress * 30.6 == pytest.approx(909.0, abs=1.0)


def test_older_lrfd_column_w14x74():
    """cnx.org m10711: Fcr 21.99 ksi and 408 kip by 0.85 (0.658^lambda_c²) Fy."""
    stress = aisc_stress(20 * 12 / 2.48, 36.0, 29000.0)
    assert stress == pytest.approx(21.99, abs=0.03)
    assert 0.85 * stress * 21.8 == pytest.approx(408.0, abs=1.0)
