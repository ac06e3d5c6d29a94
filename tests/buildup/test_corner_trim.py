"""A bolt shut in at both ends comes free by a corner off one plate.

By construction: one cap covers its end of the bolt wholly and belongs to a bar; the other laps
over a sliver of the bolt's way only. The trim is tried again by a mesh library's sweep.
"""

import numpy as np
from built_side import planted, side
from shapely.geometry import Polygon

from barwright.buildup.apart import take_apart
from barwright.buildup.cutout import without
from barwright.buildup.service import parted, scene
from barwright.buildup.things import things
from barwright.buildup.trapped import freed

BOLT = "side.hinge.bolt"


def shut_in(lap):
    """The near side with the bolt capped; the upper cap laps over the bolt by so much [mm]."""
    _, bars, parts, moves = side()
    (rod,) = next(h for h in parts.hardware if h.name == BOLT).body.solids
    start, end = sorted((np.array(rod.start), np.array(rod.end)), key=lambda p: p[2])
    out = (end - start) / np.linalg.norm(end - start)
    x = np.cross(out, [0.36, 0.48, 0.8])
    x /= np.linalg.norm(x)
    off = (25.0 + rod.radius - lap) * x
    parts = planted(parts, "cap-far", start - 2.0 * out, -out, 25.0)
    parts = planted(parts, "cap-near", end + 2.0 * out + off, out, 25.0)
    return scene(things(bars, parts, moves)), out


def test_a_corner_off_the_plate_in_the_way_frees_the_bolt():
    s, out = shut_in(lap=4.0)
    ways = take_apart(s)
    assert BOLT in {n for w in ways for n in w.names if not w.comes_out}
    (found,) = (f for f in freed(s, ways) if f.names == (BOLT,))
    assert found.trim.part == "cap-near"
    assert found.trim.clears
    assert 4.0 < found.trim.deep < 8.0
    assert np.dot(found.way.moves[0].along, out) > 0.99
    plate = s.all.named("cap-near").made
    left = without(plate, Polygon(found.trim.outline))
    bolt, _, _ = parted(s, (BOLT,), set())
    apart = [np.linalg.norm(np.cross(c - bolt.corners[0, 0], out), axis=1) for c in left.corners]
    assert min(float(a.min()) for a in apart) > bolt.radius[0]


def test_a_trim_offered_never_takes_more_than_its_share():
    s, _ = shut_in(lap=35.0)
    ways = take_apart(s)
    assert {w.names for w in ways if not w.comes_out and not w.waits} == {(BOLT,)}
    assert all(f.trim.area < 0.35 * 2500.0 for f in freed(s, ways))
