"""EN 1993-1-1 columns; EN 1993-1-8 fillet welds and pins."""

import math

import pytest

from barwright.strength.columns import ec3_push, ec3_reduction
from barwright.strength.pins import (
    PinJoint,
    lug_edges,
    lug_shape,
    pin_bearing,
    pin_bending,
    pin_moment,
    pin_shear,
    pin_use,
)
from barwright.strength.welds import ec3_fillet
from barwright.tubes.section import Section

CHI = {
    "a0": (0.9513, 0.7253, 0.3953, 0.2323, 0.1063),
    "a": (0.9243, 0.6656, 0.3724, 0.2229, 0.1036),
    "b": (0.8842, 0.5970, 0.3422, 0.2095, 0.0994),
    "c": (0.8430, 0.5399, 0.3145, 0.1962, 0.0951),
    "d": (0.7793, 0.4671, 0.2766, 0.1766, 0.0882),
}


@pytest.mark.parametrize("curve", CHI)
def test_reduction_factors_equation_6_49(curve):
    for lam, chi in zip((0.5, 1.0, 1.5, 2.0, 3.0), CHI[curve], strict=True):
        assert ec3_reduction(lam, curve) == pytest.approx(chi, abs=6e-5)


def test_gardner_nethercot_example_6_7():
    """Designers' Guide to EN 1993-1-1, example 6.7 (from memory, recomputed): 2297 kN."""
    critical = math.pi**2 * 210000 * 50.73e6 / 4000**2
    assert critical == pytest.approx(6571e3, rel=1e-3)
    assert math.sqrt(7370 * 355 / critical) == pytest.approx(0.631, abs=1e-3)
    got = ec3_push(area=7370, inertia=50.73e6, length=4000, fy=355, curve="a")
    assert got == pytest.approx(2297e3, rel=1e-3)


def test_side_bar_tube_38_by_2_5():
    s = Section(od=38, wall=2.5)
    lam = math.sqrt(s.area * 350 / (math.pi**2 * 210000 * s.inertia / 1200**2))
    assert lam == pytest.approx(1.2394, abs=5e-5)
    assert ec3_reduction(lam, "c") == pytest.approx(0.4154, abs=5e-5)
    got = ec3_push(area=s.area, inertia=s.inertia, length=1200, fy=350)
    assert got == pytest.approx(40540, abs=10)


def test_simplified_fillet_4_5_3_3():
    """fu / (sqrt 3 beta gamma) from memory: 241.2 N/mm² and 723.6 N/mm at a = 3."""
    assert ec3_fillet(throat=1.0, fu=470, beta=0.9) == pytest.approx(241.2, abs=0.05)
    assert ec3_fillet(throat=3.0, fu=470, beta=0.9) == pytest.approx(723.6, abs=0.1)


def test_table_3_10_pin_resistances():
    assert pin_shear(12, 800) == pytest.approx(43430, abs=5)
    assert 2 * pin_shear(12, 800) == pytest.approx(86860, abs=10)
    assert pin_bending(12, 640) == pytest.approx(162900, abs=50)
    assert pin_bearing(6, 12, 355) == pytest.approx(38340)
    assert pin_moment(11000, 10, 1, 6) == pytest.approx(35750)


def test_the_pin_of_table_3_10_under_11_kn():
    use = pin_use(PinJoint(d=12, fyp=640, fup=800, middle=10, outer=6, gap=1, fy=355), 11000.0)
    shear, bend = 5.5 / 43.43, 35.75 / 162.9
    assert use.shear == pytest.approx(shear, rel=1e-3)
    assert use.both == pytest.approx(shear**2 + bend**2, rel=1e-3)
    assert use.bearing == pytest.approx(11 / (1.5 * 10 * 12 * 0.355), rel=1e-3)


def test_table_3_9_type_a_and_b():
    a, c = lug_edges(20000, 10, 16.5, 235)
    assert a == pytest.approx(15.255, abs=1e-3)
    assert c == pytest.approx(9.755, abs=1e-3)
    b = lug_shape(20000, 16.5, 235)
    assert b.thickness == pytest.approx(6.458, abs=1e-3)
    assert b.largest_hole == pytest.approx(2.5 * b.thickness)
    sizes = (b.offset, b.beside, b.behind, b.ahead, b.width)
    assert [x / 16.5 for x in sizes] == pytest.approx([0.3, 0.75, 1.3, 1.6, 2.5])
