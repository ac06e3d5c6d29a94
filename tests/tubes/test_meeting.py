"""Which bar is coped against which, on frames small enough to see through."""

import math

import numpy as np
import pytest

from barwright.tubes import meeting

T = {"A": (-500, 0, 0), "B": (500, 0, 0), "M": (0, 0, 0), "U": (0, 0, 400), "D": (0, 0, -400)}


def bar(*path, stock="main", **more):
    return {"stock": stock, "path": path, **more}


def test_a_tee_copes_the_bar_that_ends_and_not_the_one_that_passes(frame):
    bars = frame(T, {"post": bar("M", "U"), "chord": bar("A", "B")})
    post, chord = bars.named("post"), bars.named("chord")
    assert post.start.against == ("chord",)
    assert (post.finish.against, chord.start.against, chord.finish.against) == ((), (), ())
    assert not post.finish.cope.any()
    assert not chord.start.cope.any()
    assert bars.findings == ()


def test_two_braces_on_opposite_sides_of_a_tube_do_not_meet(frame):
    bars = frame(T, {"chord": bar("A", "B"), "up": bar("M", "U"), "down": bar("M", "D")})
    assert bars.named("up").start.against == ("chord",)
    assert bars.named("down").start.against == ("chord",)
    assert np.allclose(bars.named("up").start.cope, bars.named("down").start.cope)


def test_two_braces_on_one_side_meet_and_the_later_gives_way(frame):
    places = {**T, "V": (300, 0, 400)}
    bars = frame(places, {"chord": bar("A", "B"), "up": bar("M", "U"), "brace": bar("M", "V")})
    assert bars.named("up").start.against == ("chord",)
    assert bars.named("brace").start.against == ("chord", "up")


def test_the_larger_of_two_that_end_runs_through_whatever_the_order(frame):
    places = {**T, "V": (300, 0, 400)}
    bars = frame(
        places,
        {"chord": bar("A", "B"), "thin": bar("M", "U", stock="light"), "thick": bar("M", "V")},
    )
    assert bars.named("thick").start.against == ("chord",)
    assert bars.named("thin").start.against == ("chord", "thick")


def test_at_a_corner_of_two_the_later_is_coped_against_the_earlier(frame):
    bars = frame(T, {"one": bar("A", "M"), "two": bar("M", "U")})
    assert bars.named("one").finish.against == ()
    assert bars.named("two").start.against == ("one",)
    # As against the whole, endless tube.
    whole = frame(T, {"one": bar("A", "B"), "two": bar("M", "U")})
    assert np.array_equal(bars.named("two").start.cope, whole.named("two").start.cope)


def test_bars_in_line_are_butted_not_coped(frame):
    bars = frame(T, {"one": bar("A", "M"), "two": bar("M", "B")})
    assert bars.named("two").start.against == ()
    assert bars.named("two").cut_length == pytest.approx(500.0)
    assert [f.code for f in bars.findings] == ["tubes.butt"]


@pytest.mark.parametrize("lift", [-3.0, 0.0, 4.0, 19.0, 22.0])
def test_a_mark_off_the_axis_or_on_the_surface_gives_the_same_joint(frame, lift):
    places = {**T, "M": (0, 0, lift)}
    bars = frame(places, {"chord": bar("A", "B"), "post": bar("M", "U")})
    straight = frame(T, {"chord": bar("A", "B"), "post": bar("M", "U")})
    post, known = bars.named("post"), straight.named("post")
    assert post.start.against == ("chord",)
    assert post.start.cope + lift == pytest.approx(known.start.cope, abs=1e-9)
    assert post.cut_length == pytest.approx(known.cut_length, abs=1e-9)
    assert post.mass == pytest.approx(known.mass, abs=1e-12)


def test_a_mark_clear_of_every_tube_is_cut_square(frame):
    bars = frame({**T, "M": (0, 0, 60)}, {"chord": bar("A", "B"), "post": bar("M", "U")})
    assert bars.named("post").start.against == ()


def test_the_job_may_say_otherwise(frame):
    bars = frame(
        T,
        {
            "chord": bar("A", "B"),
            "up": bar("M", "U", cope={"from": []}),
            "brace": bar("M", "D", cope={"from": ["up"], "to": []}),
        },
    )
    assert bars.named("up").start.against == ()
    assert not bars.named("up").start.cope.any()
    # Explicit, and in line: no cut exists, so the bar is left out and a finding says why.
    assert "brace" not in {b.name for b in bars.bars}
    assert [f.code for f in bars.findings] == ["tubes.meet"]


