"""The B-rep kernel (Open CASCADE) as a second opinion on folded parts.

Volumes are integrated with a tolerance: the kernel's default integration was wrong by up to
-9.5 % on valid solids.
"""

import math

import pytest

pytest.importorskip("OCP", reason="the solid kernel is not here: pip install 'barwright[step]'")

from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.GProp import GProp_GProps
from shapely.geometry import box

from barwright.geometry.pose import turned
from barwright.pack import brep
from barwright.pack.brep_plate import plate_solid
from barwright.plates.bends import k_factor
from barwright.plates.blank import Plate, blank, bored, flange, part_of
from barwright.plates.folded import flat_volume, folded_volume
from barwright.plates.outline import circle, slot

CASES = [
    (2.0, 2.0, (1.0, 0.6, -1.2)),
    (3.0, 1.95, (math.pi / 2.0, -math.pi / 2.0, math.pi / 2.0)),
    (3.175, 6.0, (-0.3, 2.2, 0.9)),
    (6.0, 40.0, (0.8, -0.8, -0.5)),
]


def made(t, r, angles, k=None):
    """A plate with a flange on a flange, one on the other side, a hole and a slot."""
    b = blank(
        Plate(thickness=t, radius=r, k=k), box(0, 0, 80, 50), turned((3, 4, 5), (1, 2, 3), 0.7)
    )
    b = flange(b, (80, 0), (80, 50), reach=40, angle=angles[0])
    x = float(b.regions[2].shape.bounds[2])
    b = flange(b, (x, 0), (x, 50), reach=35, angle=angles[1], on=2)
    b = flange(b, (0, 50), (0, 0), reach=45, angle=angles[2])
    holes = circle((40, 25), 6.5, hole=True), slot((x - 20, 20), 5.0, 14.0, 0.4)
    return part_of(bored(b, *holes), "p", keep=(40, 10))


@pytest.mark.parametrize(("t", "r", "angles"), CASES)
def test_folded_volume(t, r, angles):
    part = made(t, r, angles)
    assert brep.volume(plate_solid(part)) == pytest.approx(folded_volume(part), rel=1e-6)


@pytest.mark.parametrize("k", [None, 0.33, 0.5])
@pytest.mark.parametrize(("t", "r", "angles"), CASES)
def test_the_solid_unfolds_to_the_flat_pattern(t, r, angles, k):
    """Back from the solid's own faces: each bend's cylinders give its flat strip.

    A bend of inside area A unrolls to A (r + K t)/r; what is not bends stays as it is.
    """
    part = made(t, r, angles, k)
    solid = plate_solid(part)
    inside = areas(solid, r)
    outside = areas(solid, r + t)
    assert outside == pytest.approx(inside * (r + t) / r, rel=1e-6)
    bends = t * (inside + outside) / 2.0
    factor = part.folds[0].k
    unrolled = t * inside * (r + (k_factor(r, t) if factor is None else factor) * t) / r
    flat = brep.volume(solid) - bends + unrolled
    assert flat == pytest.approx(flat_volume(part), rel=1e-6)


def areas(solid, radius):
    """The area of all bends' cylinders of a radius: longer than any hole's."""
    total = 0.0
    for face in brep.faces(solid):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Cylinder:
            continue
        long = surface.LastVParameter() - surface.FirstVParameter()
        if abs(surface.Cylinder().Radius() - radius) < 1e-7 and long > 40.0:
            props = GProp_GProps()
            BRepGProp.SurfaceProperties_s(face, props, 1e-9)
            total += props.Mass()
    return total
