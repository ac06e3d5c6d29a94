"""Openings of known shape."""

import math

import numpy as np
import pytest
from shapely.affinity import rotate
from shapely.geometry import Point, Polygon, box

from barwright.geometry.pose import turned
from barwright.geometry.solids import Block, Body, Rod
from barwright.swing.opening import opening, plane_of
from barwright.swing.plank import broadest

CORNERS = [(0.0, 0.0, 0.0), (700.0, 0.0, 0.0), (700.0, 0.0, 500.0), (0.0, 0.0, 500.0)]


def bars(corners: list, radius: float = 20.0) -> list[Body]:
    return [
        Body(name=f"b{i}", solids=(Rod(start=tuple(a), end=tuple(b), radius=radius),))
        for i, (a, b) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True))
    ]


def test_a_rectangle_of_bars() -> None:
    found = opening(CORNERS, bars(CORNERS), depth=300.0, clothing=0.0)
    assert found.area == pytest.approx(660.0 * 460.0, rel=1e-3)
    assert found.circle == pytest.approx(460.0, abs=0.5)
    assert found.middle[2] == pytest.approx(250.0, abs=1.0)
    assert found.breadth >= 660.0 - 1.0
    assert found.men > 0.99


def test_it_is_the_same_turned_in_space() -> None:
    pose = turned((3.0, 4.0, 5.0), (0.2, 0.5, -0.7), 1.1)
    corners = [tuple(p) for p in pose.points(np.array(CORNERS))]
    found = opening(corners, bars(corners), depth=300.0)
    again = opening(CORNERS, bars(CORNERS), depth=300.0)
    assert found.area == pytest.approx(again.area, rel=1e-3)
    assert found.circle == pytest.approx(again.circle, abs=0.2)


def test_a_bar_across_splits_it_and_the_larger_half_counts() -> None:
    across = Rod(start=(250.0, 5.0, -50.0), end=(250.0, 5.0, 600.0), radius=25.0)
    found = opening(CORNERS, [*bars(CORNERS), Body(name="x", solids=(across,))], depth=300.0)
    assert found.area == pytest.approx((680.0 - 275.0) * 460.0, rel=1e-3)


def test_a_shut_opening_lets_nobody_out() -> None:
    lid = Rod(start=(350.0, 0.0, -900.0), end=(350.0, 0.0, 900.0), radius=800.0)
    found = opening(CORNERS, [Body(name="lid", solids=(lid,))])
    assert (found.area, found.circle, found.men) == (0.0, 0.0, 0.0)


def test_the_widest_plank_through_a_square_lies_on_its_diagonal() -> None:
    """A rectangle L x d fits a square of side a along its diagonal when L + d <= a sqrt(2)."""
    found = broadest(box(0, 0, 400, 400), 60.0)
    assert found == pytest.approx(400.0 * math.sqrt(2.0) - 60.0, abs=1.0)


def test_a_plank_in_an_l_does_not_cut_the_corner() -> None:
    ell = Polygon([(0, 0), (600, 0), (600, 200), (200, 200), (200, 600), (0, 600)])
    assert broadest(ell, 199.0) == pytest.approx(600.0, abs=1.0)


def test_three_corners_in_line_are_no_opening() -> None:
    with pytest.raises(ValueError, match="line"):
        plane_of([(0, 0, 0), (1, 0, 0), (2, 0, 0)])


def test_what_stands_far_behind_the_opening_is_not_in_the_way() -> None:
    far = Rod(start=(350.0, 400.0, -900.0), end=(350.0, 400.0, 900.0), radius=100.0)
    near = Rod(start=(350.0, 140.0, -900.0), end=(350.0, 140.0, 900.0), radius=100.0)
    free = opening(CORNERS, bars(CORNERS))
    same = opening(CORNERS, [*bars(CORNERS), Body(name="far", solids=(far,))])
    less = opening(CORNERS, [*bars(CORNERS), Body(name="near", solids=(near,))])
    assert same.area == pytest.approx(free.area)
    assert less.area < 0.5 * free.area


def test_a_block_covers_what_it_has_near_the_opening() -> None:
    """A ramp from the plane to 300 behind it: half of it is within 150; a sheet seen on edge."""
    ramp = ((100, 0, 100), (500, 0, 100), (500, 300, 400), (100, 300, 400))
    sheet = ((100, -50, 50), (500, -50, 50), (500, 50, 50), (100, 50, 50))
    bodies = [
        Body(name=name, solids=(Block(corners=corners),))
        for name, corners in (("ramp", ramp), ("sheet", sheet))
    ]
    assert opening(CORNERS, bodies).area == pytest.approx(700.0 * 500.0 - 400.0 * 150.0)


def test_a_plank_goes_beside_a_round_post_or_not() -> None:
    """A 600 x 500 window with a post of 160 in the middle leaves 170 on either side."""
    window = box(0, 0, 600, 500).difference(Point(300, 250).buffer(80.0))
    assert broadest(window, 168.0) == pytest.approx(600.0, abs=0.5)
    assert broadest(window, 240.0) < 500.0


@pytest.mark.parametrize("lean", [7.0, 44.4, 128.0])
def test_a_plank_lies_as_the_window_does(lean) -> None:
    window = rotate(box(0, 0, 640, 300), lean)
    assert 635.0 < broadest(window, 290.0) <= 640.01


def longest_level(area: Polygon, depth: float, low: float) -> float:
    """The longest free run over a height, from what of a strip lies outside the area."""
    left, _, right, _ = area.bounds
    outside = box(left - 9, low, right + 9, low + depth).difference(area)
    spans = sorted((p.bounds[0], p.bounds[2]) for p in getattr(outside, "geoms", [outside]))
    best, end = 0.0, spans[0][1]
    for first, last in spans[1:]:
        best, end = max(best, first - end), max(end, last)
    return best


@pytest.mark.parametrize("seed", range(6))
def test_no_plank_that_fits_is_passed_over(seed) -> None:
    """Ragged areas with posts in them: planks laid at odd heights and leans are no longer."""
    rng = np.random.default_rng(seed)
    turn, out = np.sort(rng.uniform(0, 2 * np.pi, 11)), rng.uniform(250, 600, 11)
    area = Polygon(np.column_stack([out * np.cos(turn), out * np.sin(turn)])).buffer(0)
    area = area.difference(Point(*rng.uniform(-200, 200, 2)).buffer(30.0))
    area = max(getattr(area, "geoms", [area]), key=lambda part: part.area)
    for depth in (60.0, 150.0):
        found = broadest(area, depth)
        for lean in np.arange(1.0, 180.0, 15.0):
            leaned = rotate(area, lean, origin=(0, 0))
            lows = np.linspace(leaned.bounds[1], leaned.bounds[3] - depth, 21)
            longest = max(longest_level(leaned, depth, low) for low in lows)
            assert longest <= 1.01 * found + 1.0
