"""The classical cope development, and volumes by quadrature and by the B-rep kernel.

z(φ) = [√(R² − (r sinφ + e)²) − r cosφ cosθ] / sinθ from the axes' common point, φ = 0 on the
heel side. Values by the formula; volumes ∫(H − z) dA against the kernel's boolean.
"""

import math

import numpy as np
import pytest

from barwright.geometry.cope import Tip, cylinder_cope

R, r = 22.5, 19.0


def tip_at(theta, *, inner, outer, offset=0.0):
    """A branch along +z; the main tube's axis leans so that φ = 0 is the heel."""
    return (
        Tip(origin=(0, 0, 0), along=(0, 0, 1), zero=(1, 0, 0), inner=inner, outer=outer),
        (0.0, -offset, 0.0),
        heel_axis(theta),
    )


def heel_axis(theta):
    """A main axis in the x-z plane at angle θ to the branch, its acute side toward −x."""
    return (-math.sin(theta), 0.0, math.cos(theta))


def positions(theta, degrees, *, main=R, branch=r, offset=0.0):
    tip, through, axis = tip_at(theta, inner=branch, outer=branch, offset=offset)
    return cylinder_cope(tip, through, axis, main, np.radians(degrees))


@pytest.mark.parametrize(
    ("theta", "at", "expected"),
    [
        (90, [0, 90], [22.5, 12.0520]),
        (60, [0, 90, 180], [15.0111, 13.9164, 36.9504]),
        (45, [0, 90, 180], [12.8198, 17.0441, 50.8198]),
    ],
)
def test_cp1_to_cp3_positions_round_the_tube(theta, at, expected):
    assert positions(math.radians(theta), at) == pytest.approx(expected, abs=5e-5)


def test_cp1_depth_and_template_width():
    cut = positions(math.radians(90), np.arange(360))
    assert cut.max() - cut.min() == pytest.approx(10.4480, abs=5e-5)
    assert math.pi * 38 == pytest.approx(119.3805, abs=5e-5)


def test_cp2_least_lies_between_heel_and_side():
    fine = np.linspace(0, 90, 9001)
    cut = positions(math.radians(60), fine)
    assert cut.min() == pytest.approx(12.0520, abs=5e-5)
    assert 0 < fine[cut.argmin()] < 90


VOLUMES = [
    ("CP1", 22.5, 19.0, 90, 0.0, 203851.47),
    ("CP2", 22.5, 19.0, 60, 0.0, 200297.77),
    ("CP3", 22.5, 19.0, 45, 0.0, 194336.36),
    ("offset 3", 22.5, 12.7, 60, 3.0, 88860.18),
]


@pytest.mark.parametrize("row", VOLUMES)
def test_cp5_volume_of_a_coped_solid_bar(row):
    """∫(200 − z) dA over the branch's section, by Gauss in the radius, trapezoid round it."""
    _, main, branch, theta, e, volume = row
    rho, weight = np.polynomial.legendre.leggauss(60)
    rho, weight = branch * (rho + 1) / 2, branch * weight / 2
    around = np.arange(0, 360, 0.25)
    total = 0.0
    for radius, w in zip(rho, weight, strict=True):
        z = positions(math.radians(theta), around, main=main, branch=radius, offset=e)
        total += w * radius * np.mean(200.0 - z) * 2 * math.pi
    assert total == pytest.approx(volume, abs=0.02)


@pytest.mark.parametrize("row", VOLUMES)
def test_cp5_the_b_rep_kernel_agrees(row):
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepGProp import BRepGProp
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    _, main, branch, theta, e, volume = row
    angle = math.radians(theta)
    axis = np.array(heel_axis(angle))
    foot = np.array([0.0, -e, 0.0]) - 500 * axis
    post = BRepPrimAPI_MakeCylinder(
        gp_Ax2(gp_Pnt(0, 0, -200), gp_Dir(0, 0, 1)), branch, 400.0
    ).Shape()
    tube = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(*foot), gp_Dir(*axis)), main, 1000.0).Shape()
    explorer = TopExp_Explorer(BRepAlgoAPI_Cut(post, tube).Shape(), TopAbs_SOLID)
    volumes = []
    while explorer.More():
        props = GProp_GProps()
        BRepGProp.VolumeProperties_s(explorer.Current(), props, 1e-8)
        volumes.append((props.CentreOfMass().Z(), props.Mass()))
        explorer.Next()
    upper = max(volumes)[1]
    assert upper == pytest.approx(volume, rel=1e-5)
