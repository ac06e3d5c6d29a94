"""A bar that was bent beforehand: trimmed and spun until it stands on its marks."""

import math
import re

import numpy as np
import pytest

from barwright.geometry.bending import from_table
from barwright.geometry.path import BendTable, ends, length, point_at
from barwright.tubes.placing import level_side, longer_by, trimmed

BENT = {"straights": [300, 500], "bends": [22], "turns": []}
TWISTED = {"straights": [280, 200, 300], "bends": [30, 50], "turns": [70]}


def put(frame, a, b, shape=None, *, exact=False, **more):
    key = "table" if exact else "prebent"
    bar = {"stock": "main", key: shape or BENT, "from": "A", "to": "B", **more}
    return frame({"A": a, "B": b, "S": (0, 0, 5000)}, {"bent": bar})


def farthest(bar):
    """The point of the centreline farthest from the line between its ends, from that line."""
    line = bar.centreline
    a, b = (np.array(p) for p in ends(line))
    way = (b - a) / np.linalg.norm(b - a)
    gap = point_at(line, np.linspace(0, length(line), 2001)) - a
    off = gap - np.outer(gap @ way, way)
    return off[np.argmax(np.linalg.norm(off, axis=1))]


@pytest.mark.parametrize("shape", [BENT, TWISTED])
@pytest.mark.parametrize("trim", ["to", "from", "both"])
def test_both_ends_land_on_their_marks(frame, shape, trim):
    a, b = (100, 400, 200), (700, 500, 350)
    bars = put(frame, a, b, shape, trim=trim)
    (bar,) = bars.bars
    assert np.array(ends(bar.centreline)) == pytest.approx(np.array([a, b]), abs=1e-9)
    assert bar.start.origin == pytest.approx(a, abs=1e-9)
    asked, made = shape["straights"], bar.table.straights
    assert made[1:-1] == pytest.approx(asked[1:-1])
    off = (asked[0] - made[0], asked[-1] - made[-1])
    kept = {"to": off[0], "from": off[1], "both": off[0] - off[1]}
    assert kept[trim] == pytest.approx(0.0, abs=1e-9)
    assert max(off) > 0.0
    assert [math.degrees(x) for x in bar.table.bends] == pytest.approx(shape["bends"])
    assert [math.degrees(x) for x in bar.table.turns] == pytest.approx(shape["turns"])


@pytest.mark.parametrize(
    ("a", "b", "side"),
    [
        ((0, 500, 300), (700, 500, 300), (0, 1, 0)),
        ((700, 500, 300), (0, 500, 300), (0, 1, 0)),
        ((0, -500, 300), (700, -500, 300), (0, -1, 0)),
        ((0, 0, 300), (700, 0, 300), (0, 1, 0)),
        ((0, -350, 300), (0, 350, 300), (1, 0, 0)),
        ((0, 500, 0), (0, 500, 700), (1, 0, 0)),
        ((0, -500, 700), (0, -500, 0), (1, 0, 0)),
    ],
)
def test_level_bulges_outward_or_forward(frame, a, b, side):
    (bar,) = put(frame, a, b).bars
    bulge = farthest(bar)
    assert bulge / np.linalg.norm(bulge) == pytest.approx(side, abs=1e-9)


def test_level_on_a_sloping_line_keeps_the_bulge_at_one_height(frame):
    (bar,) = put(frame, (0, 500, 100), (600, 550, 400)).bars
    bulge = farthest(bar)
    assert bulge[2] == pytest.approx(0.0, abs=1e-9)
    assert bulge[1] > 0


def test_an_angle_counts_by_the_right_hand_about_from_to(frame):
    (bar,) = put(frame, (0, 500, 300), (700, 500, 300), spin=90).bars
    bulge = farthest(bar)
    # Level is +y; a quarter turn about +x brings it up.
    assert bulge / np.linalg.norm(bulge) == pytest.approx((0, 0, 1), abs=1e-9)


def test_toward_a_mark(frame):
    (bar,) = put(frame, (0, 500, 300), (700, 500, 300), spin="S").bars
    bulge, toward = farthest(bar), np.array((0, 0, 5000)) - (0, 500, 300)
    toward[0] = 0
    assert bulge / np.linalg.norm(bulge) == pytest.approx(toward / np.linalg.norm(toward))


def test_too_short_says_by_how_much_and_the_remedy_is_right(frame):
    a, b = (0, 500, 300), (900, 500, 300)
    bars = put(frame, a, b)
    assert bars.bars == ()
    (finding,) = bars.findings
    assert (finding.code, finding.level, finding.unit) == ("tubes.misfit", "must", "mm")
    assert finding.allowed == pytest.approx(900)
    assert finding.says.endswith(f"{900 - finding.measured:.1f} mm too short between A and B.")
    longer = float(re.search(r"([\d.]+) mm longer", finding.remedy)[1])
    mended = {**BENT, "straights": [300, 500 + longer + 0.05]}
    (bar,) = put(frame, a, b, mended).bars
    assert bar.table.straights[1] == pytest.approx(500 + longer, abs=0.06)


def test_too_long_to_trim(frame):
    bars = put(frame, (0, 500, 300), (0, 520, 300))
    (finding,) = bars.findings
    assert "too long" in finding.says
    assert bars.bars == ()


