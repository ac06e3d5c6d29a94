"""What a bar needs: lengths, masses, solids, and findings where it cannot be made."""

import math

import numpy as np
import pytest

from barwright.geometry.solids import Elbow, Rod
from barwright.tubes.bodies import body_of

AREA = math.pi * (19**2 - 16.5**2)


def bar(*path, stock="main", **more):
    return {"stock": stock, "path": path, **more}


def test_a_plain_bar_is_as_long_as_its_marks_are_apart(frame):
    bars = frame({"A": (0, 0, 0), "B": (300, 400, 0)}, {"one": bar("A", "B")})
    one = bars.named("one")
    assert one.cut_length == pytest.approx(500.0)
    assert one.mass == pytest.approx(7.85e-6 * AREA * 500)
    assert (one.radius, one.wall, one.stock) == (19.0, 2.5, "main")
    assert one.table.straights == pytest.approx((500.0,))
    with pytest.raises(KeyError):
        bars.named("two")


def test_cut_length_and_mass_of_a_bar_between_two_tubes(frame):
    places = {"A": (-500, 0, 0), "B": (500, 0, 0), "C": (-500, 0, 600), "D": (500, 0, 600)}
    places |= {"M": (0, 0, 0), "N": (0, 0, 600)}
    bars = frame(
        places,
        {
            "low": bar("A", "B", stock="big"),
            "high": bar("C", "D", stock="big"),
            "post": bar("M", "N"),
        },
    )
    post = bars.named("post")
    # Square joints: the longest points are where the outside is widest off the receiver's axis…
    least = math.sqrt(22.5**2 - 16.5**2)
    assert post.start.cope.min() == pytest.approx(least)
    assert post.cut_length == pytest.approx(600 - 2 * least)
    # …and the wall that is left is the wall less the mean of the cut round the tube.
    assert post.mass == pytest.approx(
        7.85e-6 * AREA * (600 - post.start.cope.mean() - post.finish.cope.mean())
    )


def test_the_zero_line_is_one_line_scribed_along_the_bar(frame):
    places = {"A": (0, 0, 0), "B": (600, 0, 0), "C": (600, 700, 0), "D": (600, 700, 800)}
    built = frame(places, {"one": bar("A", "B", "C", "D")}).named("one")
    # On the outside of the first bend, which bends toward +y: at −y; on the far end it has been
    # carried round both bends: −y → +x at the first, and +x stays +x round the second.
    assert built.start.zero == pytest.approx((0, -1, 0), abs=1e-12)
    assert built.start.along == pytest.approx((1, 0, 0), abs=1e-12)
    assert built.finish.along == pytest.approx((0, 0, -1), abs=1e-12)
    assert built.finish.zero == pytest.approx((1, 0, 0), abs=1e-12)


def test_root_gap_shortens_every_coped_end_along_the_bar(frame):
    places = {"A": (-500, 0, 0), "B": (500, 0, 0), "M": (0, 0, 0), "U": (100, 0, 400)}
    parts = {"chord": bar("A", "B"), "post": bar("M", "U")}
    tight, loose = frame(places, parts), frame(places, parts, job={"root_gap": 1.5})
    gap = loose.named("post").start.cope - tight.named("post").start.cope
    assert gap == pytest.approx(np.full(360, 1.5))
    assert not loose.named("post").finish.cope.any()


def test_positions_run_from_the_mark_toward_the_other_end(frame):
    """The crotch lies on the acute side, deeper in, whichever end it is."""
    places = {"A": (-500, 0, 0), "B": (500, 0, 0), "M": (0, 0, 0), "U": (300, 0, 300)}
    for path, name in ((("M", "U"), "start"), (("U", "M"), "finish")):
        post = frame(places, {"chord": bar("A", "B"), "post": bar(*path)}).named("post")
        end = getattr(post, name)
        assert end.along == pytest.approx((math.sqrt(0.5), 0, math.sqrt(0.5)))
        assert end.zero == pytest.approx((-math.sqrt(0.5), 0, math.sqrt(0.5)))
        # Zero is on top: the heel. The crotch is underneath, where the angle is acute.
        assert int(end.cope.argmax()) == 180
        outer = (19 + 19 * math.cos(math.pi / 4)) / math.sin(math.pi / 4)
        assert end.cope.max() == pytest.approx(outer)