def test_cope_against_a_bar_that_is_not_there_or_out_of_reach(frame):
    far = {**T, "N": (0, 0, 200)}
    bars = frame(
        far,
        {
            "chord": bar("A", "B"),
            "lost": bar("N", "U", cope={"from": ["chord"]}),
            "odd": bar("M", "U", cope={"from": ["nothing"]}),
        },
    )
    assert [b.name for b in bars.bars] == ["chord"]
    meet, cope = bars.findings
    assert (meet.code, cope.code) == ("tubes.meet", "tubes.cope")
    assert meet.measured == pytest.approx(200 - 19)


def test_a_leaf_is_not_coped_against_what_stands_nor_the_other_way(frame):
    leaf = {"door": {"bars": ["post", "rail"], "axis": ["M", "U"], "opens": 90}}
    places = {**T, "V": (300, 0, 200), "W": (0, 0, 200)}
    bars = frame(
        places,
        {"chord": bar("A", "B"), "post": bar("M", "U"), "rail": bar("W", "V"), "x": bar("W", "A")},
        leaf=leaf,
    )
    assert bars.named("post").start.against == ()
    assert bars.named("rail").start.against == ("post",)
    assert bars.named("x").start.against == ()
    told = frame(
        places,
        {"chord": bar("A", "B"), "post": bar("M", "U", cope={"from": ["chord"]})},
        leaf={"door": {"bars": ["post"], "axis": ["M", "U"], "opens": 90}},
    )
    assert told.named("post").start.against == ("chord",)


def test_a_brace_inside_a_hoop_meets_one_leg_at_each_end(frame):
    places = {
        "P": (0, 400, 0),
        "Q": (0, 400, 900),
        "R": (0, -400, 900),
        "S": (0, -400, 0),
        "J": (0, 400, 500),
        "K": (0, -400, 500),
    }
    bars = frame(places, {"hoop": bar("P", "Q", "R", "S"), "cross": bar("J", "K")})
    cross = bars.named("cross")
    assert cross.start.against == cross.finish.against == ("hoop",)
    assert cross.start.cope.min() == pytest.approx(math.sqrt(19**2 - 16.5**2), abs=1e-9)
    assert cross.start.cope.max() == pytest.approx(19.0)


def test_a_brace_to_a_bent_corner_reaches_in_to_the_bend(frame):
    """The mark is where the straights would meet; the bend passes inside it."""
    places = {"P": (-600, 0, 0), "Q": (0, 0, 0), "R": (0, 0, -600), "I": (-400, 0, -400)}
    bars = frame(places, {"corner": bar("P", "Q", "R"), "brace": bar("Q", "I", stock="light")})
    brace = bars.named("brace")
    assert brace.start.against == ("corner",)
    # Toward the bend's centre, 114 √2 off; the bend's inside is a circle of 114 − 19 there.
    inside = 114 * math.sqrt(2) - math.sqrt((114 - 19) ** 2 - 12.7**2)
    assert brace.start.cope.max() == pytest.approx(inside, abs=1e-9)


def test_twins_mirror_the_bars_and_can_be_met(frame):
    places = {
        "A": (-500, 300, 0),
        "B": (500, 300, 0),
        "M": (0, 300, 0),
        "U": (100, 200, 400),
        "N": (200, -300, 0),
        "L": (200, 300, 0),
    }
    bars = frame(
        places,
        {"chord": bar("A", "B"), "post": bar("M", "U"), "cross": bar("L", "N")},
        twin={"of": ["chord", "post"]},
    )
    assert [b.name for b in bars.bars] == ["chord", "post", "cross", "chord-twin", "post-twin"]
    cross, post, twin = bars.named("cross"), bars.named("post"), bars.named("post-twin")
    assert cross.start.against == ("chord",)
    assert cross.finish.against == ("chord-twin",)
    assert twin.start.against == ("chord-twin",)
    assert twin.twin_of == "post"
    assert np.array(twin.finish.origin) == pytest.approx(np.array(post.finish.origin) * (1, -1, 1))
    # The cut round the twin is the same cut on the chord's twin.
    for k in range(360):
        assert twin.start.cope[k] == post.start.cope[-k % 360]


def test_an_end_lands_flat_on_the_face_of_a_plate(frame):
    places = {
        "M": (0, 0, 12),
        "U": (300, 0, 312),
        "P": (0, 0, 10),
        "Q": (50, 0, 10),
        "R": (0, 60, 10),
    }
    bars = frame(places, {"post": bar("M", "U", cope={"from_face": ["P", "Q", "R"]})})
    post = bars.named("post")
    assert post.start.against == ()
    # 2 mm above the plate along z is 2 √2 along the bar; the low side is the outside, underneath.
    assert post.start.cope.max() == pytest.approx(-2 * math.sqrt(2) + 19)
    assert post.start.cope.min() == pytest.approx(-2 * math.sqrt(2) - 16.5)
    for names, says in ((["P", "Q", "P"], "lie in line"), (["P", "Q", "X"], "no reading")):
        left = frame(places, {"post": bar("M", "U", cope={"from_face": names})})
        assert left.bars == ()
        assert says in left.findings[0].says


