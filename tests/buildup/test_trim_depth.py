"""How deep a cut-out is told to be, from the edge that goes."""

import pytest
import shapely

from barwright.buildup.cutout import trim_of
from barwright.plates.outline import rectangle
from barwright.plates.part import Part


@pytest.mark.parametrize(
    ("taken", "deep"),
    [
        (shapely.box(0, 0, 80, 1.5), 1.5),  # a strip off a whole side
        (shapely.box(76, 46, 80, 50), 4.0),  # a corner
        (shapely.box(30, 45, 50, 50), 5.0),  # a bite into one side
    ],
)
def test_depth_from_the_edge_that_goes(taken, deep):
    plate = Part(name="lug", thickness=3.0, material="a36", outline=rectangle(0, 0, 80, 50))
    told = trim_of(plate, taken, clears=True)
    assert told.area == pytest.approx(taken.area)
    assert told.deep == pytest.approx(deep, abs=0.3)