def test_a_table_is_taken_as_it_is(frame):
    bars = put(frame, (0, 500, 300), (700, 500, 300), exact=True)
    assert bars.bars == ()
    (finding,) = bars.findings
    assert "too long" in finding.says
    shorter = float(re.search(r"([\d.]+) mm shorter", finding.remedy)[1])
    mended = {**BENT, "straights": [300, 500 - shorter]}
    (bar,) = put(frame, (0, 500, 300), (700, 500, 300), mended, exact=True).bars
    assert bar.table.straights[1] == pytest.approx(500 - shorter)
    flat = {"straights": [700], "bends": [], "turns": []}
    (bar,) = put(frame, (0, 500, 300), (700, 500, 300), flat, exact=True).bars
    assert bar.cut_length == pytest.approx(700)


def test_marks_that_coincide(frame):
    bars = put(frame, (0, 0, 0), (0, 0, 0.5))
    assert bars.bars == ()
    assert bars.findings[0].code == "tubes.misfit"


@pytest.mark.parametrize("spin", ["B", "nowhere"])
def test_a_mark_that_shows_no_side(frame, spin):
    bars = put(frame, (0, 500, 300), (700, 500, 300), spin=spin)
    assert bars.bars == ()
    assert spin in bars.findings[0].says


def flat(a, b):
    return level_side(np.array(a, dtype=float), np.array(b, dtype=float))


@pytest.mark.parametrize(
    ("a", "b", "side"),
    [
        # Almost across the vehicle: no side lies outward, so forward.
        ((0, -300, 0), (59, 300, 0), (600, -59, 0)),
        ((0, -300, 0), (-59, 300, 0), (600, 59, 0)),
        # Turned more than a tenth off across: outward again, here left of the middle and right.
        ((0, -300, 0), (80, 400, 0), (-700, 80, 0)),
        ((0, -400, 0), (80, 300, 0), (700, -80, 0)),
        # Fore and aft, on the centre plane: to the left.
        ((0, 0, 0), (500, 0, 0), (0, 1, 0)),
        ((0, -1e-7, 0), (500, -1e-7, 0), (0, 1, 0)),
        ((0, -1e-3, 0), (500, -1e-3, 0), (0, -1, 0)),
        # Within ten degrees of plumb: forward, square to the line.
        ((0, 300, 0), (100, 300, 700), (700, 0, -100)),
        # 130 in 700 is 10.5° off plumb: it runs across the vehicle, so forward and level.
        ((0, 300, 0), (0, 430, 700), (1, 0, 0)),
    ],
)
def test_the_level_side_by_hand(a, b, side):
    found = flat(a, b)
    wanted = np.array(side, dtype=float)
    assert found == pytest.approx(wanted / np.linalg.norm(wanted), abs=1e-9)


@pytest.mark.parametrize("shape", [BENT, TWISTED])
def test_so_much_longer_is_just_enough(shape):
    """The last straight made longer by what is told ends as far away as was wanted."""

    def made(last):
        bends = tuple(map(math.radians, shape["bends"]))
        turns = tuple(map(math.radians, shape["turns"]))
        straights = (*map(float, shape["straights"][:-1]), last)
        bent = BendTable(straights=straights, bends=bends, turns=turns, clr=114.0)
        return from_table(bent, (0, 0, 0), (1, 0, 0), (0, 1, 0))

    local = made(float(shape["straights"][-1]))
    for more in (0.5, 80.0):
        far = np.array(ends(made(shape["straights"][-1] + more)))
        wanted = float(np.linalg.norm(far[1] - far[0]))
        assert longer_by(local, wanted) == pytest.approx(more, abs=1e-6)
    assert longer_by(local, 10.0) is None


@pytest.mark.parametrize("where", ["from", "to", "both"])
def test_a_bar_that_fits_as_it_is_loses_nothing(where):
    """Marks exactly as far apart as its ends: a trim of nothing is a trim that serves."""
    table = BendTable(straights=(300.0, 500.0), bends=(math.radians(22),), turns=(), clr=114.0)
    local = from_table(table, (0, 0, 0), (1, 0, 0), (0, 1, 0))
    a, b = np.array(ends(local))
    trim = trimmed(local, table, float(np.linalg.norm(b - a)), where)
    assert trim.misfit == 0.0
    assert (trim.at_from, trim.at_to) == pytest.approx((0.0, 0.0), abs=1e-6)


@pytest.mark.parametrize(("where", "room"), [("from", 300.0), ("to", 500.0), ("both", 300.0)])
def test_no_more_is_trimmed_than_the_end_straights_have(where, room):
    table = BendTable(straights=(300.0, 500.0), bends=(math.radians(22),), turns=(), clr=114.0)
    local = from_table(table, (0, 0, 0), (1, 0, 0), (0, 1, 0))

    def far(cut):
        straights = [300.0 - cut * (where != "to"), 500.0 - cut * (where != "from")]
        short = BendTable(straights=tuple(straights), bends=table.bends, turns=(), clr=114.0)
        a, b = np.array(ends(from_table(short, (0, 0, 0), (1, 0, 0), (0, 1, 0))))
        return float(np.linalg.norm(b - a))

    for cut in (1.0, 0.5 * room, room):
        trim = trimmed(local, table, far(cut), where)
        assert max(trim.at_from, trim.at_to) == pytest.approx(cut, abs=1e-6)
        assert trim.misfit == 0.0
        assert (trim.at_from > 0.0, trim.at_to > 0.0) == (where != "to", where != "from")
    assert trimmed(local, table, far(room) - 1.0, where).misfit < 0.0
    assert trimmed(local, table, far(0.0) + 2.0, where).misfit == pytest.approx(2.0)