def test_the_body_ends_flat_at_the_longest_points(frame):
    places = {"A": (0, 0, 0), "B": (600, 0, 0), "C": (600, 700, 0)}
    places |= {"P": (0, 0, -300), "Q": (0, 0, 300)}
    bars = frame(places, {"post": bar("P", "Q"), "one": bar("A", "B", "C")})
    body = body_of(bars.named("one"))
    first, elbow, last = body.solids
    assert isinstance(first, Rod)
    assert isinstance(elbow, Elbow)
    assert first.start == pytest.approx((math.sqrt(19**2 - 16.5**2), 0, 0))
    assert last.end == pytest.approx((600, 700, 0))
    assert elbow.arc.angle == pytest.approx(math.pi / 2)
    assert {s.radius for s in body.solids} == {19.0}


@pytest.mark.parametrize(
    ("places", "code", "measured"),
    [
        # CLR 114 wants 114 mm on either side of a right angle: 100 mm apart, two bends overlap.
        ([(0, 0, 0), (300, 0, 0), (300, 100, 0), (600, 100, 0)], "tubes.overlap", -128.0),
        ([(0, 0, 0), (100, 0, 0), (100, 400, 0)], "tubes.overlap", -14.0),
        ([(0, 0, 0), (300, 0, 0), (300, 0, 0), (600, 0, 0)], "tubes.path", None),
        ([(0, 0, 0), (300, 0, 0), (0, 0, 0)], "tubes.path", None),
    ],
)
def test_a_path_that_cannot_be_bent_is_left_out_with_the_reason(frame, places, code, measured):
    names = "ABCD"[: len(places)]
    bars = frame(dict(zip(names, places, strict=True)), {"one": bar(*names)})
    assert bars.bars == ()
    (finding,) = bars.findings
    assert (finding.code, finding.level, finding.subject) == (code, "must", "bar.one")
    assert finding.remedy
    assert finding.measured == (None if measured is None else pytest.approx(measured))


def test_a_mark_in_line_makes_no_bend(frame):
    places = {"A": (0, 0, 0), "B": (300, 0, 0), "C": (700, 0, 0)}
    one = frame(places, {"one": bar("A", "B", "C")}).named("one")
    assert one.table.bends == ()
    assert one.cut_length == pytest.approx(700)


def test_a_bend_without_a_bender(frame):
    places = {"A": (0, 0, 0), "B": (300, 0, 0), "C": (300, 400, 0)}
    bars = frame(places, {"one": bar("A", "B", "C")}, bender={})
    assert bars.bars == ()
    assert bars.findings[0].code == "tubes.clr"


def test_a_clr_below_three_diameters(frame):
    places = {"A": (0, 0, 0), "B": (300, 0, 0), "C": (300, 400, 0)}
    bars = frame(places, {"one": bar("A", "B", "C", clr=100)})
    finding, thin, _ = bars.findings
    assert (finding.code, finding.level) == ("tubes.clr", "must")
    assert (finding.measured, finding.allowed) == (100.0, 114.0)
    assert (thin.code, thin.level) == ("tubes.thinning", "look")
    assert thin.measured == pytest.approx(2.5 * 100 / 119)
    assert bars.named("one").table.clr == pytest.approx(100)


def test_straights_shorter_than_the_grip(frame):
    places = {"A": (0, 0, 0), "B": (130, 0, 0), "C": (130, 250, 0), "D": (500, 250, 0)}
    bender = {"main": {"clr": 114, "grip": 50}}
    bars = frame(places, {"one": bar("A", "B", "C", "D")}, bender=bender)
    end, between, thin, oval = bars.findings
    assert (thin.code, thin.level, oval.code, oval.level) == (
        "tubes.thinning",
        "good",
        "tubes.oval",
        "look",
    )
    assert (end.code, end.level, end.measured) == ("tubes.grip", "look", pytest.approx(16))
    assert (between.level, between.measured) == ("must", pytest.approx(22))