def test_a_saddle_that_hangs_past_an_open_end_is_told(frame):
    bars = frame(T, {"one": bar("A", "M"), "two": bar("M", "U", stock="light")})
    (finding,) = bars.findings
    assert (finding.code, finding.level, finding.subject) == ("tubes.corner", "look", "bar.one")
    assert finding.measured == pytest.approx(12.7, abs=0.01)
    longer = frame(
        T, {"one": bar("A", "M", past={"to": 12.8}), "two": bar("M", "U", stock="light")}
    )
    assert longer.findings == ()
    one = longer.named("one")
    assert one.cut_length == pytest.approx(500 + 12.8)
    assert np.all(one.finish.cope == -12.8)
    assert np.array_equal(longer.named("two").start.cope, bars.named("two").start.cope)
    assert frame(T, {"one": bar("A", "B"), "two": bar("M", "U")}).findings == ()


def test_a_bar_wider_than_what_it_stands_on(frame):
    bars = frame(T, {"chord": bar("A", "B", stock="light"), "post": bar("M", "U", stock="big")})
    assert [f.code for f in bars.findings] == ["tubes.wider"]
    post = bars.named("post")
    # Above the chord it is saddled; on both sides the wall runs on to its mark.
    assert post.start.cope.max() == pytest.approx(12.7)
    assert post.start.zero == pytest.approx((1, 0, 0))
    assert post.start.cope[0] == pytest.approx(12.7)
    assert post.start.cope[90] == post.start.cope[270] == 0.0


def test_a_bar_laid_along_another_is_not_passed_over(frame):
    places = {"A": (-500, 0, 0), "M": (0, 0, 0), "U": (0, 0, 600)}
    bars = frame(places, {"bent": bar("A", "M", "U"), "same": bar("M", "U")})
    assert ("tubes.along", "must", "bar.same") in {
        (f.code, f.level, f.subject) for f in bars.findings
    }
    parted = frame(
        {**places, "N": (0, 0, 200), "V": (0, 10, 600)},
        {"bent": bar("A", "M", "U"), "same": bar("N", "V")},
    )
    assert [b.name for b in parted.bars] == ["bent"]
    assert parted.findings[0].code == "tubes.cope"


def test_a_bar_that_ends_where_its_twin_begins_is_pointed_out(frame):
    places = {"A": (0, 0, 900), "B": (0, 600, 900)}
    bars = frame(places, {"half": bar("A", "B")}, twin={"of": ["half"]})
    (finding,) = bars.findings
    assert (finding.code, finding.level, finding.measured) == ("tubes.twin", "look", 0.0)
    assert [b.start.against for b in bars.bars] == [(), ()]


@pytest.mark.parametrize(("deep", "coped"), [(-0.5, False), (0.0, False), (0.5, True)])
def test_a_bar_that_stands_on_anothers_end_without_entering_it_is_cut_square(frame, deep, coped):
    """The lower bar's top is level with the upper one's end face, or half a millimetre above."""
    places = {"A": (-500, 0, -19.0 + deep), "N": (0, 0, -19.0 + deep), "M": (0, 0, 0)}
    bars = frame({**places, "U": (0, 0, 400)}, {"one": bar("A", "N"), "two": bar("M", "U")})
    assert bars.named("two").start.against == (("one",) if coped else ())
    if coped:
        assert bars.named("two").start.cope.max() == pytest.approx(deep, abs=0.02)


@pytest.mark.parametrize("seed", range(12))
def test_points_of_the_edge_say_of_no_bar_what_the_whole_wall_does_not(frame, monkeypatch, seed):
    rng = np.random.default_rng(seed)
    ends = {f"E{k}": tuple(rng.normal(0.0, 400.0, 3)) for k in range(6)}
    places = {name: tuple(np.add(at, rng.normal(0.0, 8.0, 3))) for name, at in T.items()} | ends
    bars = {"chord": bar("A", "B", stock="big"), "bent": bar("U", "M", "E5", stock="light")}
    bars |= {f"brace{k}": bar("M", f"E{k}", stock=("main", "light")[k % 2]) for k in range(5)}
    quick = frame(places, bars)
    monkeypatch.setattr(meeting, "_in_its_way", lambda *_: False)
    slow = frame(places, bars)
    assert [(b.start.against, b.finish.against) for b in quick.bars] == [
        (b.start.against, b.finish.against) for b in slow.bars
    ]
    assert sum(len(b.start.against) for b in quick.bars) > 4
