"""The mouth holds everything that passes, and not much more."""

import math

import numpy as np
import pytest
import shapely

from barwright.geometry.path import Arc
from barwright.geometry.pose import Pose, frame, turned
from barwright.geometry.solids import Block, Body, Elbow, Rod
from barwright.geometry.vectors import unit
from barwright.swing.motion import Motion
from barwright.swing.mouth import mouth

ROD = Rod(start=(20.0, 0.0, 0.0), end=(300.0, 40.0, 60.0), radius=20.0)
ELBOW = Elbow(
    arc=Arc(centre=(100.0, 0.0, 0.0), start=(100.0, 0.0, -80.0), axis=(0.0, -1.0, 0.0), angle=2.0),
    radius=15.0,
)
BLOCK = Block(
    corners=tuple((x, y, z) for x in (30.0, 90.0) for y in (-20.0, 25.0) for z in (-12.0, 70.0))
)


def motion(opens: float = 1.2, along: tuple = (0.0, 0.0, 1.0)) -> Motion:
    return Motion(
        leaf="l", bars=(), through=(5.0, -3.0, 2.0), along=tuple(unit(along)), opens=opens
    )


def inside(solid, n: int, seed: int) -> np.ndarray:
    """Points of a solid, drawn without the code under test."""
    rng = np.random.default_rng(seed)
    if isinstance(solid, Block):
        c = np.array(solid.corners)
        return c.min(0) + rng.random((n, 3)) * np.ptp(c, axis=0)
    r = solid.radius * np.sqrt(rng.random(n) ** 0.2)
    w = rng.random(n) * 2 * math.pi
    t = rng.random(n)
    if isinstance(solid, Rod):
        a, b = np.array(solid.start), np.array(solid.end)
        u = (b - a) / np.linalg.norm(b - a)
        x = np.cross(u, [0.3, 0.9, 0.1])
        x /= np.linalg.norm(x)
        y = np.cross(u, x)
        return (
            a + t[:, None] * (b - a) + (r * np.cos(w))[:, None] * x + (r * np.sin(w))[:, None] * y
        )
    arc = solid.arc
    c, s, k = np.array(arc.centre), np.array(arc.start) - arc.centre, np.array(arc.axis)
    phi = (t * arc.angle)[:, None]
    out = s * np.cos(phi) + np.cross(k, s) * np.sin(phi)
    radial = out / np.linalg.norm(out, axis=1)[:, None]
    return c + out + (r * np.cos(w))[:, None] * radial + (r * np.sin(w))[:, None] * k


PLANES = [Pose(), frame((60.0, -3.0, 5.0), (0.2, 1.0, 0.1), (0.0, 0.1, 1.0))]


@pytest.mark.parametrize("solid", [ROD, ELBOW, BLOCK])
@pytest.mark.parametrize("plane", PLANES)
@pytest.mark.parametrize("opens", [1.2, -1.2])
def test_everything_that_passes_is_inside(solid, plane, opens) -> None:
    m = motion(opens, (0.1, 0.2, 1.0))
    area = mouth(m, Body(name="b", solids=(solid,)), plane, (0.0, 6.0), (0.0, 1.2), 0.0, within=0.5)
    points = inside(solid, 60_000, 1)
    seen = []
    for angle in np.linspace(0.0, 1.2, 33):
        local = plane.inverse().points(m.pose(math.copysign(angle, opens)).points(points))
        seen.append(local[(local[:, 2] >= 0.0) & (local[:, 2] <= 6.0), :2])
    cloud = np.concatenate(seen)
    assert len(cloud) > 40
    assert shapely.contains_xy(area.buffer(1e-9), *cloud.T).all()


@pytest.mark.parametrize("solid", [ROD, ELBOW, BLOCK])
@pytest.mark.parametrize("plane", PLANES)
def test_with_a_window_it_is_the_same_there_and_less_elsewhere(solid, plane) -> None:
    m, body, within = motion(1.2, (0.1, 0.2, 1.0)), Body(name="b", solids=(solid,)), 0.3
    whole = mouth(m, body, plane, (0.0, 6.0), (0.0, 1.2), 2.0, within=within)
    at = whole.representative_point()
    window = (at.x - 30.0, at.y - 15.0, at.x + 10.0, at.y + 25.0)
    some = mouth(m, body, plane, (0.0, 6.0), (0.0, 1.2), 2.0, within=within, window=window)
    there = shapely.box(*window)
    assert some.area <= whole.area
    assert (whole & there).area > 0.5 * there.area
    off = shapely.symmetric_difference(some, whole) & there
    assert off.buffer(-0.5 * within).is_empty


def test_the_area_is_no_more_than_allowed_too_large() -> None:
    """A post parallel to the axis sweeps a ring sector with round ends: known in closed form."""
    post = Rod(start=(105.0, -3.0, -50.0), end=(105.0, -3.0, 50.0), radius=20.0)
    area = mouth(
        motion(), Body(name="b", solids=(post,)), Pose(), (0.0, 3.0), (0.0, 1.2), 2.5, within=0.2
    )
    exact = 0.5 * 1.2 * (122.5**2 - 77.5**2) + math.pi * 22.5**2
    assert exact <= area.area <= exact + 0.2 * area.length
    fine = mouth(
        motion(), Body(name="b", solids=(post,)), Pose(), (0.0, 3.0), (0.0, 1.2), 2.5, within=0.06
    )
    assert exact <= fine.area <= exact + 0.06 * fine.length


def test_the_excess_stays_within_what_is_stated_for_a_bar_through_a_plate() -> None:
    m, plane = motion(), PLANES[1]
    rod = Rod(start=(20.0, 0.0, 0.0), end=(300.0, 0.0, 0.0), radius=20.0)
    body = Body(name="b", solids=(rod,))
    coarse = mouth(m, body, plane, (0.0, 6.0), (0.0, 0.6), 3.0, within=0.3)
    fine = mouth(m, body, plane, (0.0, 6.0), (0.0, 0.6), 3.0, within=0.06)
    assert fine.buffer(-0.06).difference(coarse).area < 1e-6
    assert shapely.hausdorff_distance(coarse.exterior, fine.exterior) < 1.0


def test_nothing_in_the_slab_leaves_nothing() -> None:
    area = mouth(motion(), Body(name="b", solids=(ROD,)), Pose(), (500.0, 503.0), (0.0, 1.2), 5.0)
    assert area.is_empty


def test_an_upside_down_slab_is_refused() -> None:
    with pytest.raises(ValueError, match="slab"):
        mouth(motion(), Body(name="b", solids=(ROD,)), Pose(), (3.0, 0.0), (0.0, 1.0), 1.0)


def test_a_turned_world_gives_the_same_mouth() -> None:
    body = Body(name="b", solids=(BLOCK,))
    whole = turned((7.0, 8.0, 9.0), (0.3, -0.5, 0.8), 0.9)
    m = motion()
    again = Motion(
        leaf="l",
        bars=(),
        through=tuple(whole.points(m.through)),
        along=tuple(whole.directions(m.along)),
        opens=m.opens,
    )
    placed = Body(name="b", solids=(Block(corners=tuple(map(tuple, whole.points(BLOCK.corners)))),))
    one = mouth(m, body, PLANES[1], (0.0, 5.0), (0.0, 1.0), 1.0)
    two = mouth(again, placed, whole.after(PLANES[1]), (0.0, 5.0), (0.0, 1.0), 1.0)
    assert one.symmetric_difference(two).area < 1e-3 * one.area
