"""How far parts have to be shifted until they are clear, against plane geometry of boxes."""

import numpy as np
import pytest
from built_side import planted, side
from span_boxes import boxes

from barwright.buildup.clash import TOUCH, closed, overlap, placed
from barwright.buildup.parting import parting
from barwright.buildup.things import things
from barwright.geometry.pose import pose_of


def test_a_box_is_parted_by_its_overlap():
    a, b = boxes(((0, 0, 0), (10, 10, 10))), boxes(((7, 1, -50), (60, 50, 50)))
    way, far = parting(a, b, (np.array([0]), np.array([0])), np.eye(3), touch=TOUCH)
    assert way.tolist() == [-1.0, 0.0, 0.0]
    assert far == pytest.approx(3.0)


def test_what_is_met_on_the_way_counts_and_what_only_touches_does_not():
    """A second box stands in the way by 2 mm or grazes it by 0.2 mm, from 1 mm to 21 mm on.

    The other way the first box is left after 60 mm only.
    """
    a = boxes(((0, 0, 0), (10, 10, 10)))
    for lap, expected in ((2.0, 31.0 - TOUCH), (0.2, 3.0)):
        b = boxes(((7, 0, 0), (60, 10, 10)), ((-21, 10 - lap, 0), (-1, 30, 10)))
        _, far = parting(a, b, (np.array([0]), np.array([0])), np.eye(3)[:1], touch=TOUCH)
        assert far == pytest.approx(expected)


def test_the_best_way_is_that_of_all_ways_tried_one_by_one():
    rng = np.random.default_rng(5)
    ways = rng.standard_normal((12, 3))
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    a = boxes(((0, 0, 0), (30, 10, 10)), ((0, 10, 0), (5, 30, 10)))
    b = boxes(((25, 5, 5), (60, 50, 50)), ((-30, 28, -20), (40, 60, 3)), ((3, -20, 8), (8, -2, 30)))
    i, j, *_ = overlap(a, b)
    alone = [parting(a, b, (i, j), way[None], touch=TOUCH) for way in ways]
    way, far = parting(a, b, (i, j), ways, touch=TOUCH)
    best = min(alone, key=lambda found: found[1])
    assert (way.tolist(), far) == (best[0].tolist(), best[1])
    for along, end in alone:
        assert overlap(a.placed(np.eye(3), (end + 1e-6) * along), b) is None
        assert overlap(a.placed(np.eye(3), 0.9 * end * along), b, 1e-6) is not None


def test_a_clash_on_the_vehicle_is_parted_by_the_shift_that_is_told():
    _, bars, parts, moves = side()
    post = next(b for b in bars.bars if b.name == "hoop").centreline.pieces[0]
    middle = 0.5 * np.add(post.start, post.end)
    all_ = things(bars, planted(parts, "plank", middle, (0.2, 1.0, 0.1), 25.0), moves)
    (clash,) = (c for c in closed(all_)[1] if "plank" in {c.first, c.second})
    one, other = (
        all_.fine.take(all_.fine.owner == all_.index[n]) for n in (clash.first, clash.second)
    )
    shift = pose_of(np.eye(3), (clash.depth + 1e-6) * np.array(clash.way))
    assert overlap(one, other) is not None
    assert overlap(placed(one, shift), other) is None
