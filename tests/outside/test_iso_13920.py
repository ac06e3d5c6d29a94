"""ISO 13920, general tolerances of weldments: read in a supplier's copy of its tables 1 to 3."""

import math

import pytest

from barwright.plates.tolerances import iso_13920_angular, iso_13920_flatness, iso_13920_linear

NOMINAL = (20.0, 100.0, 300.0, 700.0, 1500.0, 3000.0)


@pytest.mark.parametrize(
    ("grade", "limits"),
    [
        ("A", (1, 1, 1, 2, 3, 4)),
        ("B", (1, 2, 2, 3, 4, 6)),
        ("C", (1, 3, 4, 6, 8, 11)),
        ("D", (1, 4, 7, 9, 12, 16)),
    ],
)
def test_linear(grade, limits):
    assert tuple(iso_13920_linear(n, grade) for n in NOMINAL) == limits


@pytest.mark.parametrize(
    ("grade", "minutes"),
    [("A", (20, 15, 10)), ("B", (45, 30, 20)), ("C", (60, 45, 30)), ("D", (90, 75, 60))],
)
def test_angular(grade, minutes):
    found = [math.degrees(iso_13920_angular(leg, grade)) * 60 for leg in (300.0, 700.0, 1500.0)]
    assert found == pytest.approx(list(minutes))


@pytest.mark.parametrize(("grade", "per_metre"), [("A", (6.0, 4.5, 3.0)), ("B", (13.0, 9.0, 6.0))])
def test_angles_as_the_table_gives_them_in_millimetres_a_metre(grade, per_metre):
    """The table's second form, rounded there to half a millimetre."""
    found = [1000.0 * math.tan(iso_13920_angular(leg, grade)) for leg in (300.0, 700.0, 1500.0)]
    assert found == pytest.approx(list(per_metre), abs=0.3)


@pytest.mark.parametrize(
    ("grade", "limits"), [("E", (0.5, 1.0, 1.5, 2.0, 3.0)), ("F", (1.0, 1.5, 3.0, 4.5, 6.0))]
)
def test_flatness(grade, limits):
    assert tuple(iso_13920_flatness(n, grade) for n in NOMINAL[1:]) == limits


def test_no_value_is_made_up():
    with pytest.raises(ValueError, match="held"):
        iso_13920_linear(5000.0, "A")
    with pytest.raises(ValueError, match="held"):
        iso_13920_flatness(20.0, "E")
