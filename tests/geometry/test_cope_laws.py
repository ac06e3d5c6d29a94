"""Laws every cope obeys, whatever the joint."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from barwright.geometry.bending import from_corners
from barwright.geometry.cope import STATIONS, Tip, cylinder_cope, plane_cope
from barwright.geometry.cope_bent import run_cope
from barwright.geometry.foot import between_runs
from barwright.geometry.path import Arc, Centreline, Straight, arc_end, length, moved, point_at
from barwright.geometry.pose import mirrored, pose_of
from barwright.geometry.vectors import point, rotation, square_to, unit

coordinate = st.floats(-1.0, 1.0)
direction = st.tuples(coordinate, coordinate, coordinate).filter(
    lambda v: math.dist(v, (0, 0, 0)) > 0.1
)


@st.composite
def joints(draw):
    """A tube's end, and a straight receiver (through, axis, radius) near it."""
    outer = draw(st.floats(5.0, 40.0))
    wall = draw(st.floats(0.05, 0.5)) * outer
    along, axis = unit(draw(direction)), unit(draw(direction))
    assume(np.linalg.norm(np.cross(along, axis)) > 0.2)
    offset = np.array(draw(st.tuples(*[st.floats(-15.0, 15.0)] * 3)))
    tip = Tip(
        origin=point(offset),
        along=point(along),
        zero=point(square_to(along)),
        inner=outer - wall,
        outer=outer,
    )
    return tip, (0.0, 0.0, 0.0), point(axis), draw(st.floats(6.0, 40.0))


def off_axis(points, through, axis):
    gap = np.asarray(points) - through
    return np.linalg.norm(np.cross(gap, axis), axis=-1)


def on_line(tip, rho, s, angles=STATIONS):
    """Points of the wall at radius rho, positions s."""
    return (
        np.array(tip.origin)
        + np.asarray(rho)[..., None] * tip.spokes(angles)
        + np.asarray(s)[..., None] * np.array(tip.along)
    )


@settings(max_examples=30)
@given(joints())
def test_the_edge_of_each_skin_lies_on_the_receiver(joint):
    tip, through, axis, radius = joint
    for rho in (tip.inner, tip.outer):
        skin = replace(tip, inner=rho, outer=rho)
        cut = cylinder_cope(skin, through, axis, radius)
        met = np.isfinite(cut)
        edge = on_line(tip, np.full(360, rho), np.where(met, cut, 0.0))[met]
        assert np.abs(off_axis(edge, through, axis) - radius) == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=30)
@given(joints())
def test_nothing_of_the_wall_beyond_the_cut_is_inside(joint):
    tip, through, axis, radius = joint
    cut = cylinder_cope(tip, through, axis, radius)
    met = np.isfinite(cut)
    for rho in np.linspace(tip.inner, tip.outer, 12):
        for beyond in (0.0, 0.01, 1.0, 17.0):
            wall = on_line(tip, np.full(360, rho), np.where(met, cut, 0.0) + beyond)[met]
            assert np.all(off_axis(wall, through, axis) >= radius - 1e-9)


@settings(max_examples=30)
@given(joints())
def test_the_cut_takes_no_more_than_it_must(joint):
    """Against the wall cut up into 400 skins: never less, and by no more than the gaps allow."""
    tip, through, axis, radius = joint
    cut = cylinder_cope(tip, through, axis, radius)
    best = np.full(360, -np.inf)
    for rho in np.linspace(tip.inner, tip.outer, 400):
        best = np.maximum(
            best, cylinder_cope(replace(tip, inner=rho, outer=rho), through, axis, radius)
        )
    met = np.isfinite(best)
    assert np.all(cut[met] >= best[met] - 1e-9)
    assert np.all(np.isfinite(cut[met]))
    # A line that only just meets the receiver climbs steeply: allow a skin's width of it there.
    assert np.quantile(cut[met] - best[met], 0.9) < 1e-3 if met.any() else True