def test_a_cope_that_eats_the_bar(frame):
    places = {"A": (-500, 0, 0), "B": (500, 0, 0), "M": (0, 0, 0), "U": (0, 0, 15)}
    bars = frame(places, {"chord": bar("A", "B"), "stub": bar("M", "U")})
    assert [b.name for b in bars.bars] == ["chord"]
    (finding,) = bars.findings
    assert (finding.code, finding.level) == ("tubes.cope", "must")


def test_copes_that_cross(frame):
    places = {"A": (-500, 0, 0), "B": (500, 0, 0), "C": (-500, 0, 42), "D": (500, 0, 42)}
    places |= {"M": (0, 0, 0), "N": (0, 0, 42)}
    parts = {"low": bar("A", "B", stock="big"), "high": bar("C", "D", stock="big")}
    bars = frame(places, {**parts, "post": bar("M", "N")})
    (finding,) = bars.findings
    assert "cross" in finding.says
    assert finding.measured == pytest.approx(42 - 45.0, abs=0.01)


def test_a_cope_that_runs_into_a_bend(frame):
    places = {
        "A": (-500, 0, 0),
        "B": (500, 0, 0),
        "M": (0, 0, 0),
        "U": (0, 0, 130),
        "V": (0, 400, 130),
    }
    bars = frame(places, {"chord": bar("A", "B"), "bent": bar("M", "U", "V")})
    (finding,) = bars.findings
    assert "runs into the bend" in finding.says
    assert (finding.measured, finding.allowed) == (pytest.approx(19.0), pytest.approx(16.0))


def test_a_mark_nobody_measured(frame):
    bars = frame({"A": (0, 0, 0)}, {"one": bar("A", "B")})
    assert bars.bars == ()
    assert "no reading says where B is" in bars.findings[0].says


def test_a_shallow_joint_is_pointed_out(frame):
    places = {"A": (-900, 0, 0), "B": (900, 0, 0), "M": (0, 0, 0), "U": (600, 0, 200)}
    bars = frame(places, {"chord": bar("A", "B"), "brace": bar("M", "U")})
    (finding,) = bars.findings
    assert (finding.code, finding.level) == ("tubes.shallow", "look")
    assert finding.measured == pytest.approx(math.degrees(math.atan2(200, 600)))


@pytest.mark.parametrize(("roundness", "level"), [(0.95, "good"), (0.88, "must")])
def test_roundness_of_a_test_bend_against_the_rule(frame, roundness, level):
    places = {"A": (0, 0, 0), "B": (300, 0, 0), "C": (300, 400, 0)}
    bender = {"main": {"clr": 114, "roundness": roundness}}
    bars = frame(places, {"one": bar("A", "B", "C")}, bender=bender)
    (oval,) = (f for f in bars.findings if f.code == "tubes.oval")
    assert (oval.level, oval.measured, oval.allowed) == (level, roundness, 0.90)


def test_the_bender_is_asked_for_every_bar_but_those_bent_already(frame):
    places = {"A": (0, 0, 0), "B": (300, 0, 0), "C": (300, 400, 0)}
    bender = {"main": {"clr": 114, "springback": [[10, 11], [45, 48]]}}
    bars = frame(places, {"one": bar("A", "B", "C")}, bender=bender)
    assert "tubes.springback" in {f.code for f in bars.findings}
    shape = {"straights": [200, 300], "bends": [60]}
    bent = {"stock": "main", "prebent": shape, "from": "A", "to": "C"}
    bars = frame({**places, "C": (430, 0, 0)}, {"one": bent}, bender=bender)
    assert "tubes.springback" not in {f.code for f in bars.findings}
    assert [b.name for b in bars.bars] == ["one"]
