"""FAA AC 43.13-1B, table 4-7: setback K = tan(A/2); and the handbook's U channel.

The stored copy of the table prints wrong digits at steep angles; the rows here are those that
agree with the tangent to a unit of the last digit.
"""

import math

import pytest

from barwright.plates.bends import setback


@pytest.mark.parametrize(
    ("degrees", "k"),
    [
        (30, 0.2679),
        (45, 0.4142),
        (60, 0.5773),
        (90, 1.000),
        (120, 1.732),
        (135, 2.414),
        (150, 3.732),
    ],
)
def test_setback_factor(degrees, k):
    found = setback(angle=math.radians(degrees), radius=0.7, thickness=0.3)
    assert found == pytest.approx(k, abs=1.2e-4 if k < 1 else 6e-4)


def test_setback_of_the_u_channel():
    """R 0.16 in, T 0.04 in, 90 degrees: 0.20 in."""
    assert setback(angle=math.pi / 2.0, radius=0.16, thickness=0.04) == pytest.approx(0.20)
