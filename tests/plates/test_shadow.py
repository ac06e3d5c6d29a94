"""Shadows: never too small, hardly too large; edges follow the tube over the whole thickness."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from barwright.geometry.path import Arc
from barwright.geometry.pose import UNMOVED, frame
from barwright.geometry.solids import Block, Body, Elbow, Rod
from barwright.geometry.vectors import point, rotation, unit
from barwright.plates.against import cut, following
from barwright.plates.blank import Plate, blank, part_of
from barwright.plates.outline import points
from barwright.plates.shadow import WITHIN, bounds, may_reach, near, shadow

ways = st.tuples(st.floats(-0.7, 0.7), st.floats(-0.7, 0.7)).map(lambda v: unit([*v, 1.0]))


def body(*solids):
    return Body(name="b", solids=solids)


@given(ways, st.floats(8.0, 30.0), st.floats(0.5, 8.0))
def test_a_leaning_tube_cuts_the_hull_of_two_ellipses(way, radius, t):
    """The section of a cylinder by a plane is an ellipse R by R/cos; over a slab, their hull."""
    rod = body(Rod(start=point(-200 * way), end=point(200 * way), radius=radius))
    dark = shadow(rod, UNMOVED, (0.0, t))
    long = radius / way[2]
    shift = t * math.hypot(way[0], way[1]) / way[2]
    exact = math.pi * radius * long + 2.0 * radius * shift
    assert exact <= dark.area * (1 + 1e-9)
    assert dark.area <= exact + 2.2 * WITHIN * dark.length


@settings(max_examples=30)
@given(st.integers(0, 10_000))
def test_no_point_of_a_solid_escapes_its_shadow(seed):
    rng = np.random.default_rng(seed)
    arc = Arc(
        centre=(0, 0, 2),
        start=(30, 0, 2),
        axis=point(unit(rng.normal(size=3) * [1, 0, 1])),
        angle=1.2,
    )
    axis = unit(np.cross([1, 0, 0], rng.normal(size=3)))
    elbow = Elbow(
        arc=Arc(centre=arc.centre, start=arc.start, axis=point(axis), angle=1.2), radius=6.0
    )
    corners = tuple(point(p) for p in rng.uniform(-20, 20, (6, 3)))
    dark = shadow(body(elbow, Block(corners=corners)), UNMOVED, (0.0, 3.0)).buffer(1e-9)
    weights = rng.dirichlet(np.ones(6), 300)
    found = [*(weights @ np.array(corners)), *_in_elbow(elbow, rng, 300)]
    held = np.array([p for p in found if 0.0 <= p[2] <= 3.0])
    assert shapely.covers(dark, shapely.points(held[:, :2])).all() if len(held) else True


def _in_elbow(elbow, rng, n):
    c, s = np.array(elbow.arc.centre), np.array(elbow.arc.start)
    for turn, size, way in zip(
        rng.uniform(0, elbow.arc.angle, n), rng.uniform(0, 1, n), rng.uniform(0, 7, n), strict=True
    ):
        arm = rotation(elbow.arc.axis, turn) @ (s - c)
        off = math.cos(way) * unit(arm) + math.sin(way) * np.array(elbow.arc.axis)
        yield c + arm + elbow.radius * size * off


@settings(max_examples=25)
@given(ways, st.floats(0.0, 2.0), st.floats(1.0, 6.0))
def test_an_edge_keeps_the_weld_gap_over_the_whole_thickness(way, gap, t):
    rod = body(Rod(start=point(-300 * way), end=point(300 * way), radius=20.0))
    b = cut(blank(Plate(thickness=t, radius=t), box(0, -25, 80, 25), UNMOVED), following(rod, gap))
    part = part_of(b, "p", keep=(75, 0))
    edge = np.array([p for p in points(part.outline) if abs(p[1]) < 24.9 and p[0] < 79.9])
    off = [
        float(np.min([_from_axis(p, z, way) for z in np.linspace(0.0, t, 9)])) - 20.0
        for p in edge[::3]
    ]
    assert min(off) >= gap * way[2] - 0.03  # square to the tube, a gap in the plate's plane
    assert min(off) <= gap + 0.05


def _from_axis(p, z, way):
    q = np.array([*p, z])
    return float(np.linalg.norm(q - (q @ way) * way))


def test_near_keeps_what_is_near():
    rod = Rod(start=(0, 0, -500), end=(0, 0, 500), radius=10.0)
    far = Rod(start=(300, 0, 0), end=(400, 0, 0), radius=10.0)
    kept = near(body(rod, far), np.zeros(3), 50.0)
    assert len(kept.solids) == 1
    assert 50.0 <= kept.solids[0].end[2] < 100.0


def test_boxes_hold_their_solids():
    low, high = bounds(body(Rod(start=(0, 0, 0), end=(10, 0, 0), radius=2.0)))
    assert low[0] == pytest.approx([-2, -2, -2])
    assert high[0] == pytest.approx([12, 2, 2])


@settings(max_examples=60)
@given(ways, ways, st.floats(-60.0, 60.0), st.floats(3.0, 20.0), st.floats(0.0, 2.0))
def test_a_box_that_is_passed_over_has_no_shadow_on_it(way, lean, off, radius, gap):
    """What is not looked at because nothing may reach it would have been cut by nothing."""
    rod = Rod(start=point(-40 * way + off), end=point(60 * way + off), radius=radius)
    arc = Arc(centre=(off, 30.0, 0.0), start=(off, 60.0, 0.0), axis=(1.0, 0.0, 0.0), angle=1.0)
    plane = frame((5.0, off, 3.0), lean, (0.3, 1.0, 0.2))
    for x in (-40.0, 0.0, 40.0):
        corners = [(u, v, w) for u in (x, x + 20.0) for v in (-3.0, 3.0) for w in (0.0, 4.0)]
        boxes = plane.points(corners)[None]
        for solid in (rod, Elbow(arc=arc, radius=radius)):
            dark = shadow(body(solid), plane, (0.0, 4.0)).buffer(gap)
            may = bool(may_reach(body(solid), boxes, gap)[0])
            assert may or not dark.intersects(box(x, -3.0, x + 20.0, 3.0))


def test_boxes_are_reached_by_a_rod_as_far_as_its_radius_and_the_gap():
    rod = body(Rod(start=(0.0, 0.0, -50.0), end=(0.0, 0.0, 50.0), radius=10.0))
    turn = rotation((0.0, 0.0, 1.0), 0.6)
    cube = np.array([(x, y, z) for x in (0.0, 4.0) for y in (-2.0, 2.0) for z in (-2.0, 2.0)])
    boxes = np.array([np.add(cube, (off, 0.0, 0.0)) @ turn.T for off in (11.9, 12.1)])
    assert may_reach(rod, boxes, 2.0).tolist() == [True, False]
    assert may_reach(body(), boxes, 2.0).tolist() == [False, False]
