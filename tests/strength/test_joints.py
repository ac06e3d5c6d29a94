"""Welds, hinges and balls between nodes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.geometry.vectors import rotation
from barwright.strength.frame import BALL, Join, Loads, Spring, frame
from barwright.strength.solve import Loose, solve

EA, EI, GJ, L = 6e7, 9e9, 7e9, 1000.0


def _held(n: int, *nodes: int) -> np.ndarray:
    held = np.zeros((n, 6), dtype=bool)
    held[list(nodes)] = True
    return held


def _two_bars(join: Join, *, offset=(0.0, 0.0, 0.0)):
    """A cantilever cut in the middle; node 2 hangs on node 1 by the join."""
    nodes = np.array([[0.0, 0, 0], [L / 2, 0, 0], [L / 2, 0, 0], [L, 0, 0]])
    nodes[2:] += offset
    return frame(
        nodes,
        np.array([[0, 1], [2, 3]]),
        EA=EA,
        EIy=EI,
        EIz=EI,
        GJ=GJ,
        held=_held(4, 0),
        joins=(join,),
    )


def _tip(n: int, node: int, *force: float) -> Loads:
    push = np.zeros((1, n, 6))
    push[0, node] = force
    return Loads(nodal=push)


def test_a_weld_is_as_if_there_were_no_cut():
    cut = solve(_two_bars(Join(slave=2, master=1)), _tip(4, 3, 5, 10, -7, 1e4, 2e4, 3e4))
    whole = frame(
        np.array([[0.0, 0, 0], [L, 0, 0]]), np.array([[0, 1]]), EA=EA, EIy=EI, EIz=EI, GJ=GJ,
        held=_held(2, 0),
    )  # fmt: skip
    plain = solve(whole, _tip(2, 1, 5, 10, -7, 1e4, 2e4, 3e4))
    np.testing.assert_allclose(cut.moves[0, 3], plain.moves[0, 1], rtol=1e-9)


def test_a_stiff_offset_carries_turns_into_shifts():
    """The second bar starts 50 mm to the side: the first one's end turning moves it along."""
    got = solve(
        _two_bars(Join(slave=2, master=1), offset=(0, 50, 0)), _tip(4, 3, 0, 1.0, 0, 0, 0, 0)
    )
    turn = got.moves[0, 1, 5]
    assert got.moves[0, 2, 0] == pytest.approx(got.moves[0, 1, 0] - 50 * turn)
    assert got.moves[0, 2, 1] == pytest.approx(got.moves[0, 1, 1])


def test_a_hinge_passes_everything_but_its_own_moment():
    """Fixed at both ends, hinged at mid-span about y: two cantilevers with half the load each."""
    made = replace(_two_bars(Join(slave=2, master=1, free=((0, 1, 0),))), held=_held(4, 0, 3))
    got = solve(made, _tip(4, 1, 0, 0, 100.0, 0, 0, 0))
    assert got.moves[0, 1, 2] == pytest.approx(100.0 / 2 * (L / 2) ** 3 / (3 * EI))
    assert got.moves[0, 1, 4] == pytest.approx(-got.moves[0, 2, 4])
    assert got.forces[0, 1, 4] == pytest.approx(0.0, abs=1e-6)  # no moment at the hinge
    sideways = solve(made, _tip(4, 1, 0, 100.0, 0, 0, 0, 0))
    assert sideways.moves[0, 1, 1] == pytest.approx(100.0 * L**3 / (192 * EI))  # as if not cut


def test_a_hinge_with_a_spring_lies_between():
    def moved(k: float) -> float:
        join = Join(slave=2, master=1, free=((0, 1, 0),), stiffness=(k,))
        made = replace(_two_bars(join), held=_held(4, 0, 3))
        return float(solve(made, _tip(4, 1, 0, 0, 100.0, 0, 0, 0)).moves[0, 1, 2])

    soft, middle, stiff = moved(1e-3), moved(1e7), moved(1e14)
    assert soft == pytest.approx(100 / 2 * (L / 2) ** 3 / (3 * EI), rel=1e-6)
    assert stiff == pytest.approx(100 * L**3 / (192 * EI), rel=1e-4)
    assert stiff < middle < soft


def test_the_force_through_a_ball_is_what_the_joint_says():
    """A bar hung on a ball and held by another at its far end carries half its load each side."""
    nodes = np.array([[0.0, 0, 0], [0, 0, 0], [L, 0, 0], [2 * L, 0, 0], [2 * L, 0, 0]])
    joins = (
        Join(slave=1, master=0, free=((0, 1, 0), (0, 0, 1))),
        Join(slave=3, master=4, free=BALL[1:]),
    )
    made = frame(
        nodes, np.array([[1, 2], [2, 3]]), EA=EA, EIy=EI, EIz=EI, GJ=GJ, held=_held(5, 0, 4),
        joins=joins,
    )  # fmt: skip
    got = solve(made, _tip(5, 2, 0, 0, -90.0, 0, 0, 0))
    assert got.reactions[0, 1, 2] == pytest.approx(45.0)
    assert got.reactions[0, 3, 2] == pytest.approx(45.0)
    assert got.moves[0, 2, 2] == pytest.approx(-90 * (2 * L) ** 3 / (48 * EI))


