"""Which twins are one part, which are flipped, which are a true left and right; tabs are cut."""

import math
from dataclasses import replace

import pytest
from shapely.geometry import Polygon, box

from barwright.geometry.pose import turned
from barwright.pack.drawing import CUT, Loop
from barwright.pack.outlines import flat_drawing
from barwright.pack.twins import FLIP_ETCHED, OWN, SAME_PART, for_cutting, hand_of
from barwright.plates.blank import Plate, blank, bored, flange, part_of
from barwright.plates.gauge import gauged
from barwright.plates.outline import area, circle
from barwright.plates.twins import twin

UP = ((40, 0), (40, 20), math.pi / 2.0)
OFF = circle((10, 6), 2.0, hole=True)


def plate(shape, *flanges, holes=()):
    b = blank(Plate(thickness=2.0, radius=2.0), shape, turned((5, 60, 9), (1, 2, 0), 0.6))
    for start, end, angle in flanges:
        b = flange(b, start, end, reach=20, angle=angle)
    return part_of(bored(b, *holes), "p", keep=(5, 5))


@pytest.mark.parametrize(
    ("part", "hand"),
    [
        (plate(box(0, 0, 40, 20)), SAME_PART),
        (plate(box(0, 0, 40, 20), holes=(OFF,)), FLIP_ETCHED),
        (plate(box(0, 0, 40, 20), UP), SAME_PART),
        (plate(box(0, 0, 40, 20), UP, holes=(OFF,)), OWN),
        (plate(box(0, 0, 40, 20) - box(0, 0, 9, 5)), FLIP_ETCHED),
    ],
    ids=["plain", "a hole off centre", "an even fold", "fold and hole", "a corner off"],
)
def test_hands_follow_from_the_shape(part, hand):
    both = (part, twin(part))
    assert [hand_of(p, both) for p in both] == [hand, hand]


def test_a_flat_part_is_never_a_true_left_and_right():
    part = plate(box(0, 0, 40, 20) - box(0, 0, 5, 3), holes=(OFF,))
    assert hand_of(twin(part), (part, twin(part))).startswith("same outline: flip it")


def slanted():
    """A flange cut off at 20 degrees, on a base with no edge parallel to the bend."""
    base = Polygon([(0, 10), (60, 0), (60, 50), (5, 60)])
    b = blank(Plate(thickness=3.0, radius=3.0), base, turned((0, 0, 0), (0, 0, 1), 0.0))
    b = flange(b, (60, 0), (60, 50), reach=40, angle=math.pi / 2.0)
    off = Polygon([(200, -10), (200, 70), (86, 70), (107, -10)])
    regions = tuple(replace(r, shape=r.shape.difference(off)) for r in b.regions)
    return gauged(part_of(replace(b, regions=regions), "slanted", keep=(30, 30)))


@pytest.mark.parametrize("part", [slanted(), twin(slanted())], ids=["part", "twin"])
def test_break_off_tabs_are_in_what_is_cut_and_not_in_the_part(part):
    assert part.gauge
    whole = for_cutting(part)
    tabs = sum(abs(area(tab)) for tab in part.gauge)
    assert abs(area(part.outline)) < abs(area(whole.outline))
    assert tabs > 100.0
    reach = max(x for x, _, _ in part.outline.vertices)
    outer = [p for p in flat_drawing(whole) if p.layer == CUT and isinstance(p, Loop)][-1]
    assert max(x for x, _, _ in outer.vertices) > reach + 9.0
