"""Classical intersections: Steinmetz's solids, equal tubes oblique, Viviani's curve.

MathWorld, "Steinmetz Solid": V = 16 r³ / 3, S = 16 r²; tricylinder V = 8 (2 − √2) r³,
S = 3 (16 − 8 √2) r² (a mathematics page). Equal cylinders at 45° meet in planes at 67.5° and
−22.5°, z = (1 ± √2) y (a forum derivation). Viviani's curve on a sphere of radius 2a is
8 √2 E(1/2) a long (from memory, recomputed).
"""

import math

import numpy as np
import pytest

from barwright.geometry.cope import Tip, cylinder_cope
from barwright.tubes.wrap import edge_length


def skin(radius):
    return Tip(origin=(0, 0, 0), along=(0, 0, 1), zero=(1, 0, 0), inner=radius, outer=radius)


def half_height(radius, angles, *others):
    """How far from the origin the nearest of some unit cylinders ends, along +z."""
    return np.min(
        [cylinder_cope(skin(radius), (0, 0, 0), axis, 1.0, angles) for axis in others], axis=0
    )


def solid_volume(*others):
    """Of the unit cylinder about z within the others: 2 ∫∫ s rho drho dphi."""
    nodes, weights = np.polynomial.legendre.leggauss(200)
    u, w = (nodes + 1) / 2, weights / 2
    rho, jacobian = 1 - (1 - u) ** 2, 2 * (1 - u)
    angles = 2 * math.pi * (np.arange(4000) + 0.5) / 4000
    return sum(
        2 * wi * ji * ri * np.mean(half_height(ri, angles, *others)) * 2 * math.pi
        for ri, wi, ji in zip(rho, w, jacobian, strict=True)
    )


def test_equal_square_cylinders_meet_in_two_ellipses():
    angles = np.radians(np.arange(360))
    cut = cylinder_cope(skin(1.0), (0, 0, 0), (0, 1, 0), 1.0, angles)
    # Axis along y: |z| = √(1 − cos² φ) = |sin φ|; from the other tube's side |cos|.
    assert cut == pytest.approx(np.abs(np.sin(angles)), abs=1e-7)


def test_steinmetz_volume_and_surface():
    assert solid_volume((1, 0, 0)) == pytest.approx(16 / 3, abs=2e-5)
    # Its surface: both tubes' skins between the cuts, 2 · 2 ∫ s r dphi.
    angles = 2 * math.pi * (np.arange(100000) + 0.5) / 100000
    area = 2 * 2 * np.mean(half_height(1.0, angles, (1, 0, 0))) * 2 * math.pi
    assert area == pytest.approx(16.0, abs=1e-6)


def test_steinmetz_in_the_b_rep_kernel():
    """OCCT: 5.33333333 and 15.99999998."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.GProp import GProp_GProps

    one = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, -3), gp_Dir(0, 0, 1)), 1.0, 6.0).Shape()
    two = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(-3, 0, 0), gp_Dir(1, 0, 0)), 1.0, 6.0).Shape()
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(one, two).Shape(), props, 1e-9)
    assert props.Mass() == pytest.approx(5.33333333, abs=1e-6)
    assert props.Mass() == pytest.approx(solid_volume((1, 0, 0)), abs=2e-5)


def test_steinmetz_as_a_mesh():
    """manifold3d, two 512-gons: 5.33313, from below as inscribed prisms must be."""
    import manifold3d

    one = manifold3d.Manifold.cylinder(6.0, 1.0, 1.0, 512, center=True)
    meshed = (one ^ one.rotate((0.0, 90.0, 0.0))).volume()
    assert meshed == pytest.approx(5.33313, abs=5e-5)
    assert 0 < solid_volume((1, 0, 0)) - meshed < 3e-4


def test_tricylinder():
    assert solid_volume((1, 0, 0), (0, 1, 0)) == pytest.approx(8 * (2 - math.sqrt(2)), abs=2e-5)
    angles = 2 * math.pi * (np.arange(100000) + 0.5) / 100000
    area = 3 * 2 * np.mean(half_height(1.0, angles, (1, 0, 0), (0, 1, 0))) * 2 * math.pi
    assert area == pytest.approx(3 * (16 - 8 * math.sqrt(2)), abs=1e-6)
    assert pytest.approx(4.686292, abs=5e-7) == 8 * (2 - math.sqrt(2))


def test_equal_tubes_at_45_degrees_meet_in_two_planes():
    """Both axes in the y-z plane, the other 45° from z: z = (1 ± √2) y."""
    angles = np.radians(np.arange(360))
    axis = (0.0, math.sqrt(0.5), math.sqrt(0.5))
    cut = cylinder_cope(skin(1.0), (0, 0, 0), axis, 1.0, angles)
    y = np.sin(angles)
    steep, flat = (1 + math.sqrt(2)) * y, (1 - math.sqrt(2)) * y
    assert cut == pytest.approx(np.maximum(steep, flat), abs=1e-7)
    assert math.degrees(math.atan(1 + math.sqrt(2))) == pytest.approx(67.5)
    assert math.degrees(math.atan(1 - math.sqrt(2))) == pytest.approx(-22.5)


def test_viviani_curve_is_as_long_as_our_edges_are_measured():
    """On a tube of radius a inside a sphere of radius 2a the edge stands at 2a |sin(φ/2)|."""
    from scipy.special import ellipe

    expected = 8 * math.sqrt(2) * ellipe(0.5)
    assert expected == pytest.approx(15.280791, abs=5e-7)
    phi = 2 * math.pi * np.arange(3600) / 3600
    upper = edge_length(2.0 * np.abs(np.sin(phi / 2)), 1.0)
    assert 2 * upper == pytest.approx(expected, abs=1e-5)


def test_the_edge_of_a_square_joint_of_equal_tubes_is_two_half_ellipses_twice():
    """Planes at 45°: ellipses of half axes r and r √2; the edge is once round one of them."""
    from scipy.special import ellipe

    cut = cylinder_cope(skin(1.0), (0, 0, 0), (0, 1, 0), 1.0)
    assert edge_length(cut, 1.0) == pytest.approx(4 * math.sqrt(2) * ellipe(0.5), rel=1e-4)
