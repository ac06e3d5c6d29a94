"""Flat patterns: order, layers, labels, no doubles; hands of mirrored parts."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_up import BRACKET, CHEEK, circle

from barwright.geometry.pose import mirrored
from barwright.pack.drawing import BEND, CUT, ETCH, Circle, Line, Loop, Text, bounds
from barwright.pack.outlines import flat_drawing
from barwright.pack.twins import (
    FLIP,
    FLIP_ETCHED,
    OWN,
    SAME_PART,
    alike,
    as_cut,
    hand_of,
    over,
    turned_over,
)
from barwright.plates.part import Etch, Fold
from barwright.plates.part import Loop as PartLoop
from barwright.plates.solids import body_of


def cuts(part):
    return [p for p in flat_drawing(part) if p.layer == CUT]


def test_holes_come_first_from_small_to_large_and_the_outline_last():
    small, large, outline = cuts(CHEEK)
    assert (small.radius, large.radius) == pytest.approx((4.0, 9.5))
    assert isinstance(outline, Loop)
    assert outline.closed


def test_bends_carry_their_direction_and_angle():
    drawing = flat_drawing(BRACKET)
    assert [p for p in drawing if p.layer == BEND and isinstance(p, Line)] == [
        Line(start=(50.0, 0.0), end=(50.0, 80.0), layer=BEND),
        Line(start=(95.0, 0.0), end=(95.0, 80.0), layer=BEND),
    ]
    words = [p.text for p in drawing if isinstance(p, Text) and p.layer == ETCH]
    assert words == ["UP 90.0° R3.00", "DOWN 60.0° R3.00"]


def test_a_hole_asked_for_twice_is_cut_once():
    twice = replace(CHEEK, holes=(*CHEEK.holes, circle(70.0, 30.0, 4.0)))
    assert cuts(twice) == cuts(CHEEK)


def test_a_vertex_given_twice_is_drawn_once():
    v = BRACKET.outline.vertices
    stuttering = replace(BRACKET, outline=PartLoop(vertices=(v[0], v[0], *v[1:], v[0])))
    assert cuts(stuttering)[-1] == cuts(BRACKET)[-1]


def test_a_slot_is_not_taken_for_a_circle():
    slot = PartLoop(
        vertices=((0.0, 5.0, 0.0), (20.0, 5.0, -1.0), (20.0, -5.0, 0.0), (0.0, -5.0, -1.0))
    )
    assert isinstance(cuts(replace(CHEEK, holes=(slot,)))[0], Loop)
    assert bounds([cuts(replace(CHEEK, holes=(slot,)))[0]]) == pytest.approx(
        (-5.0, -5.0, 25.0, 5.0)
    )


def test_a_part_placed_by_mirroring_is_cut_mirrored_and_stands_where_it_stood():
    twin = replace(BRACKET, name="t", twin_of=BRACKET.name, placed=mirrored().after(BRACKET.placed))
    cut = as_cut(twin)
    assert not cut.placed.mirrors
    there = np.array([c for s in body_of(BRACKET).solids for c in s.corners]) * (1, -1, 1)
    here = np.array([c for s in body_of(cut).solids for c in s.corners])
    assert sorted(map(tuple, here.round(6))) == sorted(map(tuple, there.round(6)))


def test_a_symmetric_part_s_twin_is_the_same_part():
    flat = replace(CHEEK, etch=(), holes=(circle(45.0, 20.0, 5.0),))
    twin = replace(flat, name="t", twin_of=flat.name, placed=mirrored().after(flat.placed))
    assert hand_of(twin, (flat, twin)) == SAME_PART
    assert hand_of(flat, (flat, twin)) == SAME_PART


def test_a_lopsided_flat_part_s_twin_is_the_same_turned_over():
    flat = replace(CHEEK, etch=(), holes=(circle(20.0, 20.0, 5.0),))
    twin = replace(flat, name="t", twin_of=flat.name, placed=mirrored().after(flat.placed))
    assert hand_of(twin, (flat, twin)) == FLIP


def test_etching_on_one_face_is_told():
    flat = replace(CHEEK, holes=(circle(20.0, 20.0, 5.0),), etch=(Etch(text="F", at=(40.0, 40.0)),))
    twin = replace(flat, name="t", twin_of=flat.name, placed=mirrored().after(flat.placed))
    assert hand_of(twin, (flat, twin)) == FLIP_ETCHED


def test_a_lopsided_folded_part_has_its_own_left_and_right_unless_it_unfolds_the_same():
    lopsided = replace(BRACKET, holes=(circle(20.0, 25.0, 6.0),))
    twin = replace(
        lopsided, name="t", twin_of=lopsided.name, placed=mirrored().after(lopsided.placed)
    )
    assert hand_of(twin, (lopsided, twin)) == OWN
    symmetric = replace(BRACKET, name="s")
    other = replace(symmetric, name="t", twin_of="s", placed=mirrored().after(symmetric.placed))
    assert hand_of(other, (symmetric, other)) == SAME_PART


def test_turning_over_swaps_up_and_down():
    assert [f.angle for f in turned_over(BRACKET).folds] == [-f.angle for f in BRACKET.folds]
    assert not alike(BRACKET, turned_over(BRACKET))


@settings(max_examples=30)
@given(turn=st.floats(-math.pi, math.pi), x=st.floats(-500, 500), y=st.floats(-500, 500))
def test_a_part_turned_and_shifted_is_alike(turn, x, y):
    c, s = math.cos(turn), math.sin(turn)

    def put(p):
        return (c * p[0] - s * p[1] + x, s * p[0] + c * p[1] + y)

    def loop(one):
        return PartLoop(vertices=tuple((*put(v), v[2]) for v in one.vertices))

    moved = replace(
        BRACKET,
        outline=loop(BRACKET.outline),
        holes=tuple(loop(h) for h in BRACKET.holes),
        folds=tuple(
            Fold(start=put(f.end), end=put(f.start), angle=f.angle, radius=f.radius)
            for f in BRACKET.folds
        ),
    )
    assert alike(BRACKET, moved)
    assert over(over(BRACKET)).folds == BRACKET.folds


def test_a_circle_is_a_circle_whichever_way_it_runs():
    forth, back = PartLoop(vertices=((-5.0, 0.0, 1.0), (5.0, 0.0, 1.0))), circle(0.0, 0.0, 5.0)
    for one in (forth, back):
        (hole, _) = cuts(replace(BRACKET, holes=(one,)))
        assert hole == Circle(centre=(0.0, 0.0), radius=5.0)
