"""The unrolled cut, the rotary table and the hole saw."""

import math

import numpy as np
import pytest

from barwright.geometry.path import ends, length, point_at
from barwright.tubes.hole_saw import hole_saw, saw_for
from barwright.tubes.wrap import crotch_and_heel, edge_length, rotary, twist_angles, wrap

T = {"A": (-500, 0, 0), "B": (500, 0, 0), "M": (0, 0, 0), "U": (300, 0, 300), "V": (0, 0, 400)}


def bar(*path, stock="main", **more):
    return {"stock": stock, "path": path, **more}


def test_width_curve_crotch_and_heel(frame):
    places = {**T, "U": (300, 0, 300 * math.sqrt(3))}
    bars = frame(places, {"chord": bar("A", "B", stock="big"), "brace": bar("M", "U")})
    brace = bars.named("brace")
    paper = wrap(brace, "from")
    assert paper.width == pytest.approx(math.pi * 38.1)
    assert wrap(brace, "from", paper=0.0).width == pytest.approx(119.3805, abs=5e-5)
    assert paper.curve.shape == (361, 2)
    assert paper.curve[-1] == pytest.approx((paper.width, brace.start.cope[0]))
    assert paper.crotch == pytest.approx(paper.width / 2)
    assert paper.heel == 0.0
    # The straight end unrolls to a straight line at its mark.
    assert not wrap(brace, "to").curve[:, 1].any()


def test_the_heel_is_half_round_from_the_crotch():
    assert crotch_and_heel(10 * np.cos(np.radians(np.arange(360) - 250))) == (250, 70)


@pytest.mark.parametrize("which", ["from", "to"])
def test_twist_marks_show_where_each_bend_lies(frame, which):
    """Against the centreline itself: the bend's inside, carried along to the end."""
    places = {
        "A": (0, 0, 0), "B": (600, 0, 0), "C": (900, 500, 200), "D": (700, 700, 800),
    }  # fmt: skip
    one = frame(places, {"one": bar("A", "B", "C", "D")}).named("one")
    angles = twist_angles(one, which)
    assert len(angles) == 2
    end = one.finish if which == "to" else one.start
    near = angles[0]
    spoke = math.cos(near) * np.array(end.zero) + math.sin(near) * np.cross(end.along, end.zero)
    # The nearest bend's inside: toward the other end's side of the end straight.
    gap = point_at(one.centreline, length(one.centreline) / 2) - np.array(end.origin)
    gap -= (gap @ np.array(end.along)) * np.array(end.along)
    assert spoke @ gap / np.linalg.norm(gap) == pytest.approx(1.0, abs=1e-9)
    assert ends(one.centreline)[0] == pytest.approx((0, 0, 0))


def test_a_straight_bar_has_no_twist_marks(frame):
    assert wrap(frame(T, {"one": bar("A", "B")}).named("one"), "from").twists == ()


def test_rotary_table_has_both_ends_in_one_frame(frame):
    places = {**T, "C": (-500, 30, 400), "D": (500, -30, 400)}
    bars = frame(places, {"low": bar("A", "B"), "high": bar("C", "D"), "post": bar("M", "V")})
    post = bars.named("post")
    rows = rotary(post)
    assert rows.shape == (361, 3)
    assert rows[:, 1].min() == pytest.approx(0.0)
    assert rows[:, 2].max() == pytest.approx(post.cut_length)
    # Along one line of the wall the piece left is the axis length less both cuts.
    for k in (0, 37, 200):
        left = rows[k, 2] - rows[k, 1]
        assert left == pytest.approx(400 - post.start.cope[k] - post.finish.cope[-k % 360])


def test_half_the_kerf_is_left_on_the_part(frame):
    bars = frame(T, {"low": bar("A", "B"), "post": bar("M", "V")})
    plain, kept = rotary(bars.named("post")), rotary(bars.named("post"), kerf=1.0)
    # Where the cut runs square to the axis, the whole half kerf; on a slope, more along the axis.
    crown = int(plain[:360, 1].argmax())
    assert plain[crown, 1] - kept[crown, 1] == pytest.approx(0.5, abs=1e-3)
    assert np.all(plain[:, 1] - kept[:, 1] >= 0.5 - 1e-3)
    assert kept[:, 2] - plain[:, 2] == pytest.approx(np.full(361, 0.5), abs=1e-9)


def test_a_hole_saw_cuts_a_square_joint_in_one_pass(frame):
    bars = frame(T, {"chord": bar("A", "B"), "post": bar("M", "V", stock="light")})
    post = bars.named("post")
    cut = hole_saw(bars, post, post.start)
    assert (cut.possible, cut.one_pass, cut.why_not) == (True, True, "")
    assert math.degrees(cut.angle) == pytest.approx(90)
    assert cut.offset == pytest.approx(0.0, abs=1e-9)
    assert cut.saw == pytest.approx(38.1)
    assert cut.deep == pytest.approx(25.4)
    assert hole_saw(bars, post, post.finish) is None


