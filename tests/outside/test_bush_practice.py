"""Bushes: ISO 2795 practice for sintered ones, a bearing maker's table for composite ones."""

import pytest

from barwright.fits.hinge_stack import BUSH_PRACTICE
from barwright.fits.iso286 import limits
from barwright.fits.stack import Contributor, worst_case


def test_iso_2795_practice():
    """Housing H7, outside r6 to s7, bore F7 to G7 before and H7 after fitting (D <= 50)."""
    assert BUSH_PRACTICE["housing"] == ("H7",)
    assert BUSH_PRACTICE["outside"] == ("r6", "s7")
    assert BUSH_PRACTICE["bore-before"] == ("F7", "G7")
    assert BUSH_PRACTICE["bore-after"] == ("H7",)
    assert BUSH_PRACTICE["inserting-pin"] == ("m5", "m6")
    for codes in BUSH_PRACTICE.values():
        for code in codes:
            limits(25.0, code)  # every class named can be worked out


@pytest.mark.parametrize(
    ("d", "pin", "bore", "least", "most"),
    [
        (12.0, (11.966, 11.984), (11.990, 12.058), 6, 92),
        (20.0, (19.959, 19.980), (19.990, 20.071), 10, 112),
    ],
)
def test_composite_bush_on_an_f7_pin(d, pin, bore, least, most):
    f7 = limits(d, "f7")
    assert (d + f7.lower, d + f7.upper) == pytest.approx(pin)
    gap = worst_case(
        (
            Contributor(name="bore", nominal=d, plus=bore[1] - d, minus=d - bore[0]),
            Contributor(name="pin", nominal=d, plus=f7.upper, minus=-f7.lower, sensitivity=-1.0),
        )
    )
    assert (1000 * gap.least, 1000 * gap.most) == pytest.approx((least, most), abs=1e-6)


def test_its_housing_is_14_h7():
    assert 14 + limits(14.0, "H7").upper == pytest.approx(14.018)
