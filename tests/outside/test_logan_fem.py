"""Logan, A First Course in the Finite Element Method, 4th edition: grid and space frames.

Figures as carried in the examples of the Pynite library; units kip and inch.
"""

import numpy as np
import pytest

from barwright.strength.frame import Loads, frame
from barwright.strength.solve import solve


def _held(n: int, nodes: list[int]) -> np.ndarray:
    held = np.zeros((n, 6), dtype=bool)
    held[nodes] = True
    return held


def test_example_5_8_three_bars_to_one_joint():
    nodes = np.array([[0.0, 0, 0], [-100, 0, 0], [0, 0, -100], [0, -100, 0]])
    made = frame(
        nodes,
        np.array([[1, 0], [2, 0], [3, 0]]),
        EA=30000.0 * 10,
        EIy=30000.0 * 100,
        EIz=30000.0 * 100,
        GJ=10000.0 * 50,
        held=_held(4, [1, 2, 3]),
    )
    push = np.zeros((1, 4, 6))
    push[0, 0, [1, 3]] = -50.0, -1000.0
    got = solve(made, Loads(nodal=push)).moves[0, 0]
    printed = [7.098e-5, -0.014, -2.352e-3, -3.996e-3, 1.78e-5, -1.033e-4]
    np.testing.assert_allclose(got, printed, rtol=5e-4)


def test_problem_5_58_space_frame():
    """Read to two and three places: the printed -0.063 and 1.825 are rounded answers."""
    nodes = np.array([[0.0, 0, 0], [120, 0, 0], [120, 0, -120], [120, -240, -120]])
    E, G = 30000.0, 10000.0
    made = frame(
        nodes,
        np.array([[0, 1], [1, 2], [2, 3]]),
        EA=E * 100,
        EIy=E * 200,
        EIz=E * 1000,
        GJ=G * 100,
        held=_held(4, [0, 3]),
        toward=np.array([[0.0, 1, 0], [0, 1, 0], [1, 0, 0]]),
    )
    push = np.zeros((1, 4, 6))
    push[0, 1, [1, 3]] = -5.0, -1200.0
    push[0, 2, 2] = 40.0
    moves = solve(made, Loads(nodal=push)).moves[0]
    assert moves[1, 1] == pytest.approx(-0.063, rel=0.02)
    assert moves[2, 2] == pytest.approx(1.825, rel=0.005)
