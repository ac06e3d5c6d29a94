"""Mirrored parts: where they stand, and that they are whole."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from joints import bar, side
from shapely.geometry import box

from barwright.findings import Level
from barwright.geometry.pose import turned
from barwright.plates.blank import Plate, blank, bored, flange, part_of
from barwright.plates.folded import folded, folded_volume
from barwright.plates.make import parts
from barwright.plates.outline import circle
from barwright.plates.part import Parts
from barwright.plates.solids import body_of
from barwright.plates.twins import mirror_body, twin, twinned
from barwright.tubes.bars import Bars


def plate(shape, *flanges, holes=()):
    b = blank(Plate(thickness=2.0, radius=2.0), shape, turned((5, 60, 9), (1, 2, 0), 0.6))
    for start, end, angle in flanges:
        b = flange(b, start, end, reach=20, angle=angle)
    return part_of(bored(b, *holes), "p", keep=(5, 5))


UP = ((40, 0), (40, 20), math.pi / 2.0)
OFF = circle((10, 6), 2.0, hole=True)


@given(st.floats(-2.0, 2.0).filter(lambda a: abs(a) > 0.1), st.floats(3.0, 30.0))
def test_the_twin_stands_where_the_mirror_has_it(angle, along):
    part = plate(box(0, 0, 40, 20), ((40, 0), (40, 20), angle), holes=(OFF,))
    other = twin(part)
    assert not other.placed.mirrors
    assert folded_volume(other) == pytest.approx(folded_volume(part))
    p = np.array([along, 7.0, 0.4])
    here = folded(part).panels[0].pose.points(p)
    there = folded(other).panels[0].pose.points(p * [1, -1, 1])
    assert np.allclose(there, here * [1, -1, 1])
    tip = folded(part).panels[1]
    x = float(tip.shape.bounds[2])
    end = folded(other).panels[1].pose.points((x, -3.0, 1.0))
    assert np.allclose(end, tip.pose.points((x, 3.0, 1.0)) * [1, -1, 1])


def test_a_twins_twin_is_the_part_again():
    part = plate(box(0, 0, 40, 20), UP, holes=(OFF,))
    again = twin(twin(part))
    assert np.allclose(again.placed.matrix, part.placed.matrix)
    assert np.allclose(sorted(again.outline.vertices), sorted(part.outline.vertices))


def test_bodies_mirror_like_their_parts():
    part = plate(box(0, 0, 40, 20), UP)
    mirrored = mirror_body(body_of(part), "p-twin")
    a = np.vstack([b.corners for b in mirrored.solids])
    b = np.vstack([b.corners for b in body_of(twin(part)).solids])
    assert np.allclose(np.sort(a.min(axis=0)), np.sort(b.min(axis=0)), atol=1e-6)
    assert np.allclose(a.max(axis=0), b.max(axis=0), atol=1e-6)


def test_a_leafs_fittings_are_made_for_both_sides():
    job, marks, bars, motions = side(twin={"of": ["side"]})
    made = parts(job, marks, bars, motions)
    names = {p.name for p in made.parts}
    assert {n + "-twin" for n in names if not n.endswith("-twin")} <= names
    striker = next(p for p in made.parts if p.name == "side.striker.gusset-twin")
    assert striker.rides == "side-twin"
    assert striker.twin_of == "side.striker.gusset"
    assert ("upper-twin", "side.hinge.bolt-twin") in made.intended
    assert ("upper-twin", "side.hinge.cheek-upper-twin") in made.rests
    assert ("side.striker.gusset-twin", "side.latch.plate-twin") in made.rests
    assert ("side.hinge.gusset-twin", "side.hinge.cheek-upper-twin") in _both_ways(made.joins)
    assert not [b for a, b in made.joins if a.endswith("-twin") and b in {"pillar", "hoop"}]
    bolt = next(h for h in made.hardware if h.name == "side.hinge.bolt-twin")
    assert bolt.body.solids[0].start[1] < 0.0


def test_only_what_is_asked_for_is_mirrored():
    job, _, _, motions = side(twin={"of": ["p"]})
    one = plate(box(0, 0, 40, 20))
    made = Parts(parts=(one, replace(one, name="other")))
    names = [p.name for p in twinned(made, job, motions).parts]
    assert names == ["p", "other", "p-twin"]


def test_marks_read_the_right_way_round_on_a_twin():
    part = plate(box(0, 0, 40, 20))
    (etch,) = twin(part).etch
    assert etch.text == "p-twin"
    x, y = etch.at
    assert 0.0 < x < 40.0
    assert -20.0 < y < y + etch.height < 0.0


def _both_ways(pairs):
    return pairs | {(b, a) for a, b in pairs}


@pytest.mark.parametrize(("out", "level"), [(0.4, Level.GOOD), (4.0, Level.LOOK)])
def test_a_frame_that_is_out_on_the_other_side_is_told(out, level):
    """The right pillar stands a little off the left one's mirror image."""
    job, marks, bars, motions = side(twin={"of": ["side"]})
    line = bars.named("pillar").centreline.pieces[0]
    ends = [np.array(p) * [1, -1, 1] + [out, 0, 0] for p in (line.start, line.end)]
    right = bar("pillar-right", *ends)
    made = parts(job, marks, Bars(bars=(*bars.bars, right)), motions)
    found = next(f for f in made.findings if f.code == "plates.twin-fit")
    assert found.level is level
    assert found.measured == pytest.approx(out, abs=0.01 + 0.01 * out)
    assert ("side.hinge.cheek-upper-twin", "pillar-right") in made.joins
