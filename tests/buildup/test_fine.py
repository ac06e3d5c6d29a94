"""Parts as they truly are, against closed forms, and a twin against what it mirrors."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from built_side import side
from scipy.spatial import ConvexHull

from barwright.buildup.fine import fine_hulls, fine_region
from barwright.geometry.solids import Body, Rod
from barwright.plates.folded import flat_volume
from barwright.plates.part import Hardware
from barwright.plates.twins import twin


def volume(hulls, owner):
    """Of hulls that do not overlap, blocks only [mm³]."""
    rows = np.flatnonzero(hulls.owner == owner)
    return sum(ConvexHull(hulls.corners[k, : hulls.sizes[k, 0]]).volume for k in rows)


def test_a_bushing_is_hollow():
    rod = Rod(start=(5.0, 3.0, 1.0), end=(5.0, 43.0, 31.0), radius=19.0)
    item = Hardware(
        name="bushing", what="", dims=(("bore", 12.7),), body=Body(name="bushing", solids=(rod,))
    )
    whole = math.pi * (19.0**2 - 6.35**2) * 50.0
    assert volume(fine_hulls([item]), 0) == pytest.approx(whole, rel=0.01)


def test_a_coped_bar_is_as_large_as_its_wall_and_its_solid_middle():
    """The staves of an end fill the wall from the cut to where the tube is full round."""
    _, bars, _, _ = side()
    bar = next(b for b in bars.bars if b.start.against and np.ptp(b.start.cope) > 5.0)
    hulls = fine_hulls([bar])
    blocks = hulls.take(hulls.radius == 0.0)
    r, bore = bar.radius, bar.radius - bar.wall
    ends = [float(np.max(e.cope) - np.mean(e.cope)) for e in (bar.start, bar.finish)]
    assert volume(blocks, 0) == pytest.approx(math.pi * (r * r - bore * bore) * sum(ends), rel=0.02)


@pytest.mark.parametrize("seed", [0, 3])
def test_flat_plates_are_as_large_as_their_outlines_less_holes(seed):
    _, _, parts, _ = side(seed)
    flat = [p for p in parts.parts if not p.folds]
    hulls = fine_hulls(flat)
    for k, part in enumerate(flat):
        assert volume(hulls, k) == pytest.approx(fine_region(part).area * part.thickness)
        assert volume(hulls, k) == pytest.approx(flat_volume(part), rel=0.01)


def test_a_twin_is_mirrored_and_one_that_is_trimmed_by_itself_is_not():
    _, _, parts, _ = side()
    some = [p for p in parts.parts if p.holes or p.folds]
    both = fine_hulls([*some, *(twin(p) for p in some)])
    for k in range(len(some)):
        own, other = both.take(both.owner == k), both.take(both.owner == k + len(some))
        assert other.corners == pytest.approx(own.corners * (1.0, -1.0, 1.0))
        assert (other.low[:, 1], other.high[:, 1]) == (
            pytest.approx(-own.high[:, 1]),
            pytest.approx(-own.low[:, 1]),
        )
    one = replace(next(p for p in some if p.holes), folds=())
    closed_up = replace(twin(one), holes=())
    hulls = fine_hulls([one, closed_up])
    area = shapely.area(fine_region(closed_up))
    assert volume(hulls, 1) == pytest.approx(area * one.thickness)
    assert volume(hulls, 0) < volume(hulls, 1)


def test_a_twin_lies_where_its_own_drawing_is_placed():
    """As large a box round it as round the twin folded by itself."""
    _, _, parts, _ = side()
    one = next(p for p in parts.parts if p.folds)
    mirrored = fine_hulls([one, twin(one)])
    mirrored, alone = mirrored.take(mirrored.owner == 1), fine_hulls([twin(one)])
    assert mirrored.low.min(axis=0) == pytest.approx(alone.low.min(axis=0), abs=1e-6)
    assert mirrored.high.max(axis=0) == pytest.approx(alone.high.max(axis=0), abs=1e-6)
