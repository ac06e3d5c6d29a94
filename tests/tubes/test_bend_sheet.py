"""The bend sheet: marks, rolls, set angles and the blank, checked by bending a straight tube."""

import math

import numpy as np
import pytest

from barwright.geometry.bending import from_table, table_of
from barwright.geometry.path import BendTable, reversed_line
from barwright.job.schema import Bender
from barwright.tubes.bend_sheet import bend_sheet, reversed_table
from barwright.tubes.bending_room import (
    _ahead,
    _bed,
    _itself,
    _left,
    _swept,
    clashes,
    room_findings,
)

PLACES = {"A": (0, 0, 0), "B": (600, 0, 0), "C": (600, 700, 0), "D": (600, 700, 800)}
ARC = 114 * math.pi / 2


@pytest.fixture
def sheet_of(built):
    def make_one(*, bender=None, **more):
        bar = {"stock": "main", "path": ["A", "B", "C", "D"], **more}
        job, bars = built(PLACES, {"one": bar}, bender={"main": {"clr": 114, **(bender or {})}})
        return bend_sheet(job, bars.named("one"))

    return make_one


def test_marks_rolls_and_blank(sheet_of):
    sheet, findings = sheet_of()
    assert findings == ()
    assert sheet.blank == pytest.approx(600 + 700 + 800 - 4 * 114 + 2 * ARC)
    one, two = sheet.steps
    assert (one.begins, one.ends) == (pytest.approx(486), pytest.approx(486 + ARC))
    assert two.begins == pytest.approx(486 + ARC + 700 - 228)
    assert (one.roll, math.degrees(two.roll)) == (0.0, pytest.approx(90.0))
    assert two.roll_arc == pytest.approx(19 * math.pi / 2)
    assert math.degrees(one.set) == pytest.approx(90)
    # What is behind the last bend, plus all before it, is the whole blank.
    assert sheet.blank - two.ends == pytest.approx(800 - 114)


def test_from_the_other_end_the_turn_is_the_same_and_the_straights_run_back(sheet_of):
    here, _ = sheet_of()
    there, _ = sheet_of(bend_from="to")
    assert there.from_end == "to"
    assert there.steps[0].begins == pytest.approx(800 - 114)
    assert there.steps[1].roll == pytest.approx(here.steps[1].roll)
    assert there.blank == pytest.approx(here.blank)
    # Seen from the other end a bend begins where it ended.
    assert there.steps[0].begins == pytest.approx(here.blank - here.steps[1].ends)


def test_start_offset_grip_and_trim(sheet_of):
    sheet, _ = sheet_of(bender={"start_offset": 30, "trim": 25})
    assert (sheet.trim_first, sheet.trim_last) == (25.0, 25.0)
    assert sheet.steps[0].begins == pytest.approx(486 + 25)
    assert sheet.steps[0].mark == pytest.approx(486 + 25 - 30)
    gripped, _ = sheet_of(bender={"grip": 500})
    assert gripped.trim_first == pytest.approx(14.0)
    assert gripped.steps[0].straight == pytest.approx(500)


def test_springback_sets_more_and_refuses_to_guess(sheet_of):
    sheet, findings = sheet_of(bender={"springback": [[80, 84], [100, 105]]})
    assert math.degrees(sheet.steps[0].set) == pytest.approx(94.5, abs=0.2)
    assert findings == ()
    blind, said = sheet_of(bender={"springback": [[10, 11], [60, 63]]})
    assert blind.steps[0].set is None
    assert [f.code for f in said] == ["tubes.springback"] * 2
    assert "10.0° to 60.0°, not 90.0°" in said[0].says


def test_a_mark_before_the_tube_begins(sheet_of):
    _, findings = sheet_of(bender={"start_offset": 500})
    assert findings[0].code == "tubes.mark"
    assert findings[0].measured == pytest.approx(486 - 500)


def table(straights, bends, turns=()):
    return BendTable(
        straights=tuple(map(float, straights)),
        bends=tuple(map(math.radians, bends)),
        turns=tuple(map(math.radians, turns)),
        clr=114.0,
    )


