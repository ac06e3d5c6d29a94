"""Pulling a peg out of a slot in the plane: shapely's sweep of the piece is the second opinion.

RM1 and RM2: first principles. A U-shaped block with a slot and a peg that fills it comes out one
way only; a key in a T-slot does not come out in the plane at all.
"""

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPoint, Polygon, box

from barwright.geometry.removal2d import free_directions

OUTER = box(0, 0, 30, 20)


def swept_free(piece: Polygon, others: Polygon, angle: float) -> bool:
    """Whether the piece, swept 200 mm along, stays clear of the others (triangle by triangle)."""
    shift = 200.0 * np.array([math.cos(angle), math.sin(angle)])
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(piece))
    swept = [
        MultiPoint([*t.exterior.coords, *(np.array(t.exterior.coords) + shift)]).convex_hull
        for t in parts
    ]
    return shapely.union_all(swept).buffer(-1e-6).disjoint(others)


def test_rm1_a_peg_in_a_u_comes_out_one_way() -> None:
    slot, peg = box(10, 10, 20, 20), box(10, 10, 20, 25)
    block = OUTER.difference(slot)
    ((start, end),) = free_directions(peg, block)
    assert math.degrees(start) == pytest.approx(90.0, abs=1e-4)
    assert math.degrees(end) == pytest.approx(90.0, abs=1e-4)
    assert swept_free(peg, block, math.pi / 2)
    for blocked in (0.0, math.pi, -math.pi / 2, math.pi / 4, math.atan2(1.0, 0.01)):
        assert not swept_free(peg, block, blocked)


def test_rm2_a_key_in_a_t_slot_is_caught() -> None:
    key = shapely.union_all([box(12, 5, 18, 25), box(8, 5, 22, 10)])
    block = OUTER.difference(key)
    assert free_directions(key, block) == ()
    for blocked in (0.0, math.pi / 2, math.pi, -math.pi / 2):
        assert not swept_free(key, block, blocked)


def test_a_loose_peg_has_some_play_of_direction() -> None:
    """A peg 8 wide in a slot 10 wide and 10 deep leans out by up to atan(1/10) either way."""
    block = OUTER.difference(box(10, 10, 20, 20))
    ((start, end),) = free_directions(box(11, 10, 19, 25), block)
    lean = math.degrees(math.atan(0.1))
    assert math.degrees(start) == pytest.approx(90.0 - lean, abs=1e-3)
    assert math.degrees(end) == pytest.approx(90.0 + lean, abs=1e-3)


def test_every_direction_agrees_with_the_sweep() -> None:
    hook = Polygon([(0, 0), (40, 0), (40, 30), (34, 30), (30, 6), (0, 6)])
    others = shapely.union_all([box(-10, -8, 60, 0), box(41, 3, 50, 40), box(-30, 10, -22, 20)])
    arcs = free_directions(hook, others)
    assert arcs
    for angle in np.radians(np.arange(0.5, 360.0, 1.5)):
        free = any(a <= angle <= b or a <= angle + 2 * math.pi <= b for a, b in arcs)
        assert free == swept_free(hook, others, float(angle))


def test_nothing_in_the_way_and_overlap() -> None:
    assert free_directions(box(0, 0, 1, 1), Polygon()) == ((0.0, 2 * math.pi),)
    with pytest.raises(ValueError, match="overlaps"):
        free_directions(box(0, 0, 2, 2), box(1, 1, 3, 3))
