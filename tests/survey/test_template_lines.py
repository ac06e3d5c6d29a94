"""Dips along lines: where the darkest lies, and whether there is one."""

import numpy as np
import pytest

from barwright.survey import template_lines
from barwright.survey.template_lines import _dips

U = np.arange(-10.0, 10.001, 0.5)


def dip(at, deep=0.2, wide=1.0, card=0.5):
    return card - deep * np.exp(-0.5 * ((U - at) / wide) ** 2)


@pytest.mark.parametrize("at", [-6.0, -1.3, 0.0, 0.2, 5.5])
def test_the_middle_of_a_dip_is_found(at):
    middle, clear = _dips(dip(at)[None], U)
    assert clear[0]
    assert middle[0] == pytest.approx(at, abs=0.02)


def test_a_line_farther_off_does_not_draw_it_aside():
    both = dip(-2.0, 0.25) + dip(6.0, 0.22) - 0.5
    middle, clear = _dips(both[None], U)
    assert clear[0]
    assert middle[0] == pytest.approx(-2.0, abs=0.05)


@pytest.mark.parametrize(("deep", "seen"), [(0.085, True), (0.065, False)])
def test_a_dip_must_be_a_seventh_of_the_cards_light(deep, seen):
    """0.15 of a card of 0.5: 0.075."""
    assert _dips(dip(0.0, deep)[None], U)[1][0] == seen


def test_noise_is_no_line():
    rng = np.random.default_rng(1)
    noise = 0.5 + rng.normal(0.0, 0.08, (40, len(U)))
    assert _dips(noise, U)[1].mean() < 0.2
    clear = dip(0.0, 0.4)[None] + rng.normal(0.0, 0.01, (40, len(U)))
    assert _dips(clear, U)[1].all()


def test_a_lighter_line_is_none():
    assert not _dips((1.0 - dip(0.0))[None], U)[1][0]


def pen_of(monkeypatch, points, asked=None):
    ridge = np.full((asked or len(points), 2), np.nan)
    ridge[: len(points)] = points
    monkeypatch.setattr(template_lines, "_ridge", lambda *_: ridge)
    return template_lines._pen(None, None, None, 0.0)


def along_line(turn, n=60, noise=0.05, seed=1):
    """Points on a line through 40, 70 with a scatter across it."""
    rng = np.random.default_rng(seed)
    run = np.array([np.cos(turn), np.sin(turn)])
    across = np.array([-run[1], run[0]])
    t, off = np.linspace(-50.0, 50.0, n), rng.normal(0.0, noise, n)
    return (40.0, 70.0) + t[:, None] * run + off[:, None] * across, run


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.2, 2.0, -0.7])
def test_a_pen_line_runs_through_its_points_in_spite_of_strays(monkeypatch, turn):
    points, run = along_line(turn)
    points[::9] += 1.5 * np.array([-run[1], run[0]])
    middle, found, sd = pen_of(monkeypatch, points)
    assert abs(found @ run) == pytest.approx(1.0, abs=1e-4)
    assert (middle - (40.0, 70.0)) @ (-run[1], run[0]) == pytest.approx(0.0, abs=0.04)
    # Ten places count as one: 0.05 mm over the root of a tenth of 53 places.
    assert sd == pytest.approx(0.05 * np.sqrt(10.0 / 51.0), rel=0.3)


@pytest.mark.parametrize(
    ("seen", "asked", "found"), [(30, 60, True), (29, 60, False), (7, 8, False)]
)
def test_a_pen_line_is_one_where_half_of_the_places_show_it(monkeypatch, seen, asked, found):
    points, _ = along_line(0.3, n=seen, noise=0.0)
    assert (pen_of(monkeypatch, points, asked) is not None) == found