@settings(max_examples=30)
@given(joints(), direction, st.floats(-3.0, 3.0))
def test_turning_and_moving_the_whole_joint_changes_nothing(joint, about, angle):
    tip, through, axis, radius = joint
    pose = pose_of(rotation(about, angle), (100.0, -200.0, 300.0))
    there = Tip(
        origin=point(pose.points(tip.origin)),
        along=point(pose.directions(tip.along)),
        zero=point(pose.directions(tip.zero)),
        inner=tip.inner,
        outer=tip.outer,
    )
    one = cylinder_cope(tip, through, axis, radius)
    other = cylinder_cope(there, pose.points(through), pose.directions(axis), radius)
    both = np.isfinite(one) & np.isfinite(other)
    assert np.sum(np.isfinite(one) != np.isfinite(other)) <= 2
    assert np.abs(one[both] - other[both]) == pytest.approx(0.0, abs=1e-5)
    assert np.median(np.abs(one[both] - other[both])) < 1e-9 if both.any() else True


@settings(max_examples=30)
@given(joints())
def test_the_mirrored_joint_is_the_same_cut_read_backward(joint):
    tip, through, axis, radius = joint
    flip = mirrored()
    there = Tip(
        origin=point(flip.points(tip.origin)),
        along=point(flip.directions(tip.along)),
        zero=point(flip.directions(tip.zero)),
        inner=tip.inner,
        outer=tip.outer,
    )
    one = cylinder_cope(tip, through, axis, radius)
    other = cylinder_cope(there, flip.points(through), flip.directions(axis), radius)
    back = np.roll(other[::-1], 1)
    both = np.isfinite(one) & np.isfinite(back)
    assert np.sum(np.isfinite(one) != np.isfinite(back)) <= 2
    assert np.abs(one[both] - back[both]) == pytest.approx(0.0, abs=1e-5)


@settings(max_examples=30)
@given(joints())
def test_a_square_centred_cope_has_two_planes_of_symmetry(joint):
    tip, _, _, radius = joint
    square = replace(tip, origin=(0.0, 0.0, 0.0))
    axis = np.cross(square.along, square.zero)
    cut = cylinder_cope(square, (0, 0, 0), axis, radius)
    assert np.array_equal(np.isfinite(cut), np.isfinite(np.roll(cut[::-1], 1)))
    met = np.isfinite(cut)
    assert cut[met] == pytest.approx(np.roll(cut[::-1], 1)[met], abs=1e-5)
    assert cut[met] == pytest.approx(np.roll(cut, 180)[met], abs=1e-5)


@settings(max_examples=30)
@given(joints())
def test_a_straight_run_is_the_cylinder(joint):
    tip, through, axis, radius = joint
    a = np.array(through) - 300 * np.array(axis)
    b = np.array(through) + 300 * np.array(axis)
    run = Centreline(pieces=(Straight(start=point(a), end=point(b)),))
    one = cylinder_cope(tip, through, axis, radius)
    other = run_cope(tip, run, radius)
    both = np.isfinite(one) & np.isfinite(other)
    assert np.abs(one[both] - other[both]) == pytest.approx(0.0, abs=1e-5)


@st.composite
def joints_on_a_bend(draw):
    """A tube's end on a bend that lies in the x-y plane, as joints are: thin walls, fair angles."""
    outer = draw(st.floats(8.0, 40.0))
    lean = st.floats(-1.2, 1.2)
    along = unit((draw(lean), draw(lean), draw(st.sampled_from([-1.0, 1.0]))))
    tip = Tip(
        origin=point(draw(st.tuples(*[st.floats(-15.0, 15.0)] * 3))),
        along=point(along),
        zero=point(square_to(along)),
        inner=outer * (1.0 - draw(st.floats(0.05, 0.25))),
        outer=outer,
    )
    return tip, outer * draw(st.floats(0.7, 2.0)), draw(st.floats(0.2, 2.0))


