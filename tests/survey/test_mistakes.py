"""What a reading would have been without one of the usual slips of the tape or of the pen."""

import math

import pytest

from barwright.job.schema import Reading
from barwright.survey.mistakes import guesses

RADII = {"A": 19.0, "B": 12.7}


def reading(kind="tape", value=1000.0, marks="AB", written=""):
    return Reading(
        line=2, kind=kind, marks=tuple(marks), value=value, written=written, plus_minus=1.0
    )


def told(r, radius_of=RADII):
    return {g.says: g.value for g in guesses(r, radius_of)}


def test_inches_and_centimetres_either_way():
    """What is too long by an inch would have been 25.4 mm less."""
    said = told(reading())
    assert said["an inch too long"] == pytest.approx(974.6)
    assert said["an inch too short"] == pytest.approx(1025.4)
    assert said["7 inches too long"] == pytest.approx(1000.0 - 177.8)
    assert said["a foot too short"] == pytest.approx(1304.8)
    assert sum("inch" in s or "foot" in s for s in said) == 24
    for name, step in (("a centimetre", 10), ("five centimetres", 50), ("ten centimetres", 100)):
        assert said[f"{name} too long"] == 1000.0 - step
        assert said[f"{name} too short"] == 1000.0 + step


def test_the_point_one_place_off():
    said = told(reading(value=123.0))
    assert said["ten times too long, the decimal point or a nought"] == pytest.approx(12.3)
    assert said["ten times too short, the decimal point or a nought"] == pytest.approx(1230.0)


def test_hooked_over_a_tube_at_one_end_or_both():
    said = told(reading())
    outer, inner = "hooked over the outside of the tube at", "read to the inside of the tube at"
    centre = "instead of its centre"
    assert said[f"{outer} A {centre}"] == 981.0
    assert said[f"{inner} B {centre}"] == pytest.approx(1012.7)
    assert said["taken outside to outside instead of centre to centre"] == pytest.approx(968.3)
    assert said["taken inside to inside instead of centre to centre"] == pytest.approx(1031.7)
    one = told(reading(), {"B": 12.7})
    assert f"{outer} B {centre}" in one
    assert not any("A instead" in s or "to outside" in s for s in one)
    assert not any("tube" in s for s in told(reading(kind="over")))
    assert any("tube" in s for s in told(reading(kind="height", marks="A")))


@pytest.mark.parametrize(("kind", "way"), [("offset", "side"), ("station", "direction")])
def test_a_sign_is_asked_about_where_there_is_one(kind, way):
    assert told(reading(kind=kind, marks="A"))[f"the sign is wrong: the other {way}"] == -1000.0
    assert not any("sign" in s for s in told(reading(kind="height", marks="A")))


@pytest.mark.parametrize(("degrees", "plumb"), [(20.0, 70.0), (-20.0, -70.0)])
def test_an_incline_from_the_wrong_end_or_from_plumb(degrees, plumb):
    said = told(reading(kind="incline", value=math.radians(degrees)))
    wrong_way = said["read the wrong way round, from the other end"]
    assert math.degrees(wrong_way) == pytest.approx(-degrees)
    assert math.degrees(said["read from plumb instead of from level"]) == pytest.approx(plumb)
    assert "the outer angle instead of the inner" not in said


def test_a_corners_outer_angle():
    said = told(reading(kind="corner", value=math.radians(110.0), marks="ABC"))
    assert math.degrees(said["the outer angle instead of the inner"]) == pytest.approx(70.0)
    assert not any("plumb" in s or "inch" in s for s in said)


def swaps(r):
    return {
        s.removeprefix("two digits swapped, ").split(" and not ")[0]: v
        for s, v in told(r).items()
        if s.startswith("two digits")
    }


def test_neighbouring_digits_swapped_as_they_were_written():
    assert swaps(reading(value=1234.0, written="1234")) == {
        "2134": 2134,
        "1324": 1324,
        "1243": 1243,
    }
    # Twice the same digit is no swap, and no number begins with a nought.
    assert swaps(reading(value=1002.0, written="1002")) == {"1020": 1020.0}
    inches = swaps(reading(value=43.5 * 25.4, written="43.5 in"))
    assert inches == {"34.5 in": pytest.approx(34.5 * 25.4)}


def test_without_the_written_text_both_units_are_tried():
    found = swaps(reading(value=25.4 * 36))
    assert found["63 in"] == pytest.approx(63 * 25.4)
    assert found["941.4"] == pytest.approx(941.4)


def test_digits_of_an_angle_are_swapped_in_degrees():
    found = swaps(reading(kind="corner", value=math.radians(37.0), marks="ABC", written="37 deg"))
    assert math.degrees(found["73 deg"]) == pytest.approx(73.0)
    plain = swaps(reading(kind="incline", value=math.radians(12.0)))
    assert math.degrees(plain["21"]) == pytest.approx(21.0)


@pytest.mark.parametrize("kind", ["level", "plumb", "pair"])
def test_what_has_no_value_has_no_slips(kind):
    assert guesses(reading(kind=kind, value=None), RADII) == ()
