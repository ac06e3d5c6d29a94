"""Copes against the boolean of OCCT, a B-rep kernel of its own, over random joints.

For each joint the kernel cuts the receiver out of the bar as a solid; what is left on the far
side has the volume ∫∫ (H − s) rho drho dphi of our positions, and the edges the cut leaves on
the bar's skin lie where our positions say.
"""

import math

import numpy as np
import pytest
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeTorus
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_EDGE, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from barwright.geometry.bending import from_corners
from barwright.geometry.cope import Tip, cylinder_cope
from barwright.geometry.cope_bent import run_cope
from barwright.geometry.path import Arc, Centreline, Straight, arc_radius
from barwright.geometry.vectors import unit

HIGH = 300.0
SEED = 20260411


def cylinder(start, way, radius, long):
    frame = gp_Ax2(gp_Pnt(*map(float, start)), gp_Dir(*map(float, way)))
    return BRepPrimAPI_MakeCylinder(frame, radius, long).Shape()


def parts(shape, kind):
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def volume(solid):
    """By the kernel, to a stated tolerance: its default is off by per cents on such solids."""
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, props, 1e-6)
    return props.Mass()


def height(solid):
    props = GProp_GProps()
    BRepGProp.LinearProperties_s(solid, props)
    return props.CentreOfMass().Z()


def far_piece(bar, receiver):
    """What a cut leaves of a bar along +z on the far side of the receiver."""
    return max(parts(BRepAlgoAPI_Cut(bar, receiver).Shape(), TopAbs_SOLID), key=height)


def edge_points(solid, radius):
    """Points (n, 3) on the edges that lie on the bar's skin, its flat far end left out."""
    found = []
    for shape in parts(solid, TopAbs_EDGE):
        curve = BRepAdaptor_Curve(TopoDS.Edge(shape))
        at = np.linspace(curve.FirstParameter(), curve.LastParameter(), 25)
        run = np.array([[p.X(), p.Y(), p.Z()] for p in map(curve.Value, map(float, at))])
        on_skin = np.abs(np.hypot(run[:, 0], run[:, 1]) - radius).max() < 1e-5
        if (
            on_skin
            and np.ptp(np.arctan2(run[:, 1], run[:, 0])) > 1e-6
            and run[:, 2].max() < HIGH - 1
        ):
            found.append(run)
    return np.vstack(found)


def solid_tip(radius):
    return Tip(
        origin=(0, 0, 0),
        along=(0, 0, 1),
        zero=(1, 0, 0),
        inner=radius,
        outer=radius,
    )


def volume_beyond(position, radius):
    """∫∫ (HIGH − s) rho drho dphi over the bar's section; `position` gives s on one skin."""
    nodes, weights = np.polynomial.legendre.leggauss(24)
    # Substituted so that nodes gather at the skin, where a line may be nearly tangent.
    u, w = (nodes + 1) / 2, weights / 2
    rho, jacobian = radius * (1 - (1 - u) ** 2), 2 * radius * (1 - u)
    around = 2 * math.pi * np.arange(720) / 720
    return sum(
        wi * ji * ri * np.mean(HIGH - position(ri, around)) * 2 * math.pi
        for ri, wi, ji in zip(rho, w, jacobian, strict=True)
    )


def random_joint(rng):
    main = rng.uniform(10, 40)
    branch = rng.uniform(0.3, 0.98) * main
    room = main - branch
    theta = rng.uniform(math.radians(30), math.radians(90))
    offset = rng.uniform(-0.9, 0.9) * room
    roll = rng.uniform(0, 2 * math.pi)
    axis = np.array(
        [math.sin(theta) * math.cos(roll), math.sin(theta) * math.sin(roll), math.cos(theta)]
    )
    across = np.array([-math.sin(roll), math.cos(roll), 0.0])
    return main, branch, axis, offset * across


@pytest.mark.study
def test_500_random_joints_agree_in_volume_and_in_the_edge():
    """Volumes to 1e-5; edges to 1e-5 mm (the kernel's own tolerance is some 1e-7 mm)."""
    rng = np.random.default_rng(SEED)
    by_volume = by_edge = 0.0
    for _ in range(500):
        main, branch, axis, foot = random_joint(rng)
        bar = cylinder((0, 0, -250), (0, 0, 1), branch, 250 + HIGH)
        left = far_piece(bar, cylinder(foot - 600 * axis, axis, main, 1200.0))

        def position(rho, phi, *, main=main, axis=axis, foot=foot):
            return cylinder_cope(solid_tip(rho), foot, axis, main, phi)

        ours = volume_beyond(position, branch)
        by_volume = max(by_volume, abs(ours / volume(left) - 1.0))
        edge = edge_points(left, branch)
        off = skin_cope(position, branch, edge) - edge[:, 2]
        by_edge = max(by_edge, float(np.abs(off).max()))
    assert by_volume < 1e-5
    assert by_edge < 1e-5


def skin_cope(position, radius, edge):
    """Where we cut the bar's skin, one wall line thick, at the angles of edge points."""
    return position(radius, np.arctan2(edge[:, 1], edge[:, 0]))


def bent_solid(line: Centreline, radius: float):
    """The kernel's own pieces of a bent bar, fused."""
    whole = None
    for piece in line.pieces:
        if isinstance(piece, Straight):
            run = np.subtract(piece.end, piece.start)
            part = cylinder(piece.start, unit(run), radius, float(np.linalg.norm(run)))
        else:
            part = torus_part(piece, radius)
        whole = part if whole is None else BRepAlgoAPI_Fuse(whole, part).Shape()
    return whole


def torus_part(arc: Arc, radius: float):
    out = unit(np.subtract(arc.start, arc.centre))
    frame = gp_Ax2(gp_Pnt(*arc.centre), gp_Dir(*arc.axis), gp_Dir(*map(float, out)))
    return BRepPrimAPI_MakeTorus(frame, arc_radius(arc), radius, arc.angle).Shape()


@pytest.mark.study
def test_copes_on_bent_tubes_agree_with_the_kernel():
    rng = np.random.default_rng(SEED + 2)
    by_volume = by_edge = 0.0
    for _ in range(15):
        main, branch, axis, foot = random_joint(rng)
        line = bent_near_origin(axis, 0.4 * foot, main - branch, rng.uniform(6, 10) * main, rng)
        bar = cylinder((0, 0, -90), (0, 0, 1), branch, 90 + HIGH)
        left = far_piece(bar, bent_solid(line, main))

        def position(rho, phi, *, main=main, line=line):
            return run_cope(solid_tip(rho), line, main, near=80.0, behind=80.0, angles=phi)

        by_volume = max(by_volume, abs(volume_beyond(position, branch) / volume(left) - 1.0))
        edge = edge_points(left, branch)
        off = skin_cope(position, branch, edge) - edge[:, 2]
        by_edge = max(by_edge, float(np.abs(off).max()))
    assert by_volume < 1e-5
    assert by_edge < 1e-4


def bent_near_origin(axis, foot, room, clr, rng):
    """A bent centreline whose arc, or straight beside it, passes the origin along an axis.

    The arc strays from its first tangent by shift² / (2 CLR): no more than half the room.
    """
    bend = rng.uniform(0.3, 1.2)
    side = unit(np.cross(axis, rng.normal(size=3)))
    setback = clr * math.tan(bend / 2)
    shift = rng.uniform(-0.3, 1.0) * min(math.sqrt(clr * room), clr * bend)
    begin = foot - shift * axis
    corner = begin + setback * axis
    after = math.cos(bend) * axis + math.sin(bend) * side
    return from_corners([begin - 400 * axis, corner, corner + (setback + 400) * after], clr)