@settings(max_examples=30)
@given(joints_on_a_bend())
def test_the_cope_on_a_bend_is_the_cut_of_its_skins(joint):
    """The wall cut up into 60 skins, each skin by the quartic alone."""
    tip, radius, bend = joint
    line = from_corners(
        [(-900, 0, 0), (0, 0, 0), (900 * math.cos(bend), 900 * math.sin(bend), 0)], 140
    )
    apex = point_at(line, length(line) / 2.0)
    near = replace(tip, origin=point(np.add(apex, tip.origin)))
    cut = run_cope(near, line, radius, near=150.0, behind=150.0)
    best = np.full(360, -np.inf)
    for rho in np.linspace(tip.inner, tip.outer, 60):
        skin = replace(near, inner=rho, outer=rho)
        best = np.maximum(best, run_cope(skin, line, radius, near=150.0, behind=150.0))
    met = np.isfinite(best)
    assert np.isfinite(cut[met]).mean() > 0.97
    met &= np.isfinite(cut)
    assert np.mean(cut[met] < best[met] - 1e-6) < 0.03
    assert np.quantile(np.abs(cut[met] - best[met]), 0.9) < 0.02


def test_a_bent_receiver_moved_as_a_whole_gives_the_same_cope():
    line = from_corners([(-300, 0, 0), (0, 0, 0), (200, 250, 0)], 114)
    tip = Tip(origin=(-20, 10, 0), along=(0, 0, 1), zero=(1, 0, 0), inner=16, outer=19)
    pose = pose_of(rotation((1, 2, 3), 0.7), (5, 6, 7))
    there = Tip(
        origin=point(pose.points(tip.origin)),
        along=point(pose.directions(tip.along)),
        zero=point(pose.directions(tip.zero)),
        inner=16,
        outer=19,
    )
    assert run_cope(there, moved(line, pose), 22.5) == pytest.approx(
        run_cope(tip, line, 22.5), abs=1e-9
    )


def test_a_plate_cuts_the_tube_square_or_slanted():
    tip = Tip(origin=(0, 0, 30), along=(0, 0, 1), zero=(1, 0, 0), inner=16, outer=19)
    assert plane_cope(tip, (0, 0, 10), (0, 0, 1)) == pytest.approx(np.full(360, -20.0))
    slant = plane_cope(tip, (0, 0, 10), (math.sin(0.5), 0, math.cos(0.5)))
    # tan: on the low side the outside is last out, on the high side the bore.
    assert slant[180] == pytest.approx(-20 + 19 * math.tan(0.5))
    assert slant[0] == pytest.approx(-20 - 16 * math.tan(0.5))
    with pytest.raises(ValueError, match="does not rise"):
        plane_cope(tip, (0, 0, 0), (1, 0, 0))


def test_parallel_axes_have_no_cope():
    tip = Tip(origin=(0, 0, 0), along=(0, 0, 1), zero=(1, 0, 0), inner=16, outer=19)
    with pytest.raises(ValueError, match="parallel"):
        cylinder_cope(tip, (5, 0, 0), (0, 0, -1), 19)


@settings(max_examples=30)
@given(joints_on_a_bend(), st.booleans())
def test_a_receiver_that_ends_with_a_bend_goes_on_straight(joint, backward):
    """An arc alone, endless, is the arc with long straights put to both its ends."""
    tip, radius, bend = joint
    whole = from_corners(
        [(-2000, 0, 0), (0, 0, 0), (2000 * math.cos(bend), 2000 * math.sin(bend), 0)], 140
    )
    first, arc, last = whole.pieces
    assert isinstance(arc, Arc)
    bare = Centreline(pieces=(arc,))
    half = Centreline(pieces=(arc, last) if backward else (first, arc))
    for at in (arc.start, arc_end(arc)):
        near = replace(tip, origin=point(np.add(at, tip.origin)))
        cuts = [run_cope(near, line, radius, near=400.0, behind=400.0) for line in (bare, half)]
        wanted = run_cope(near, whole, radius, near=400.0, behind=400.0)
        for cut in cuts:
            assert np.array_equal(np.isfinite(cut), np.isfinite(wanted))
            met = np.isfinite(cut)
            assert cut[met] == pytest.approx(wanted[met], abs=1e-6)


