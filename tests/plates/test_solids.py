"""Blocks hold the part they stand for; mouths stay open."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from joints import side
from scipy.spatial import ConvexHull
from shapely.geometry import Point, box

from barwright.geometry.pose import UNMOVED
from barwright.plates.blank import Plate, blank, flange, part_of
from barwright.plates.convex import convex_pieces
from barwright.plates.folded import folded
from barwright.plates.make import parts
from barwright.plates.outline import region
from barwright.plates.solids import ROUGH, body_of
from barwright.plates.twins import twin


def inside(body, points, slack=1e-6):
    """Which points lie in some block."""
    found = np.zeros(len(points), dtype=bool)
    for block in body.solids:
        faces = ConvexHull(np.array(block.corners), qhull_options="QJ").equations
        found |= np.all(points @ faces[:, :3].T + faces[:, 3] <= slack, axis=1)
    return found


def samples(part, rng, n=400):
    """Points of the folded part's material, in space."""
    f, made = folded(part), []
    for panel in f.panels:
        x0, y0, x1, y1 = panel.shape.bounds
        p = rng.uniform((x0, y0, 0.0), (x1, y1, part.thickness), (n, 3))
        keep = [panel.shape.contains(Point(q[:2])) for q in p]
        made.append(panel.pose.points(p[keep]))
    for strip in f.strips:
        x0, y0, x1, y1 = strip.shape.bounds
        p = rng.uniform((x0, y0, 0.0), (x1, y1, part.thickness), (n, 3))
        p = p[[strip.shape.contains(Point(q[:2])) for q in p]]
        if len(p):
            made.append(strip.space(p[:, :2], p[:, 2]))
    return np.vstack(made)


@settings(max_examples=15)
@given(
    st.floats(1.0, 4.0),
    st.floats(1.0, 8.0),
    st.lists(st.floats(-2.0, 2.0).filter(lambda a: abs(a) > 0.1), min_size=1, max_size=2),
    st.floats(3.0, 12.0),
)
def test_blocks_hold_every_point_of_the_part(t, r, angles, bite):
    shape = box(0, 0, 40, 30) - Point(20.0, 0.0).buffer(bite, quad_segs=64)
    b = blank(Plate(thickness=t, radius=r), shape, UNMOVED)
    b = flange(b, (40, 2), (40, 28), reach=20, angle=angles[0])
    if len(angles) > 1:
        b = flange(b, (0, 28), (0, 2), reach=15, angle=angles[1])
    part = part_of(b, "p", keep=(20, 25))
    points = samples(part, np.random.default_rng(7))
    assert inside(body_of(part), points).all()


def test_a_notch_stays_open():
    shape = box(0, 0, 40, 30) - box(15, -1, 25, 20)
    part = part_of(blank(Plate(thickness=2.0, radius=2.0), shape, UNMOVED), "p", keep=(5, 5))
    u, v = np.meshgrid(np.linspace(15.5, 24.5, 9), np.linspace(0.0, 19.5, 9))
    points = np.column_stack([u.ravel(), v.ravel(), np.full(81, 1.0)])
    assert not inside(body_of(part), points).any()


def test_blocks_of_a_hinge_hold_it_and_stay_few():
    for part in parts(*side()).parts:
        points = samples(part, np.random.default_rng(3), 200)
        body = body_of(part)
        assert inside(body, points).all()
        assert len(body.solids) <= 45


def test_blocks_stand_proud_of_a_flat_part_by_no_more_than_promised():
    ring = Point(0, 0).buffer(20.0, quad_segs=64) - Point(30.0, 0.0).buffer(18.0, quad_segs=64)
    part = part_of(blank(Plate(thickness=2.0, radius=2.0), ring, UNMOVED), "p", keep=(-5, 0))
    allowed = region(part.outline).buffer(2.0 * ROUGH)
    for block in body_of(part).solids:
        assert all(allowed.contains(Point(c[:2])) for c in block.corners)


@given(st.integers(0, 10_000))
@settings(max_examples=25)
def test_convex_pieces_tile_the_shape(seed):
    rng = np.random.default_rng(seed)
    shape = box(0, 0, 30, 30)
    for x, y, r in rng.uniform((0, 0, 2), (30, 30, 8), (4, 3)):
        shape = shape - Point(x, y).buffer(r, quad_segs=4)
    pieces = convex_pieces(shape)
    hulls = [ConvexHull(p) for p in pieces]
    assert sum(h.volume for h in hulls) == pytest.approx(shape.area, rel=1e-6, abs=0.02)
    assert all(
        math.isclose(h.volume, _area(p), rel_tol=1e-6, abs_tol=1e-6)
        for h, p in zip(hulls, pieces, strict=True)
    )


def _area(p):
    x, y = p.T
    return abs(0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def test_a_twins_blocks_are_its_originals_mirrored():
    for part in parts(*side()).parts[:3]:
        own, other = body_of(part), body_of(twin(part))
        assert other.name == f"{part.name}-twin"
        mirrored = [[(x, -y, z) for x, y, z in block.corners] for block in own.solids]
        assert [list(block.corners) for block in other.solids] == mirrored
        assert inside(other, samples(twin(part), np.random.default_rng(3), 100)).all()
