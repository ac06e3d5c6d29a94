"""Gaps between bodies against the B-rep kernel (OCCT, BRepExtrema) and against closed forms."""

import math

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from barwright.geometry.distance import apart
from barwright.geometry.path import Arc
from barwright.geometry.solids import Block, Body, Elbow, Rod, Solid
from barwright.geometry.vectors import point, rotation, unit


def gap(a: Solid, b: Solid, within: float = 0.001) -> tuple[float, float]:
    found = apart(Body(name="a", solids=(a,)), Body(name="b", solids=(b,)), within=within)
    return found.low, found.high


def some_solid(rng: np.random.Generator) -> Solid:
    kind, c = rng.integers(3), rng.uniform(-150, 150, 3)
    if kind == 0:
        d = unit(rng.normal(size=3)) * rng.uniform(20, 150)
        return Rod(start=point(c - d), end=point(c + d), radius=rng.uniform(8, 25))
    axis = unit(rng.normal(size=3))
    if kind == 1:
        x = unit(np.cross(axis, rng.normal(size=3))) * rng.uniform(60, 140)
        arc = Arc(
            centre=point(c), start=point(c + x), axis=point(axis), angle=rng.uniform(0.2, 2.5)
        )
        return Elbow(arc=arc, radius=rng.uniform(8, 25))
    cube = np.array([(i, j, k) for i in (-0.5, 0.5) for j in (-0.5, 0.5) for k in (-0.5, 0.5)])
    corners = cube * rng.uniform(4, 120, 3) @ rotation(axis, 1.0).T + c
    return Block(corners=tuple(point(p) for p in corners))


def in_kernel(solid: Solid):
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeTorus
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    if isinstance(solid, Rod):
        d = np.subtract(solid.end, solid.start)
        frame = gp_Ax2(gp_Pnt(*solid.start), gp_Dir(*d))
        return BRepPrimAPI_MakeCylinder(frame, solid.radius, float(np.linalg.norm(d))).Shape()
    if isinstance(solid, Elbow):
        arc = solid.arc
        x = np.subtract(arc.start, arc.centre)
        frame = gp_Ax2(gp_Pnt(*arc.centre), gp_Dir(*arc.axis), gp_Dir(*x))
        bend = float(np.linalg.norm(x))
        return BRepPrimAPI_MakeTorus(frame, bend, solid.radius, arc.angle).Shape()
    c = np.array(solid.corners)
    x, y, z = c[4] - c[0], c[2] - c[0], c[1] - c[0]
    frame = gp_Ax2(gp_Pnt(*c[0]), gp_Dir(*z), gp_Dir(*x))
    sizes = (float(np.linalg.norm(v)) for v in (x, y, z))
    return BRepPrimAPI_MakeBox(frame, *sizes).Shape()


@pytest.mark.parametrize("seed", range(60))
def test_gaps_agree_with_the_kernel(seed: int) -> None:
    extrema = pytest.importorskip("OCP.BRepExtrema")
    rng = np.random.default_rng(seed)
    a, b = some_solid(rng), some_solid(rng)
    low, high = gap(a, b)
    exact = extrema.BRepExtrema_DistShapeShape(in_kernel(a), in_kernel(b)).Value()
    assert low - 1e-6 <= exact <= high + 1e-6
    assert high - low <= 0.001


def test_square_ends_are_square() -> None:
    """A point past a rod's rim is sqrt(a² + b²) away, not the distance from a round end."""
    rod = Rod(start=(0.0, 0.0, 0.0), end=(100.0, 0.0, 0.0), radius=20.0)
    post = Rod(start=(106.0, 30.0, -50.0), end=(106.0, 30.0, 50.0), radius=1.0)
    low, _ = gap(rod, post)
    assert low == pytest.approx(math.hypot(6.0, 10.0) - 1.0, abs=1e-4)


def test_two_square_ends_face_to_face() -> None:
    one = Rod(start=(0.0, 0.0, 0.0), end=(100.0, 0.0, 0.0), radius=20.0)
    two = Rod(start=(103.0, 0.0, 0.0), end=(200.0, 0.0, 0.0), radius=20.0)
    assert gap(one, two)[0] == pytest.approx(3.0, abs=1e-6)


def test_a_ring_round_a_post_is_as_far_as_their_radii_say() -> None:
    """The inside of a bend, where a chord's hull would be nearer than the tube is."""
    ring = Elbow(
        arc=Arc(centre=(0.0, 0.0, 0.0), start=(90.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), angle=3.0),
        radius=15.0,
    )
    post = Rod(start=(0.0, 0.0, -80.0), end=(0.0, 0.0, 80.0), radius=25.0)
    low, high = gap(ring, post)
    assert low <= 50.0 <= high + 1e-9
    assert low == pytest.approx(50.0, abs=0.001)


def test_a_kink_free_joint_needs_no_flat_face() -> None:
    """A straight that goes on into a bend: seen past the joint, the gap is the bend's."""
    arc = Arc(centre=(100.0, 90.0, 0.0), start=(100.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), angle=1.5)
    bar = Body(
        name="bar",
        solids=(
            Rod(start=(0.0, 0.0, 0.0), end=(100.0, 0.0, 0.0), radius=20.0),
            Elbow(arc=arc, radius=20.0),
        ),
    )
    post = Body(
        name="post", solids=(Rod(start=(100.0, -50.0, 40.0), end=(100.0, -50.0, 0.0), radius=5.0),)
    )
    assert apart(bar, post).low == pytest.approx(25.0, abs=0.001)


def test_overlap_is_no_gap() -> None:
    one = Rod(start=(0.0, 0.0, 0.0), end=(100.0, 0.0, 0.0), radius=20.0)
    two = Rod(start=(50.0, 39.0, -50.0), end=(50.0, 39.0, 50.0), radius=20.0)
    assert gap(one, two) == (0.0, 0.0)
    assert gap(one, one) == (0.0, 0.0)


@pytest.mark.parametrize("seed", range(12))
def test_overlap_however_deep_is_no_gap(seed: int) -> None:
    rng = np.random.default_rng(seed)
    a, b = some_solid(rng), some_solid(rng)
    inner = np.array(a.corners).mean(axis=0) if isinstance(a, Block) else None
    if inner is None:
        inner = np.array(a.start if isinstance(a, Rod) else a.arc.start)
    spike = Rod(start=point(inner), end=point(inner + 500.0), radius=3.0)
    wedge = Block(corners=tuple(point(inner + d) for d in np.vstack([np.eye(3), -np.eye(3)])))
    assert gap(a, spike) == (0.0, 0.0)
    assert gap(a, wedge) == (0.0, 0.0)
    assert gap(b, b) == (0.0, 0.0)


def test_a_hull_of_many_corners_against_its_own_faces() -> None:
    """Distance of a far ball-like hull's point equals its plane distance from scipy's hull."""
    rng = np.random.default_rng(3)
    cloud = unit(rng.normal(size=(40, 3))) * 50.0
    hull = ConvexHull(cloud)
    face = hull.equations[0]
    middle = cloud[hull.simplices[0]].mean(axis=0)
    tip = middle + 7.0 * face[:3]
    pin = Block(corners=(point(tip), point(tip + 30 * face[:3]), point(tip + 30 * face[:3] + 1.0)))
    assert gap(Block(corners=tuple(map(point, cloud))), pin)[0] == pytest.approx(7.0, abs=1e-3)


def test_nothing_has_no_place() -> None:
    with pytest.raises(ValueError, match="nowhere"):
        apart(Body(name="a", solids=()), Body(name="b", solids=()))
