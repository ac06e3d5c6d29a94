"""Silhouettes hold what they must and are no larger than they say."""

import math
from itertools import combinations

import numpy as np
import pytest
import shapely

from barwright.geometry.path import Arc
from barwright.geometry.pose import Pose, turned
from barwright.geometry.silhouettes import convex_hulls, outlines, silhouette
from barwright.geometry.solids import Block, Elbow, Rod

FAR = (-1e5, 1e5)


def test_a_rod_seen_from_its_side_is_a_rectangle_of_its_length_and_diameter() -> None:
    rod = Rod(start=(-5.0, 1.0, 7.0), end=(95.0, 1.0, 7.0), radius=20.0)
    seen = silhouette([rod], Pose(), FAR, 0.02)
    assert 100.0 * 40.0 <= seen.area <= 100.0 * 40.04


def test_half_a_ring_seen_from_above_is_half_an_annulus() -> None:
    arc = Arc(centre=(0.0, 0.0, 0.0), start=(80.0, 0.0, 0.0), axis=(0.0, 0.0, 1.0), angle=math.pi)
    seen = silhouette([Elbow(arc=arc, radius=15.0)], Pose(), FAR, 0.02)
    exact = 0.5 * math.pi * (95.0**2 - 65.0**2)
    assert exact <= seen.area <= exact + 0.02 * seen.length


def test_a_slab_of_a_leaning_rod_is_an_ellipse_drawn_out_by_the_slab() -> None:
    """A rod at 45° cut level: axes r and r sqrt 2; between two levels h apart, h longer."""
    rod = Rod(start=(-50.0, 0.0, -50.0), end=(50.0, 0.0, 50.0), radius=10.0)
    seen = silhouette([rod], Pose(), (1.0, 4.0), 0.01)
    exact = math.pi * 10.0 * 10.0 * math.sqrt(2.0) + 3.0 * 20.0
    assert exact <= seen.area <= exact + 0.02 * seen.length


@pytest.mark.parametrize("z", [(20.0, 30.0), (4.0, 4.0)])
def test_nothing_there_or_only_an_edge_leaves_nothing(z) -> None:
    block = Block(corners=tuple((x, y, w) for x in (0, 2) for y in (0, 3) for w in (0, 4)))
    roof = Block(corners=((0, 0, 4), (2, 0, 4), (0, 3, 9), (2, 3, 9)))
    solids = [roof] if z[0] == z[1] else [block]
    assert silhouette(solids, Pose(), z, 0.1).area == 0.0


def test_solids_of_all_kinds_together_are_the_union_of_each() -> None:
    pose = turned((3.0, 4.0, 5.0), (1.0, 2.0, 3.0), 0.7)
    rod = Rod(start=(0.0, 0.0, 0.0), end=(60.0, 5.0, 9.0), radius=8.0)
    arc = Arc(centre=(0.0, 0.0, 0.0), start=(0.0, 40.0, 0.0), axis=(1.0, 0.0, 0.0), angle=1.0)
    block = Block(corners=tuple((x, y, w) for x in (30, 50) for y in (-9, 3) for w in (0, 4)))
    solids = [rod, Elbow(arc=arc, radius=6.0), block]
    whole = silhouette(solids, pose, FAR, 0.05)
    each = shapely.union_all([silhouette([s], pose, FAR, 0.05) for s in solids])
    assert whole.symmetric_difference(each).area < 1e-6


@pytest.mark.parametrize(
    "window", [(0.0, 0.0, 9.0, 9.0), (30.0, -9.0, 44.0, 3.0), (70, 70, 80, 80)]
)
@pytest.mark.parametrize("z", [FAR, (2.0, 5.0)])
def test_within_a_window_nothing_is_left_out(window, z) -> None:
    rod = Rod(start=(0.0, 0.0, 0.0), end=(60.0, 5.0, 9.0), radius=8.0)
    arc = Arc(centre=(0.0, 0.0, 0.0), start=(0.0, 40.0, 0.0), axis=(0.0, 0.6, 0.8), angle=1.5)
    solids = [rod, Elbow(arc=arc, radius=6.0)]
    here = shapely.box(*window)
    some = silhouette(solids, Pose(), z, 0.05, window)
    whole = silhouette(solids, Pose(), z, 0.05)
    assert (some & here).symmetric_difference(whole & here).area < 1e-9
    assert some.area <= whole.area + 1e-9


def test_what_is_far_from_a_window_is_left_out() -> None:
    far = Rod(start=(200.0, -50.0, 0.0), end=(200.0, 50.0, 0.0), radius=8.0)
    assert silhouette([far], Pose(), FAR, 0.05, (0.0, -9.0, 190.0, 9.0)).is_empty
    assert not silhouette([far], Pose(), FAR, 0.05, (0.0, -9.0, 192.1, 9.0)).is_empty


def test_each_row_of_points_has_its_hull() -> None:
    rows = np.array([[(0.0, 0.0), (2.0, 0.0), (0.0, 2.0)], [(0.0, 0.0), (3.0, 3.0), (1.0, 1.0)]])
    triangle, line = convex_hulls(rows)
    assert (triangle.area, line.area) == (pytest.approx(2.0), 0.0)
    assert len(convex_hulls(rows[:0])) == 0


def test_an_outline_may_be_a_line_and_hulls_with_nothing_there_have_none() -> None:
    roof = np.array([(0, 0, 4), (2, 0, 4), (0, 3, 9), (2, 3, 9)], dtype=float)
    lines = np.array(list(combinations(range(4), 2)))
    shapes, whose = outlines(np.stack([roof + np.array([0, 0, 50]), roof]), lines, 0.0, 4.0)
    assert whose.tolist() == [1]
    assert shapes[0].equals(shapely.LineString([(0, 0), (2, 0)]))