def test_a_receiver_as_long_as_it_is_ends_at_its_ends():
    """A post beside the end of a chord: its wall meets the chord only where that is."""
    tip = Tip(origin=(0, 0, 0), along=(0, 0, 1), zero=(1, 0, 0), inner=16.0, outer=19.0)
    chord = Centreline(pieces=(Straight(start=(0.0, 0, 0), end=(500.0, 0, 0)),))
    cut = run_cope(tip, chord, 19.0, endless=False)
    x = np.cos(np.arange(360) * math.pi / 180.0)
    assert np.isfinite(cut[x > 1e-6]).all()
    assert np.all(np.isneginf(cut[x < -1e-6]))
    assert np.isfinite(run_cope(tip, chord, 19.0)).all()
    # At its side, x = 0 to 500 at radius 19: 19 sin 60° high over y = 19 cos 60°.
    skin = replace(tip, inner=19.0)
    assert run_cope(skin, chord, 19.0, endless=False)[60] == pytest.approx(19.0 * 0.5)


BESIDE = (
    Tip(origin=(0.0, 8.0, 0.0), along=(0.0, 0.0, 1.0), zero=(1.0, 0.0, 0.0), inner=7.0, outer=14.0),
    (0.0, 0.0, 0.0),
    (1.0, 0.0, 0.0),
    6.0,
)
"""Its wall passes the receiver's end between two of the radii tried."""


@settings(max_examples=20)
@example(BESIDE, 1.25, False)
@given(joints(), st.floats(0.3, 1.5), st.booleans())
def test_beyond_the_cut_nothing_of_the_wall_is_in_a_receiver_that_ends(joint, share, back):
    """Between the radii tried at a free end the wall may stand a little farther in."""
    tip, _, axis, radius = joint
    way = np.array(axis) * (-1.0 if back else 1.0)
    stop = share * radius
    run = Straight(start=point(-400.0 * way), end=point(stop * way))
    cut = run_cope(tip, Centreline(pieces=(run,)), radius, endless=False)
    whole = run_cope(tip, Centreline(pieces=(run,)), radius)
    assert (cut <= whole + 1e-9).all()
    step = np.linspace(0.0, 1.0, 40)
    begun = np.where(np.isfinite(cut), cut, -2.0 * radius) + 0.02 * radius
    for rho in np.linspace(tip.inner, tip.outer, 8):
        at = on_line(tip, np.full(360, rho), begun)[:, None] + (
            step[:, None] * 3.0 * radius * np.array(tip.along)
        )
        along = at @ way
        off = np.linalg.norm(at - along[..., None] * way, axis=-1)
        assert not ((off < radius - 1e-6) & (along < stop - 1e-6)).any()


@given(joints(), joints(), st.tuples(*[st.floats(-60.0, 60.0)] * 4))
def test_two_runs_are_as_near_as_their_nearest_points(one, other, stops):
    """The least over a fine grid of points of both is never less, and hardly more."""
    a, b, c, d = stops
    runs = [
        (tip.origin, tip.along, min(pair), max(pair))
        for (tip, *_), pair in ((one, (a, b)), (other, (c, d)))
    ]
    points = [np.array(p) + np.linspace(low, high, 200)[:, None] * w for p, w, low, high in runs]
    gap = np.linalg.norm(points[0][:, None] - points[1][None], axis=2).min()
    found = between_runs(*runs)
    assert found <= gap + 1e-9
    assert found >= gap - 0.5 * (abs(a - b) + abs(c - d)) / 199.0 - 1e-9
