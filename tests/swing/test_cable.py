"""A cable over the hinge: exact extremes of its length, a bend that is about right."""

import math

import numpy as np
import pytest

from barwright.geometry.vectors import unit
from barwright.swing.cable import Run, cable
from barwright.swing.motion import Motion


def test_extremes_agree_with_fine_steps() -> None:
    rng = np.random.default_rng(2)
    for _ in range(12):
        motion = Motion(
            leaf="l",
            bars=(),
            through=tuple(rng.normal(size=3) * 50),
            along=tuple(unit(rng.normal(size=3))),
            opens=float(rng.uniform(-3.0, 3.0)),
        )
        p, q = rng.normal(size=3) * 120, rng.normal(size=3) * 120
        run = Run(fixed=tuple(q), out=(1.0, 0.0, 0.0), riding=tuple(p), into=(0.0, 1.0, 0.0))
        found = cable(motion, run)
        steps = [math.dist(motion.pose(t).points(p), q) for t in np.linspace(0, motion.opens, 1501)]
        assert found.shortest <= min(steps) + 1e-9
        assert found.shortest == pytest.approx(min(steps), abs=1e-2)
        assert found.longest >= max(steps) - 1e-9
        assert found.longest == pytest.approx(max(steps), abs=1e-2)
        assert (found.closed, found.opened) == pytest.approx((steps[0], steps[-1]))


@pytest.mark.parametrize("turn", [math.pi / 6, math.pi / 2, math.pi])
def test_an_arc_of_a_circle_bends_by_its_radius(turn: float) -> None:
    """A cable laid on a circle of 80 mm, nothing turning to speak of."""
    motion = Motion(leaf="l", bars=(), through=(0, 0, 500.0), along=(0, 0, 1.0), opens=1e-6)
    run = Run(
        fixed=(80.0, 0.0, 0.0),
        out=(0.0, 1.0, 0.0),
        riding=(80 * math.cos(turn), 80 * math.sin(turn), 0.0),
        into=(-math.sin(turn), math.cos(turn), 0.0),
    )
    bend = cable(motion, run).bend
    assert bend == pytest.approx(80.0, rel=0.01 if turn < 2.0 else 0.125)
    assert bend < 80.8


def test_a_straight_run_does_not_bend() -> None:
    motion = Motion(leaf="l", bars=(), through=(0, 0, 0), along=(0, 0, 1.0), opens=1e-9)
    run = Run(fixed=(50.0, 0, 0), out=(1.0, 0, 0), riding=(150.0, 0, 0), into=(1.0, 0, 0))
    assert cable(motion, run).bend > 1e6
