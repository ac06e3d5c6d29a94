"""Bend geometry from first principles: Pappus's centroid theorem and plane trigonometry.

Developed length = CLR × angle; setback = CLR tan(angle / 2).
"""

import math

import numpy as np
import pytest

from barwright.geometry.bending import bends_of, from_corners, straights_of, table_of
from barwright.geometry.path import length, point_at

INCH = 25.4
CROOKED = [(0, 0, 0), (300, 0, 0), (300, 400, 0), (300, 400, 500)]


@pytest.mark.parametrize(
    ("clr", "developed"), [(114.0, 179.0708), (135.0, 212.0575), (4.5 * INCH, 7.0686 * INCH)]
)
def test_developed_length_of_a_right_angle(clr, developed):
    line = from_corners([(0, 0, 0), (clr, 0, 0), (clr, clr, 0)], clr)
    assert length(line) == pytest.approx(developed, abs=5e-5 * INCH)


def test_setbacks():
    (square,) = bends_of([(0, 0, 0), (300, 0, 0), (300, 300, 0)], 114.0)
    assert square.setback == pytest.approx(114.000, abs=1e-9)
    (eighth,) = bends_of([(0, 0, 0), (300, 0, 0), (600, 300, 0)], 6 * INCH)
    assert eighth.setback / INCH == pytest.approx(2.48528, abs=5e-6)


def test_xyz_to_straights_bends_and_turns():
    assert straights_of(CROOKED, 114.0) == pytest.approx((186.0, 172.0, 386.0), abs=1e-9)
    line = from_corners(CROOKED, 114.0)
    table = table_of(line)
    assert table.straights == pytest.approx((186.0, 172.0, 386.0), abs=1e-9)
    assert [math.degrees(b) for b in table.bends] == pytest.approx([90.0, 90.0], abs=1e-9)
    # +x, then +y, then +z: seen along +y the plane turns from z to x, right hand about +y.
    assert [math.degrees(t) for t in table.turns] == pytest.approx([90.0], abs=1e-9)
    assert length(line) == pytest.approx(1102.1416, abs=5e-5)


def test_solid_bend_volume_is_pappus_and_the_b_rep_kernel_agrees():
    """OCCT torus segment, 38 × 2.5 tube, 90° at CLR 114: 49927.8613 mm³."""
    from OCP.BRepGProp import BRepGProp
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeTorus
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.GProp import GProp_GProps

    from barwright.tubes.section import Section

    line = from_corners([(0, 0, 0), (114, 0, 0), (114, 114, 0)], 114.0)
    ours = Section(od=38.0, wall=2.5).area * length(line)
    assert ours == pytest.approx(49927.8613, abs=5e-5)

    def volume(minor):
        frame = gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
        shape = BRepPrimAPI_MakeTorus(frame, 114.0, minor, math.pi / 2).Shape()
        props = GProp_GProps()
        BRepGProp.VolumeProperties_s(shape, props, 1e-9)
        return props.Mass()

    assert ours == pytest.approx(volume(19.0) - volume(16.5), rel=1e-6)


def test_corner_centreline_runs_along_the_arc_that_touches_both_straights():
    line = from_corners(CROOKED, 114.0)
    middle = point_at(line, 186.0 + 114.0 * math.pi / 4)
    # From the corner (300, 0, 0) the arc's middle lies CLR (√2 − 1) off along the bisector.
    assert np.linalg.norm(middle - (300, 0, 0)) == pytest.approx(114 * (math.sqrt(2) - 1))
