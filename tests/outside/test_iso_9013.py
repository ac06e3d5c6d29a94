"""ISO 9013, thermal cuts: class 1 limit deviations, read in a supplier's printed table.

The perpendicularity ranges of table 4 are from memory.
"""

import pytest

from barwright.plates.tolerances import iso_9013_limit, iso_9013_squareness

NOMINAL = (20.0, 100.0, 200.0, 500.0)


@pytest.mark.parametrize(
    ("thickness", "limits"),
    [
        (2.0, (0.20, 0.25, 0.25, 0.35)),
        (3.15, (0.20, 0.25, 0.25, 0.35)),
        (5.0, (0.25, 0.25, 0.30, 0.40)),
        (8.0, (0.30, 0.30, 0.35, 0.45)),
    ],
)
def test_limit_deviations(thickness, limits):
    assert tuple(iso_9013_limit(thickness, n) for n in NOMINAL) == limits


@pytest.mark.parametrize(("band", "u"), [(1, 0.068), (2, 0.192), (3, 0.46), (4, 0.92), (5, 1.41)])
def test_perpendicularity_at_six_millimetres(band, u):
    assert iso_9013_squareness(6.0, band) == pytest.approx(u)


@pytest.mark.parametrize(("thickness", "nominal"), [(0.9, 50.0), (12.0, 50.0), (3.0, 5.0)])
def test_no_value_is_made_up(thickness, nominal):
    with pytest.raises(ValueError, match="held"):
        iso_9013_limit(thickness, nominal)
