"""ISO 2768-1, general tolerances: read in a copy of DIN ISO 2768-1 and two more that agree.

Class c below 6 mm is left out, since the copies disagree there; the angular row of class c at
up to 50 mm is from memory.
"""

import math

import pytest

from barwright.plates.tolerances import iso_2768_angular, iso_2768_linear

NOMINAL = (1.0, 4.0, 20.0, 100.0, 300.0, 700.0, 1500.0, 3000.0)


@pytest.mark.parametrize(
    ("grade", "nominals", "limits"),
    [
        ("f", NOMINAL[:7], (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5)),
        ("m", NOMINAL, (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0)),
        ("c", NOMINAL[2:], (0.5, 0.8, 1.2, 2.0, 3.0, 4.0)),
        ("v", NOMINAL[1:], (0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0)),
    ],
)
def test_linear(grade, nominals, limits):
    assert tuple(iso_2768_linear(n, grade) for n in nominals) == limits


def test_a_limit_belongs_to_the_range_below():
    assert iso_2768_linear(30.0, "m") == 0.2
    assert iso_2768_linear(30.001, "m") == 0.3


@pytest.mark.parametrize(
    ("grade", "minutes"),
    [("f", (60, 30, 20, 10, 5)), ("m", (60, 30, 20, 10, 5)), ("c", (90, 60, 30, 15, 10))],
)
def test_angular(grade, minutes):
    legs = (8.0, 40.0, 100.0, 300.0, 500.0)
    found = [math.degrees(iso_2768_angular(leg, grade)) * 60.0 for leg in legs]
    assert found == pytest.approx(list(minutes))


@pytest.mark.parametrize(
    ("nominal", "grade"), [(0.4, "m"), (4001.0, "m"), (2.0, "c"), (3000.0, "f")]
)
def test_no_value_is_made_up(nominal, grade):
    with pytest.raises(ValueError, match=r"2768|no value"):
        iso_2768_linear(nominal, grade)
