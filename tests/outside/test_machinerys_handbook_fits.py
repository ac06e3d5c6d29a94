"""ANSI B4.1 in Machinery's Handbook: RC4, 31st ed. p. 718; FN2, 27th ed. p. 663."""

import pytest

from barwright.fits.ansi_b4_1 import fit, limits


@pytest.mark.parametrize(
    ("inches", "name", "hole", "shaft", "gap"),
    [
        (0.5, "RC4", 1.0, (-1.3, -0.6), (0.6, 2.3)),
        (1.0, "RC4", 1.2, (-1.6, -0.8), (0.8, 2.8)),
        (0.5, "FN2", 0.7, (1.2, 1.6), (-1.6, -0.5)),
        (0.8, "FN2", 0.8, (1.4, 1.9), (-1.9, -0.6)),
    ],
)
def test_printed_rows(inches, name, hole, shaft, gap):
    h, s = limits(25.4 * inches, name)
    thou = 0.0254
    assert (h.lower / thou, h.upper / thou) == pytest.approx((0.0, hole))
    assert (s.lower / thou, s.upper / thou) == pytest.approx(shaft)
    got = fit(25.4 * inches, name)
    assert (got.least / thou, got.most / thou) == pytest.approx(gap)
