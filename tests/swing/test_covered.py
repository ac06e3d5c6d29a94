"""What a bent bar covers of a hole, held against a closed form and against fine slices."""

import math

import numpy as np
import pytest
import shapely

from barwright.geometry.path import Arc
from barwright.geometry.pose import Pose, turned
from barwright.geometry.silhouettes import silhouette
from barwright.geometry.solids import Body, Elbow, Rod
from barwright.swing.covered import OUTLINE, covered

BEND, RADIUS, LONG = 100.0, 20.0, 150.0
HOLE = shapely.box(-400.0, -400.0, 400.0, 400.0)
BAR = Body(
    name="bar",
    solids=(
        Rod(start=(BEND, -LONG, 0.0), end=(BEND, 0.0, 0.0), radius=RADIUS),
        Elbow(
            arc=Arc(
                centre=(0.0, 0.0, 0.0),
                start=(BEND, 0.0, 0.0),
                axis=(0.0, 0.0, 1.0),
                angle=0.5 * math.pi,
            ),
            radius=RADIUS,
        ),
        Rod(start=(0.0, BEND, 0.0), end=(-LONG, BEND, 0.0), radius=RADIUS),
    ),
)


def test_a_bend_seen_square_on_covers_its_length_times_its_breadth() -> None:
    """A strip's area is its breadth times its middle line: Pappus's theorem, from memory."""
    found = covered([BAR], HOLE, Pose(), 300.0)
    length = 2.0 * LONG + BEND * 0.5 * math.pi
    assert found.area == pytest.approx(2.0 * RADIUS * length, abs=2.0 * OUTLINE * length)


@pytest.mark.parametrize("lean", np.radians([0.0, 20.0, 55.0, 89.0, 90.0, 135.0]))
@pytest.mark.parametrize("deep", [300.0, 30.0])
def test_no_part_of_a_leaned_bend_is_left_out(lean: float, deep: float) -> None:
    found, true = both(float(lean), deep)
    assert true.difference(found.buffer(0.01)).area < 1e-6


@pytest.mark.parametrize("lean", np.radians([0.0, 20.0, 55.0, 89.0, 90.0, 135.0]))
def test_a_leaned_bend_is_not_seen_too_large(lean: float) -> None:
    found, true = both(float(lean), 300.0)
    assert found.difference(true.buffer(OUTLINE, quad_segs=64)).area < 1e-6


def both(lean: float, deep: float) -> tuple[shapely.Geometry, shapely.Geometry]:
    local = turned((0.0, 0.0, 0.0), (1.0, 0.3, 0.0), lean)
    true = silhouette(BAR.solids, local, (-deep, deep), 0.002)
    return covered([BAR], HOLE, local, deep), true
