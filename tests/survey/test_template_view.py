"""The small steps of solving a photo's geometry, against scipy and closed forms."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from barwright.survey.template_camera import project, turned
from barwright.survey.template_layout import CAMERA_UNKNOWNS, OUTWARD, Layout
from barwright.survey.template_view import (
    HEIGHT_SD,
    _adjusted,
    _calmed,
    _damped,
    _height_miss,
    _laid,
    _normals,
    _scatter,
    _slopes,
    _vector,
    surface,
    terms,
)


@given(st.floats(-3.0, 3.0), st.tuples(st.floats(-90, 90), st.floats(-90, 90)))
def test_a_sheet_laid_down_elsewhere_is_found_with_its_turn(turn, shift):
    local = np.random.default_rng(2).uniform(0.0, 200.0, (12, 2))
    c, s = math.cos(turn), math.sin(turn)
    lies = local @ np.array([[c, -s], [s, c]]).T + shift
    moved, found = _laid(local, lies)
    assert found == pytest.approx(turn, abs=1e-9)
    assert moved == pytest.approx(shift, abs=1e-7)


def test_misses_beyond_the_limit_count_as_hubers_loss_has_them():
    """Half the square up to the limit k, k (|r| − k / 2) beyond: Huber (1964), from memory."""
    off = np.array([-7.0, -2.0, -1.0, 0.0, 1.9, 2.0, 2.1, 50.0])
    huber = np.where(np.abs(off) <= 2.0, 0.5 * off**2, 2.0 * (np.abs(off) - 1.0))
    found = _calmed(off, 2.0)
    assert 0.5 * found**2 == pytest.approx(huber)
    assert np.sign(found).tolist() == np.sign(off).tolist()


def test_normals_are_square_to_the_side_and_lead_from_black_to_white():
    def skewed(p):
        return p @ np.array([[2.0, 0.3], [-0.4, 1.5]]) + (100.0, 50.0)

    side = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]])
    out = np.array([[0.0, 1.0], [1.0, 0.0], [0.0, -1.0]])
    found = _normals(skewed, np.zeros((3, 2)), side, out)
    flat = np.array([[2.0, 0.3], [-0.4, 1.5]])
    assert np.linalg.norm(found, axis=1) == pytest.approx(1.0)
    assert np.sum(found * (side @ flat), axis=1) == pytest.approx(0.0, abs=1e-12)
    assert np.all(np.sum(found * (out @ flat), axis=1) > 0.0)


def test_slopes_are_the_derivatives():
    def misses(v):
        return np.array([v[0] ** 2, v[0] * v[1], 3.0 * v[2], 1e3 * np.sin(v[1])])

    x = np.array([2.0, -0.5, 400.0])
    exact = [[4.0, 0, 0], [-0.5, 2.0, 0], [0, 0, 3.0], [0, 1e3 * math.cos(0.5), 0]]
    assert _slopes(misses, x) == pytest.approx(np.array(exact), abs=1e-4)


@given(st.integers(0, 1000))
def test_the_damped_answer_is_scipys(seed):
    """Misses that curve, and a hold on what the unknowns are aimed at."""
    rng = np.random.default_rng(seed)
    a, b = rng.normal(size=(8, 3)), rng.normal(size=8)
    layout = SimpleNamespace(aim=rng.normal(size=3), hold=rng.uniform(0.5, 2.0, 3))

    def misses(v):
        return a @ v + 0.1 * np.sin(v).sum() - b

    def whole(v):
        return np.append(misses(v), (v - layout.aim) * layout.hold)

    wanted = least_squares(whole, np.zeros(3), xtol=1e-12, ftol=1e-12, gtol=1e-12).x
    assert _damped(misses, np.zeros(3), layout) == pytest.approx(wanted, abs=2e-3)


def test_scatter_is_the_standard_deviation_with_strays_left_aside():
    off = np.random.default_rng(1).normal(0.0, 0.3, 20_000)
    off[:1000] += 50.0
    assert _scatter(off) == pytest.approx(0.3, rel=0.08)
    assert _scatter(np.zeros(9)) == 0.02


def test_a_height_measured_by_hand_counts_in_its_own_doubt():
    layout = SimpleNamespace(
        height=500.0, camera=lambda _: SimpleNamespace(eye=np.array([0.0, 0.0, 515.0]))
    )
    assert _height_miss(layout, np.zeros(3)) == pytest.approx(15.0 / HEIGHT_SD)
    layout.height = None
    assert _height_miss(layout, np.zeros(3)) == 0.0


@given(st.lists(st.floats(-1, 1), min_size=6, max_size=6))
def test_a_quadratic_surface_comes_back_in_spite_of_strays(k):
    rng = np.random.default_rng(7)
    xy = rng.uniform(0.0, 300.0, (200, 2))
    x, y = (xy / 100.0).T
    values = k[0] + k[1] * x + k[2] * y + k[3] * x * x + k[4] * x * y + k[5] * y * y
    assert terms(xy) @ np.array(k) == pytest.approx(values, abs=1e-9)
    noisy = values + rng.normal(0.0, 0.01, 200)
    noisy[:8] += 3.0
    assert surface(xy, noisy) == pytest.approx(np.array(k), abs=0.06)


@given(st.tuples(*[st.floats(-1.5, 1.5)] * 3))
def test_the_rotation_vector_comes_back(v):
    assert _vector(turned(v)) == pytest.approx(np.array(v), abs=1e-9)


def view_of(count, seed=1, noise=0.02):
    """Edges made up from a known camera, with a few of its unknowns held to what they are."""
    from barwright.survey.template_board import board

    loose = np.array([0.05, 0.007, 0.007, 0.15, 0.15, *[np.inf] * 6, 1.0])
    layout = Layout(
        board=board("a4"),
        scale=(1.0, 1.0),
        sheets=(0,),
        focal=1500.0,
        middle=(999.5, 749.5),
        diagonal=2500.0,
        aim=np.zeros(CAMERA_UNKNOWNS),
        hold=1.0 / loose,
    )
    truth = np.zeros(CAMERA_UNKNOWNS)
    truth[5:11] = math.pi - 0.1, 0.05, 0.1, -100.0, 150.0, 450.0
    truth[OUTWARD] = 0.3
    rng = np.random.default_rng(seed)
    local = rng.uniform((20.0, 40.0), (190.0, 280.0), (count, 2))
    turn = rng.uniform(0.0, 2.0 * np.pi, count)
    across = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    sheet = np.zeros(count, dtype=np.int64)
    pixel = project(layout.camera(truth), layout.on_board(truth, sheet, local))
    # Ink that bled moves every edge outward, and so does the way a phone bends its tones.
    pixel = pixel + (truth[OUTWARD] + rng.normal(0.0, noise, (count, 1))) * across
    found = SimpleNamespace(local=local, sheet=sheet, pixel=pixel, across=across)
    return found, layout, truth


@pytest.mark.parametrize("count", [40, 400])
def test_what_is_held_is_known_better_than_it_was_held(count):
    """Edges only add to what was known: no doubt is larger than before, and more edges less."""
    found, layout, truth = view_of(count)
    start = truth + np.array([0.01, 0.001, 0.001, 0.01, 0, *[0.01] * 3, 1, 1, 2, 0.1])
    x, covariance, rms = _adjusted(found, layout, start)
    sd = np.sqrt(np.diag(covariance))
    held = layout.hold > 0.0
    assert np.all(sd[held] <= (1.0 / layout.hold[held]) * (1 + 1e-9))
    assert np.all(np.linalg.eigvalsh(covariance) > 0.0)
    assert np.all(np.abs(x - truth) < 5.0 * sd + 1e-6)
    assert x[OUTWARD] == pytest.approx(0.3, abs=0.02)
    assert rms == pytest.approx(0.02, rel=0.35)
