"""Arc members, even loads and releases."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.strength.frame import Loads, frame
from barwright.strength.members import axes_of, end_axes, stiffness
from barwright.strength.second_order import critical_factor
from barwright.strength.solve import Loose, solve

EA, EI, GJ = 6e7, 9e9, 7e9


def _arc(parts: int, angle: float, *, curved: bool, R: float = 150.0):
    a = np.linspace(0.0, angle, parts + 1)
    nodes = R * np.column_stack([np.sin(a), 1.0 - np.cos(a), np.zeros(parts + 1)])
    held = np.zeros((parts + 1, 6), dtype=bool)
    held[0] = True
    return frame(
        nodes,
        np.column_stack([np.arange(parts), np.arange(1, parts + 1)]),
        EA=EA,
        EIy=EI,
        EIz=EI,
        GJ=GJ,
        held=held,
        centres=np.tile([0.0, R, 0.0], (parts, 1)) if curved else None,
    )


@given(st.floats(0.1, 3.0), st.integers(0, 100))
@settings(max_examples=20)
def test_one_arc_member_is_many_straight_ones(angle, seed):
    force = np.random.default_rng(seed).normal(size=6) * ([100.0] * 3 + [1e4] * 3)

    def tip(parts: int, *, curved: bool) -> np.ndarray:
        push = np.zeros((1, parts + 1, 6))
        push[0, parts] = force
        return solve(_arc(parts, angle, curved=curved), Loads(nodal=push)).moves[0, parts]

    exact, chords = tip(1, curved=True), tip(300, curved=False)
    np.testing.assert_allclose(exact[:3], chords[:3], atol=2e-4 * np.abs(exact[:3]).max())
    np.testing.assert_allclose(exact[3:], chords[3:], atol=2e-4 * np.abs(exact[3:]).max())
    np.testing.assert_allclose(tip(7, curved=True), exact, rtol=1e-7, atol=1e-12)


def test_an_arc_of_hardly_any_bend_is_a_straight_member():
    made = _arc(1, 1e-4, curved=True, R=1e7)
    straight = _arc(1, 1e-4, curved=False, R=1e7)
    axes, length = axes_of(made)
    a, b = stiffness(made, axes, length), stiffness(straight, axes, length)
    scale = np.abs(b).max(axis=(1, 2))
    assert np.abs(a - b).max() <= 2e-3 * scale.max()


def test_end_axes_follow_the_tube_at_its_ends():
    made = _arc(1, 1.2, curved=True)
    axes, length = axes_of(made)
    at = end_axes(made, length)
    first = at[0, 0, 0] @ axes[0]  # the tube's run at the start, vehicle axes
    last = at[0, 1, 0] @ axes[0]
    np.testing.assert_allclose(first, [1.0, 0.0, 0.0], atol=1e-12)
    np.testing.assert_allclose(last, [math.cos(1.2), math.sin(1.2), 0.0], atol=1e-12)


def test_a_stiffness_matrix_is_symmetric_and_lets_rigid_moves_pass():
    made = _arc(1, 2.0, curved=True)
    axes, length = axes_of(made)
    k = stiffness(made, axes, length)[0]
    np.testing.assert_allclose(k, k.T, atol=1e-9 * np.abs(k).max())
    shift = np.tile([1.0, 2.0, 3.0, 0, 0, 0], 2)
    assert np.abs(k @ shift).max() <= 1e-9 * np.abs(k).max()
    spin = np.array([0, 0, 0, 0, 0, 1, 0, length[0], 0, 0, 0, 1.0])
    assert np.abs(k @ spin).max() <= 1e-8 * np.abs(k).max() * length[0]


def test_even_load_on_a_clamped_beam():
    """w L² / 12 at the ends and w L⁴ / 384 EI in the middle (textbook, from memory)."""
    nodes = np.array([[0.0, 0, 0], [500, 0, 0], [1000, 0, 0]])
    held = np.zeros((3, 6), dtype=bool)
    held[[0, 2]] = True
    made = frame(nodes, np.array([[0, 1], [1, 2]]), EA=EA, EIy=EI, EIz=EI, GJ=GJ, held=held)
    along = np.tile([0.0, 0.0, -2.0], (1, 2, 1))
    got = solve(made, Loads(nodal=np.zeros((1, 3, 6)), along=along))
    assert got.moves[0, 1, 2] == pytest.approx(-2.0 * 1000**4 / (384 * EI))
    assert abs(got.reactions[0, 0, 4]) == pytest.approx(2.0 * 1000**2 / 12)
    assert got.reactions[0, :, 2].sum() == pytest.approx(2000.0)


def test_releases_that_leave_a_member_spinning_are_refused():
    nodes = np.array([[0.0, 0, 0], [1000, 0, 0]])
    spins = np.zeros((1, 12), dtype=bool)
    spins[0, [3, 9]] = True  # free to twist at both ends
    held = np.zeros((2, 6), dtype=bool)
    held[0] = True
    made = frame(nodes, np.array([[0, 1]]), EA=EA, EIy=EI, EIz=EI, GJ=GJ, held=held, released=spins)
    with pytest.raises(ValueError, match="free to move by itself"):
        solve(made, Loads(nodal=np.zeros((1, 2, 6))))


def test_buckling_of_a_pulled_bar_never_comes():
    nodes = np.array([[0.0, 0, 0], [500, 0, 0], [1000, 0, 0]])
    held = np.zeros((3, 6), dtype=bool)
    held[0] = True
    made = frame(nodes, np.array([[0, 1], [1, 2]]), EA=EA, EIy=EI, EIz=EI, GJ=GJ, held=held)
    pull = np.zeros((2, 3, 6))
    pull[0, 2, 0], pull[1, 2, 0] = 1.0, -1.0
    assert critical_factor(made, Loads(nodal=pull), 0) == math.inf
    cantilever = math.pi**2 * EI / (2 * 1000) ** 2  # Euler
    assert critical_factor(made, Loads(nodal=pull), 1) == pytest.approx(cantilever, rel=1e-3)
    with pytest.raises(Loose):
        critical_factor(
            frame(nodes, made.ends, EA=EA, EIy=EI, EIz=EI, GJ=GJ, held=np.zeros_like(made.held)),
            Loads(nodal=pull),
        )