def test_offset_and_angle_of_the_saw(frame):
    places = {**T, "M": (0, 3, 0), "U": (300, 3, 300)}
    bars = frame(places, {"chord": bar("A", "B"), "brace": bar("M", "U", stock="light")})
    cut = hole_saw(bars, bars.named("brace"), bars.named("brace").start)
    assert (math.degrees(cut.angle), cut.offset) == (pytest.approx(45), pytest.approx(3))
    # Along the chord the cut is (25.4 + what the saddle's slope adds) long: a common cup does.
    assert cut.one_pass
    shallow = hole_saw(bars, bars.named("brace"), bars.named("brace").start, cup=30)
    assert (shallow.possible, shallow.one_pass) == (True, False)
    assert shallow.why_not == f"the cup must be {cut.deep:.0f} mm deep"
    # 12.7 (1 + cos 45°) / sin 45° on either hand, less the saddle: between these two.
    assert 25.4 < cut.deep < 2 * 12.7 * math.sqrt(2) + 1e-9


@pytest.mark.parametrize(
    ("bars", "why"),
    [
        ({"chord": bar("A", "B"), "up": bar("M", "V"), "one": bar("M", "U")}, "it meets 2 tubes"),
        ({"chord": bar("A", "B", stock="light"), "one": bar("M", "U")}, "chord is thinner"),
        ({"chord": bar("A", "B", stock="big"), "one": bar("M", "U", stock="main")}, "no saw comes"),
    ],
)
def test_where_no_hole_saw_will_do(frame, bars, why):
    made = frame(T, bars)
    cut = hole_saw(made, made.named("one"), made.named("one").start)
    assert not cut.possible
    assert cut.why_not.startswith(why)


def test_saws_come_in_eighths():
    assert saw_for(45.0) == pytest.approx(47.625)
    assert saw_for(38.1) == pytest.approx(38.1)


@pytest.mark.parametrize("kerf", [1.5, 4.0])
def test_a_rotary_cut_runs_half_a_kerf_beside_the_edge_on_the_skin(frame, kerf):
    """The offset curve of a smooth one, square to it everywhere: mitre, y = R tan sin."""
    bars = frame(T, {"chord": bar("A", "B"), "brace": bar("M", "U")})
    brace = bars.named("brace")
    rows, bare = rotary(brace, kerf=kerf), rotary(brace)
    around = math.pi * 38.0
    fine = np.linspace(-360.0, 720.0, 100_001)
    for column, waste in ((1, -1.0), (2, 1.0)):
        edge = np.interp(fine, bare[:, 0], bare[:, column], period=360.0)
        for degree, at in zip(rows[::15, 0], rows[::15, column], strict=True):
            away = np.hypot((fine - degree) / 360.0 * around, edge - at)
            assert away.min() == pytest.approx(kerf / 2.0, abs=0.02)
            here = np.interp(degree, bare[:, 0], bare[:, column])
            assert waste * (at - here) > 0.0


def test_a_square_cut_is_moved_by_half_the_kerf_alone(frame):
    one = frame(T, {"one": bar("A", "B")}).named("one")
    rows = rotary(one, kerf=2.0)
    assert rows[:, 1] == pytest.approx(-1.0)
    assert rows[:, 2] == pytest.approx(1001.0)
    assert rows[[0, -1], 0].tolist() == [0.0, 360.0]
    assert np.diff(rows[:, 0]) == pytest.approx(1.0)


def test_an_edge_is_as_long_as_the_ellipse_it_is_in_space():
    """A mitre at 45°: an ellipse of half axes R and R √2, its length by scipy's ellipe."""
    from scipy.special import ellipe

    cope = 19.0 * np.cos(np.radians(np.arange(3600) / 10.0))
    assert edge_length(cope, 19.0) == pytest.approx(
        4.0 * 19.0 * math.sqrt(2.0) * ellipe(0.5), rel=1e-5
    )


@pytest.mark.parametrize(("along", "trouble"), [(185.0, True), (195.0, False)])
def test_a_saw_cuts_no_joint_on_a_bend(frame, along, trouble):
    """A hoop of 114 mm radius bends 114 mm about its corner; the joint spans 76 mm either way."""
    places = {
        "P": (0, 0, -800),
        "Q": (0, 0, 0),
        "R": (0, 800, 0),
        "J": (0, 0, -along),
        "K": (700, 0, -along),
    }
    bars = frame(
        places, {"hoop": bar("P", "Q", "R"), "rail": bar("J", "K", cope={"from": ["hoop"]})}
    )
    rail = bars.named("rail")
    cut = hole_saw(bars, rail, rail.start, cup=60.0)
    assert ("bent there" in cut.why_not) == trouble


def test_a_flat_angle_and_a_thin_receiver_want_another_way(frame):
    places = {**T, "W": (400, 0, 100)}
    bars = frame(places, {"chord": bar("A", "B"), "low": bar("M", "W")})
    low = bars.named("low")
    cut = hole_saw(bars, low, low.start, cup=500.0)
    assert math.degrees(cut.angle) == pytest.approx(math.degrees(math.atan2(100, 400)))
    assert not cut.possible
    assert "flatter than a jig holds" in cut.why_not
    thin = frame(T, {"chord": bar("A", "B", stock="light"), "post": bar("M", "V")})
    post = thin.named("post")
    assert "thinner than the bar" in hole_saw(thin, post, post.start, cup=500.0).why_not
