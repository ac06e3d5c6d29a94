"""Break-off tabs for the brake to gauge on; common practice, no source."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from barwright.geometry.pose import UNMOVED
from barwright.plates.blank import Plate, blank, flange, part_of
from barwright.plates.checks import check_one
from barwright.plates.folded import folded, folded_as
from barwright.plates.gauge import DEEP, as_cut, gauged
from barwright.plates.outline import area, region
from barwright.plates.shapes import polygons
from barwright.plates.twins import twin


def skewed():
    """A flange cut off at 20 degrees on a base with no edge parallel to the bend."""
    base = Polygon([(0, 10), (60, 0), (60, 50), (5, 60)])
    b = flange(
        blank(Plate(thickness=3.0, radius=3.0), base, UNMOVED),
        (60, 0),
        (60, 50),
        reach=40,
        angle=math.pi / 2.0,
    )
    cut = Polygon([(200, -10), (200, 70), (86, 70), (107, -10)])
    regions = [r.shape.difference(cut) for r in b.regions]
    regions = tuple(replace(r, shape=s) for r, s in zip(b.regions, regions, strict=True))
    return part_of(replace(b, regions=regions), "skewed", keep=(30, 30))


def test_a_skewed_flange_gets_one_and_the_part_stays_as_it_is():
    part = skewed()
    made = gauged(part)
    assert len(made.gauge) == 1
    assert made.outline == part.outline
    assert not region(made.gauge[0]).intersection(region(part.outline)).area > 3.0


def test_as_cut_has_an_edge_parallel_to_the_bend():
    made = as_cut(gauged(skewed()))
    shape = region(made.outline)
    assert shape.is_valid
    assert shape.geom_type == "Polygon"
    ring = np.array(shape.exterior.coords)
    far = ring[ring[:, 0] > ring[:, 0].max() - 1e-6]
    assert np.ptp(far[:, 1]) == pytest.approx(50.0, abs=0.1)
    assert area(made.outline) > area(skewed().outline) + 50 * DEEP


def test_the_necks_can_be_broken():
    """What holds the tab is two necks no wider than the plate is thick."""
    part = gauged(skewed())
    bare = region(part.outline)
    necks = polygons(region(part.gauge[0]).difference(bare) & bare.buffer(1.0))
    assert len(necks) == 2
    assert all(np.ptp(np.array(n.exterior.coords)[:, 1]) < 1.1 * part.thickness for n in necks)


def test_a_square_flange_needs_none():
    b = flange(
        blank(Plate(thickness=3.0, radius=3.0), box(0, 0, 60, 50), UNMOVED),
        (60, 0),
        (60, 50),
        reach=20,
        angle=1.0,
    )
    part = part_of(b, "p", keep=(5, 5))
    assert gauged(part) is part


def test_it_is_said_and_mirrored_with_the_part():
    made = gauged(skewed())
    assert "plates.gauge-tab" in {f.code for f in check_one(made)}
    other = as_cut(twin(made))
    assert area(other.outline) == pytest.approx(area(as_cut(made).outline))


def test_the_bend_still_folds_with_the_tab_on():
    made = gauged(skewed())
    f = folded_as(made, region(as_cut(made).outline))
    assert len(f.panels) == len(folded(made).panels)