def test_a_springy_joint_on_a_stiff_arm():
    """A cantilever whose root gives: P L³ / 3 EI + P L² / k, and P / shift (statics)."""
    nodes = np.array([[0.0, 0, 0], [0, 0, 0], [L, 0, 0]])
    give = Spring(start=0, end=1, shift=1e6, turn=5e7)
    made = frame(
        nodes, np.array([[1, 2]]), EA=EA, EIy=EI, EIz=EI, GJ=GJ, held=_held(3, 0), springs=(give,)
    )  # fmt: skip
    got = solve(made, _tip(3, 2, 0, 0, 100.0, 0, 0, 0))
    bend = 100.0 * L**3 / (3 * EI)
    assert got.moves[0, 2, 2] == pytest.approx(bend + 100 * L**2 / 5e7 + 100 / 1e6)
    assert got.reactions[0, 0, 2] == pytest.approx(-100.0)
    assert abs(got.reactions[0, 0, 4]) == pytest.approx(100.0 * L)
    arm = replace(made, nodes=nodes + np.array([[0, 0, 0], [0, 0, 60.0], [0, 0, 60.0]]))
    off = solve(arm, _tip(3, 2, 100.0, 0, 0, 0, 0, 0))  # a pull 60 mm off the root turns it
    assert off.moves[0, 1, 4] == pytest.approx(0.0, abs=1e-12)  # the arm is on the held side


def test_joints_in_a_row_and_in_a_ring():
    row = (Join(slave=2, master=1), Join(slave=3, master=2))
    base = _two_bars(Join(slave=2, master=1))
    got = solve(replace(base, joins=row), _tip(4, 3, 0, 1, 0, 0, 0, 0))
    assert np.isfinite(got.moves).all()
    ring = (Join(slave=2, master=3), Join(slave=3, master=2))
    with pytest.raises(ValueError, match="ring"):
        solve(replace(base, joins=ring), _tip(4, 1, 0, 1, 0, 0, 0, 0))


def test_what_makes_no_sense_is_refused():
    base = _two_bars(Join(slave=2, master=1))
    twice = (Join(slave=2, master=1), Join(slave=2, master=3))
    with pytest.raises(ValueError, match="follow two others"):
        solve(replace(base, joins=twice), _tip(4, 3, 0, 1, 0, 0, 0, 0))
    with pytest.raises(ValueError, match="held"):
        solve(replace(base, held=_held(4, 0, 2)), _tip(4, 3, 0, 1, 0, 0, 0, 0))
    with pytest.raises(ValueError, match="no length"):
        solve(replace(base, nodes=np.zeros((4, 3))), _tip(4, 3, 0, 1, 0, 0, 0, 0))


def test_a_mechanism_says_it_is_loose():
    loose = _two_bars(Join(slave=2, master=1, free=BALL))
    with pytest.raises(Loose):
        solve(loose, _tip(4, 3, 0, 1, 0, 0, 0, 0))
    with pytest.raises(Loose):
        solve(replace(loose, held=np.zeros((4, 6), bool)), _tip(4, 3, 0, 1, 0, 0, 0, 0))


@given(st.integers(0, 10_000))
@settings(max_examples=25)
def test_turning_the_whole_frame_turns_its_answer(seed):
    """Nothing in a frame of round tubes with a hinge knows which way is up."""
    rng = np.random.default_rng(seed)
    nodes = np.array([[0.0, 0, 0], [400, 30, 0], [400, 60, 0], [800, 0, 200], [300, 0, 500]])
    force = 100.0 * rng.normal(size=(1, 5, 6))
    axis = rng.normal(size=3)
    turn = rotation(rng.normal(size=3), rng.uniform(0, 3))

    def moves(m: np.ndarray) -> np.ndarray:
        made = frame(
            nodes @ m.T, np.array([[0, 1], [2, 3], [3, 4], [4, 0]]), EA=EA, EIy=EI, EIz=EI, GJ=GJ,
            held=_held(5, 0),
            joins=(Join(slave=2, master=1, free=(tuple(m @ axis / np.linalg.norm(axis)),)),),
        )  # fmt: skip
        turned = force.reshape(-1, 3) @ m.T
        return solve(made, Loads(nodal=turned.reshape(force.shape))).moves.reshape(-1, 3)

    np.testing.assert_allclose(moves(turn), moves(np.eye(3)) @ turn.T, rtol=1e-7, atol=1e-9)
