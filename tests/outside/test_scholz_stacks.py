"""Scholz, Tolerance Stack Analysis Methods (1995): worst case and root sum of squares; Lamé rings;
and a lug stack by plain arithmetic.
"""

import math

import numpy as np
import pytest

from barwright.fits.press import Ring, press
from barwright.fits.stack import Contributor, monte_carlo, rss, worst_case

TEN = tuple(Contributor(name=str(i), nominal=1.0, plus=0.1, minus=0.1) for i in range(10))


def test_ten_parts_of_a_tenth():
    assert worst_case(TEN).most - 10 == pytest.approx(1.0)
    assert rss(TEN).most - 10 == pytest.approx(0.3162, abs=5e-5)


def test_monte_carlo_finds_the_root_sum_of_squares_too():
    got = monte_carlo(TEN, samples=200_000)
    three = math.sqrt(10) * 0.1  # three standard deviations
    assert got.sd == pytest.approx(three / 3, rel=0.01)
    assert got.high - 10 == pytest.approx(three, rel=0.02)
    assert [round(share, 2) for _, share in got.shares] == [0.1] * 10


def test_lug_with_two_washers_and_a_tube():
    """Gap 40 +0.2/0, two washers 2 ±0.05, tube 35.8 0/-0.1: 0.10 to 0.60 mm."""
    got = worst_case(
        (
            Contributor(name="lugs", nominal=40.0, plus=0.2, minus=0.0),
            Contributor(name="washer 1", nominal=2.0, plus=0.05, minus=0.05, sensitivity=-1),
            Contributor(name="washer 2", nominal=2.0, plus=0.05, minus=0.05, sensitivity=-1),
            Contributor(name="tube", nominal=35.8, plus=0.0, minus=0.1, sensitivity=-1),
        )
    )
    assert (got.nominal, got.least, got.most) == pytest.approx((0.2, 0.1, 0.6))


def test_lame_solid_shaft_of_the_same_steel():
    """p = E delta/d (1 - (d/Do)²)/2: d 20, Do 40, 0.02 mm, E 210000: 78.75 N/mm²."""
    got = press(Ring(bore=0, od=20), Ring(bore=20, od=40), 0.02)
    assert got.pressure == pytest.approx(78.75)


def test_lame_by_integrating_the_rings_own_equation():
    """The two rings' radial shifts at the joint make up the interference (second route)."""
    inner, outer, delta = Ring(bore=12, od=20, E=110000), Ring(bore=20, od=38), 0.03
    got = press(inner, outer, delta)

    def shift(ring: Ring, p_in: float, p_out: float) -> float:
        a, b, r = ring.bore / 2, ring.od / 2, 10.0
        # u = C1 r + C2 / r with the pressures at a and b (plane stress).
        k = ring.E / (1 - ring.nu**2)
        m = np.array(
            [
                [k * (1 + ring.nu), -k * (1 - ring.nu) / a**2],
                [k * (1 + ring.nu), -k * (1 - ring.nu) / b**2],
            ]
        )
        c1, c2 = np.linalg.solve(m, [-p_in, -p_out])
        return float(c1 * r + c2 / r)

    opened = shift(outer, got.pressure, 0.0) - shift(inner, 0.0, got.pressure)
    assert 2 * opened == pytest.approx(delta)