def test_the_floor_is_met_by_the_leg_that_hangs():
    """First a leg of 900 at 90°; the next bend rolls it straight down or up."""
    low = Bender(clr=114, floor=800)
    down = clashes(table((900, 400, 300), (90, 60), (90,)), 19, low, 300)
    up = clashes(table((900, 400, 300), (90, 60), (-90,)), 19, low, 300)
    hanging, standing = sorted((down, up), key=len, reverse=True)
    assert [c.what for c in hanging] == ["floor"]
    assert standing == ()
    # From the tube's centre the leg reaches 114 + 900 down, less nothing: its end's skin is at R.
    assert hanging[0].deep == pytest.approx(114 + 900 + 19 - 800, abs=1e-6)
    assert hanging[0].bend == 2
    assert (
        clashes(table((900, 400, 300), (90, 60), (90,)), 19, Bender(clr=114, floor=1034), 300) == ()
    )


def test_which_way_hangs_follows_the_turn():
    """+90° right hand about the direction of travel, first end leading, bending to the left.

    First end ahead (+x machine), travel along −x. Bend 2 bends toward +y, so its normal is
    travel × bend side = (−x) × (+y) = −z. Bend 1's normal is that turned back by −90° about
    travel: −z turned −90° about −x is +90° about +x: −z → +y. Bend 1 goes from its own way in
    to −x with normal +y: the way in w has w × (−x) ∥ +y, so w = +z … −z × −x = +y: w = −z.
    The first leg travels along −z, so it stands above: its first end is up.
    """
    low = Bender(clr=114, floor=100)
    assert clashes(table((900, 400, 300), (90, 60), (90,)), 19, low, 300) == ()
    assert clashes(table((900, 400, 300), (90, 60), (-90,)), 19, low, 300)[0].what == "floor"


def test_a_hook_closes_on_the_tube_behind():
    hook = table((600, 250, 900), (90, 90), (0,))
    assert clashes(hook, 19, Bender(clr=114), 900) == ()
    loop = table((900, 60, 900), (120, 100), (0,))
    assert [c.what for c in clashes(loop, 19, Bender(clr=114), 900)] == ["itself"]
    # Rolled a little, it passes clear above the tube behind.
    assert clashes(table((900, 60, 900), (120, 100), (60,)), 19, Bender(clr=114), 900) == ()


def test_the_bed_is_met_below_the_tube():
    drooping = table((500, 300, 900), (90, 150), (-20,))
    bare, bedded = Bender(clr=114), Bender(clr=114, bed=900, bed_width=600, bed_drop=50)
    assert "bed" not in [c.what for c in clashes(drooping, 19, bare, 900)]
    assert "bed" in [c.what for c in clashes(drooping, 19, bedded, 900)]


def test_the_finding_tells_when_the_other_end_is_free():
    shape = table((900, 400, 100), (90, 60), (-90,))
    (finding,) = room_findings("one", shape, 19, Bender(clr=114, floor=800))
    assert finding.remedy == "bend it from the other end, which is free"
    assert reversed_table(reversed_table(shape)) == shape


@pytest.mark.parametrize("turn", [90, -35, 170])
def test_a_positive_roll_is_clockwise_for_who_stands_behind_and_looks_at_the_die(turn):
    """The machine's x points at the die; clockwise seen along it is right hand about it."""
    shape = table((900, 400, 300), (70, 60), (turn,))
    tip_before = _swept(_ahead(shape, 0), 114.0, shape.bends[0])[0][-1, 0]
    tip_after = _ahead(shape, 1)[0]
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    y, z = tip_before[1:]
    assert tip_after[1:] == pytest.approx((c * y - s * z, s * y + c * z), abs=1e-6)
    # Between the two the tube was fed on by the straight between the bends.
    assert tip_after[0] == pytest.approx(tip_before[0] + 400.0, abs=1e-6)


def swung(*points):
    """Places of the swinging part at one turn, (1, n, 3), with nothing hidden between them."""
    at = np.array([points], dtype=float)
    return at, np.zeros(at.shape[1])


