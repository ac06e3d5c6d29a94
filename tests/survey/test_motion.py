"""Rigid motions against the matrix exponential, and the twists no reading feels."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import expm

from barwright.job.schema import Reading
from barwright.survey.compile import network_of
from barwright.survey.equations import linearise
from barwright.survey.motion import fitted, free_twists, moved, row_lengths, twists

SEEDS = st.integers(0, 10_000)


def strewn(seed, n=5):
    return np.random.default_rng(seed).uniform(-800.0, 800.0, (n, 3))


def rms_from_middle(x):
    return float(np.sqrt(np.mean(np.sum((x - x.mean(axis=0)) ** 2, axis=1))))


@given(SEEDS, st.floats(0.0, 2.5), st.floats(0.0, 900.0))
def test_a_motion_is_the_exponential_of_its_twist(seed, angle, far):
    """scipy's expm of the 4 × 4 twist matrix about the middle of the marks."""
    x, rng = strewn(seed), np.random.default_rng(seed + 1)
    w, v = rng.normal(size=(2, 3))
    w, v = w / np.linalg.norm(w) * angle, v / np.linalg.norm(v) * far
    matrix = np.zeros((4, 4))
    matrix[:3, :3] = [[0.0, -w[2], w[1]], [w[2], 0.0, -w[0]], [-w[1], w[0], 0.0]]
    matrix[:3, 3] = v
    whole = expm(matrix)
    middle = x.mean(axis=0)
    wanted = (x - middle) @ whole[:3, :3].T + whole[:3, 3] + middle
    twist = np.concatenate([v, w * rms_from_middle(x)])
    assert moved(x, twist) == pytest.approx(wanted, abs=1e-7)


@given(SEEDS)
def test_twists_are_the_first_move_and_turns_move_as_much_as_slides(seed):
    x = strewn(seed)
    columns = twists(x)
    for k in range(6):
        one = np.zeros(6)
        one[k] = 1e-4
        move = (moved(x, one) - moved(x, -one)) / 2e-4
        assert columns[:, k] == pytest.approx(move.ravel(), abs=1e-6)
    size = np.sum(columns**2, axis=0) / len(x)
    assert size[:3] == pytest.approx(1.0)
    # Three turns together move the root-mean-square mark by √2: each leaves its own axis still.
    assert size[3:].sum() == pytest.approx(2.0)


def test_without_marks_of_any_size_a_twist_still_slides():
    x = np.array([[5.0, 6.0, 7.0]])
    assert moved(x, np.array([1.0, 2.0, 3.0, 0.0, 0.0, 0.0])).tolist() == [[6.0, 8.0, 10.0]]


def tape(a, b, x, names):
    value = float(np.linalg.norm(x[names.index(a)] - x[names.index(b)]))
    return Reading(line=2, kind="tape", marks=(a, b), value=value, plus_minus=1.0)


@pytest.mark.parametrize(
    ("kinds", "free"),
    [((), 6), (("height",), 3), (("height", "offset"), 1), (("height", "offset", "station"), 0)],
)
def test_tapes_feel_no_motion_and_heights_take_three(kinds, free):
    """Heights of all marks hold up, about x and about y; offsets two more; stations the rest."""
    names, x = tuple("ABCDE"), strewn(4)
    pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
    readings = [tape(a, b, x, names) for a, b in pairs]
    axis = {"height": 2, "offset": 1, "station": 0}
    readings += [
        Reading(line=3, kind=k, marks=(n,), value=float(p[axis[k]]), plus_minus=1.0)
        for k in kinds
        for n, p in zip(names, x, strict=True)
    ]
    at = linearise(network_of(readings, {}, names), x)
    found = free_twists(at, x)
    assert found.shape == (6, free)
    assert found.T @ found == pytest.approx(np.eye(free), abs=1e-9)
    if free == 6:
        assert row_lengths(at) == pytest.approx(np.sqrt(2.0))
    if free == 3:
        assert found[[2, 3, 4]] == pytest.approx(0.0, abs=1e-6)


def test_marks_on_one_line_have_five_motions():
    x = np.outer([0.0, 300.0, 900.0], [0.6, 0.0, 0.8])
    at = linearise(network_of([tape("A", "B", x, "ABC"), tape("B", "C", x, "ABC")], {}, "ABC"), x)
    assert free_twists(at, x).shape == (6, 5)


@given(SEEDS)
def test_a_moved_body_is_brought_back_to_its_fixed_marks(seed):
    home, rng = strewn(seed), np.random.default_rng(seed + 9)
    names = tuple("ABCDE")
    fixed = [
        Reading(line=2, kind="fixed", marks=(n,), at=tuple(map(float, p)), plus_minus=1.0)
        for n, p in zip(names, home, strict=True)
    ]
    network = network_of(fixed, {}, names)
    away = moved(home, rng.uniform(-200.0, 200.0, 6))
    back, cost = fitted(
        away, lambda v: linearise(network, v.reshape(-1, 3)), lambda _: np.eye(6), steps=60
    )
    assert cost < 1e-9
    assert back == pytest.approx(home, abs=1e-4)
