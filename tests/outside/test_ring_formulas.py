"""Section properties of round tubes by the ring formulas, first-principles values.

A = pi (D² - d²)/4, I = pi (D⁴ - d⁴)/64, S = 2I/D, Z = (D³ - d³)/6 at 7850 kg/m³ (490 lb/ft³).
The 38 × 2.5 row was computed by a second route too, a meshed section (faceted, 0.05 % low).
"""

import pytest

from barwright.tubes.section import Section

INCH = 25.4
POUND_PER_FOOT = 0.45359237 / 304.8


def test_38_by_2_5_all_properties():
    tube = Section(od=38.0, wall=2.5)
    assert tube.area == pytest.approx(278.82, abs=0.005)
    assert tube.inertia == pytest.approx(44140, abs=0.5)
    assert tube.elastic == pytest.approx(2323.2, abs=0.05)
    assert tube.plastic == pytest.approx(3155.8, abs=0.05)
    assert tube.gyration == pytest.approx(12.582, abs=0.0005)
    assert 1000.0 * tube.mass() == pytest.approx(2.189, abs=0.0005)
    # The faceted mesh lies 0.05 % and 0.08 % below, as an inscribed polygon must.
    assert 278.70 / tube.area == pytest.approx(0.9995, abs=0.0001)
    assert 44105 / tube.inertia == pytest.approx(0.9992, abs=0.0001)


@pytest.mark.parametrize(
    "row",
    [
        (40.0, 2.0, 238.76, 43215.7, 2890.7, 1.874),
        (45.0, 2.5, 333.79, 75625.3, 4520.8, 2.620),
        (50.0, 2.0, 301.59, 87009.6, 4610.7, 2.368),
    ],
)
def test_metric_tubes(row):
    od, wall, area, inertia, plastic, mass = row
    tube = Section(od=od, wall=wall)
    assert tube.area == pytest.approx(area, abs=0.005)
    assert tube.inertia == pytest.approx(inertia, abs=0.05)
    assert tube.plastic == pytest.approx(plastic, abs=0.05)
    assert 1000.0 * tube.mass() == pytest.approx(mass, abs=0.0005)


@pytest.mark.parametrize(
    "row",
    [
        (1.500, 0.120, 0.5202, 0.12478, 0.22910, 1.770),
        (1.500, 0.095, 0.4193, 0.10394, 0.18782, 1.427),
        (1.750, 0.095, 0.4939, 0.16967, 0.26049, 1.681),
        (1.750, 0.120, 0.6145, 0.20519, 0.31940, 2.091),
    ],
)
def test_inch_tubes(row):
    od, wall, area, inertia, plastic, weight = row
    tube = Section(od=od * INCH, wall=wall * INCH)
    assert tube.area / INCH**2 == pytest.approx(area, abs=5e-5)
    assert tube.inertia / INCH**4 == pytest.approx(inertia, abs=5e-6)
    assert tube.plastic / INCH**3 == pytest.approx(plastic, abs=5e-6)
    # 490 lb/ft³ is 7849.0 kg/m³: a hair lighter than 7850.
    assert tube.mass() / POUND_PER_FOOT == pytest.approx(weight, abs=1.0e-3)


def test_1_5_by_0_120_modulus_and_gyration():
    tube = Section(od=1.5 * INCH, wall=0.120 * INCH)
    assert tube.elastic / INCH**3 == pytest.approx(0.16638, abs=5e-6)
    assert tube.gyration / INCH == pytest.approx(0.4897, abs=5e-5)
    # The shop rule 10.69 (D - t) t lb/ft gives 1.7703.
    assert tube.mass() / POUND_PER_FOOT == pytest.approx(10.69 * (1.5 - 0.120) * 0.120, abs=2e-3)
