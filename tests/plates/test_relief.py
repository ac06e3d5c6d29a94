"""Relief at the ends of bends, and bends that a mouth runs into."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from barwright.geometry.pose import UNMOVED
from barwright.geometry.solids import Body, Rod
from barwright.plates.against import cut, following
from barwright.plates.blank import Plate, blank, flange, part_of
from barwright.plates.folded import folded, strip_region
from barwright.plates.outline import region
from barwright.plates.relief import bend_reliefs, size


@settings(max_examples=30)
@given(st.floats(1.0, 5.0), st.floats(1.0, 8.0), st.floats(6.0, 15.0))
def test_a_flange_set_in_is_relieved_at_both_ends_by_the_radius(t, r, inset):
    b = blank(Plate(thickness=t, radius=r), box(0, 0, 60, 80), UNMOVED)
    b = flange(b, (60, inset), (60, 80 - inset), reach=20, angle=math.pi / 2.0)
    part = part_of(b, "p", keep=(5, 40))
    shape = region(part.outline)
    width, depth = size(r, t)
    assert depth > r
    for tip, way in ((inset, -1.0), (80 - inset, 1.0)):
        y = tip + way * width / 2
        inside = LineString([(60 + 0.5, y), (60 - depth + 0.2, y)])
        assert not shape.intersects(inside)
    f = folded(part)
    assert len(f.panels) == 2
    assert f.loose == 0.0


def test_a_flange_over_the_whole_edge_needs_none():
    assert not bend_reliefs(box(0, 0, 60, 80), (60, 0), (60, 80), radius=3.0, thickness=2.0)


def test_a_flange_to_one_corner_is_relieved_at_its_other_end():
    made = bend_reliefs(box(0, 0, 60, 80), (60, 0), (60, 50), radius=3.0, thickness=2.0)
    assert len(made) == 1
    assert made[0].centroid.y > 50.0


@pytest.mark.parametrize("height", [4.0, 6.0, 9.0])
def test_a_bend_that_something_cuts_into_ends_square(height):
    """A rod through the bend: what is left of the bend's strip is cut square across it."""
    plate = Plate(thickness=3.0, radius=4.0)
    b = blank(plate, box(0, 0, 60, 80), UNMOVED)
    b = flange(b, (60, 0), (60, 80), reach=30, angle=math.pi / 2)
    rod = Body(name="r", solids=(Rod(start=(30, 40, height), end=(90, 40, height), radius=8.0),))
    part = part_of(cut(b, following(rod, 0.5)), "p", keep=(5, 5))
    shape, (fold,) = region(part.outline, part.holes), part.folds
    band = strip_region(fold, part.thickness)
    for piece in getattr(shape & band, "geoms", [shape & band]):
        x0, y0, x1, y1 = piece.bounds
        assert piece.area == pytest.approx((x1 - x0) * (y1 - y0), rel=1e-4)
    assert folded(part).loose == 0.0
    assert not shape.contains(Point(float(np.mean([band.bounds[0], band.bounds[2]])), 40.0))
