"""Angles as people write them, in degrees."""

import math

import pytest

from barwright.job.angles import parse_angle


@pytest.mark.parametrize(
    ("written", "degrees"),
    [
        (90, 90), (-0.2, -0.2), ("22.5", 22.5), ("22 1/2", 22.5), ("22½°", 22.5), ("-3", -3),
        ("−3 deg", -3), ("+3 degrees", 3), (".5", 0.5), ("45 º", 45), (" 1° ", 1),
    ],
)  # fmt: skip
def test_reads_degrees(written, degrees):
    assert parse_angle(written) == math.radians(degrees)


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("1.2 rad", "not radians"),
        ("22,5", "22.5"),
        ("", "nothing"),
        ("x", "an angle in degrees"),
        ("nan", "an angle in degrees"),
        (math.nan, "finite"),
        (math.inf, "finite"),
        (3601, "at most 3600"),
        ("3601", "at most 3600"),
        (10**6000, "at most 3600"),
        (True, "an angle in degrees"),
        ([1], "an angle in degrees"),
        ("9" * 100, "at most 80"),
    ],
    ids=range(13),
)
def test_refuses_what_is_no_angle(written, says):
    with pytest.raises(ValueError, match=r"angle|comma|written|characters") as refused:
        parse_angle(written)
    assert says in str(refused.value)