@pytest.mark.parametrize(
    ("at", "deep"),
    [
        ((-100.0, 50.0, -55.0), 19.0),  # in the bed
        ((-100.0, 50.0, -50.0), 19.0),  # on its top
        ((-100.0, 50.0, -38.0), 7.0),  # 12 mm above it
        ((-100.0, 105.0, -60.0), 14.0),  # 5 mm beside it
        ((-100.0, -105.0, -60.0), 14.0),
        ((4.0, 50.0, -60.0), 15.0),  # 4 mm ahead of it
        ((-308.0, 50.0, -60.0), 11.0),  # 8 mm behind it
        ((3.0, 100.0 + 4.0, -50.0 + 12.0), 6.0),  # 3, 4 and 12: 13 mm off its corner
        ((-100.0, 50.0, -30.0), 0.0),  # 20 mm above
        ((25.0, 50.0, -60.0), 0.0),
    ],
)
def test_the_bed_is_a_box_below_and_behind_the_die(at, deep):
    bender = Bender(clr=114, bed=300, bed_width=200, bed_drop=50)
    met = list(_bed(*swung(at), 19.0, bender, 2))
    if deep == 0.0:
        assert met == []
    else:
        assert [(c.bend, c.what, c.deep) for c in met] == [(2, "bed", pytest.approx(deep))]
    assert list(_bed(*swung(at), 19.0, Bender(clr=114), 2)) == []


@pytest.mark.parametrize(
    ("at", "deep"),
    [
        ((-100.0, 0.0, 0.0), 38.0),
        ((-100.0, 30.0, 0.0), 8.0),
        ((-100.0, 0.0, -30.0), 8.0),
        ((-100.0, 18.0, 24.0), 8.0),
        ((-304.0, 3.0, 12.0), 25.0),  # 4, 3 and 12 past its end: 13 mm
        ((-100.0, 39.0, 0.0), 0.0),
        ((-37.0, 0.0, 0.0), 0.0),  # within a diameter of the die it is the bend
        ((-39.0, 0.0, 0.0), 38.0),
    ],
)
def test_the_tube_behind_the_die_is_a_rod_as_long_as_what_is_left(at, deep):
    met = list(_itself(*swung(at), 19.0, 1, 300.0))
    assert [(c.what, c.deep) for c in met] == [("itself", pytest.approx(deep))] * (deep > 0.0)


def test_what_lies_between_samples_counts_as_tube():
    at, _ = swung((-100.0, 39.0, 0.0))
    (met,) = _itself(at, np.array([3.0]), 19.0, 1, 300.0)
    assert met.deep == pytest.approx(2.0)


def test_what_is_left_behind_a_bend_is_straight_and_as_long_as_its_skin_line():
    shape = table((900, 400, 300), (70, 60), (0,))
    assert _left(shape, 1, 250.0) == pytest.approx(250.0)
    assert _left(shape, 0, 250.0) == pytest.approx(400.0 + 250.0 + 114.0 * math.radians(60.0))


def test_the_bent_part_swings_from_where_it_lies_through_the_whole_bend():
    """About the die's middle, at 0, 114: it begins as it is and ends turned by the bend."""
    ahead = np.array([[100.0, 0.0, 5.0], [30.0, -20.0, -7.0]])
    swept, slack = _swept(ahead, 114.0, math.radians(70))
    assert swept[0] == pytest.approx(ahead)
    c, s = math.cos(math.radians(70)), math.sin(math.radians(70))
    turned = (ahead[:, :2] - (0.0, 114.0)) @ np.array([[c, s], [-s, c]]) + (0.0, 114.0)
    assert swept[-1, :, :2] == pytest.approx(turned)
    assert swept[:, :, 2] == pytest.approx(np.broadcast_to(ahead[:, 2], swept.shape[:2]))
    # Half of what is between two samples, along the tube and along the way it swings.
    steps = np.linalg.norm(np.diff(swept, axis=0), axis=2).max(axis=0)
    assert np.all(slack >= 2.0 + 0.5 * steps)
    assert np.all(slack <= 2.0 + 0.51 * steps)


def test_worked_from_the_other_end_it_is_the_same_centreline_run_backward():
    """Straights, bends and turns all in reverse, none changed: read off the line itself."""
    shape = table((300, 400, 250, 500), (30, 70, 50), (40, -110))
    back = table_of(reversed_line(from_table(shape, (1, 2, 3), (1, 0, 0), (0, 1, 0))))
    told = reversed_table(shape)
    assert told.straights == pytest.approx(back.straights)
    assert told.bends == pytest.approx(back.bends)
    assert told.turns == pytest.approx(back.turns)
    assert told.clr == pytest.approx(back.clr)
