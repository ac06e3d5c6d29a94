"""The small steps along a rim: even points, directions, gaps, jumps."""

import numpy as np
import pytest

from barwright.survey.template_rim import (
    LEAST_SPACING,
    MOST_POINTS,
    SURE,
    _area,
    _even,
    _filled,
    _longest_gap,
    _outward,
    _raised,
    _smooth,
    _steady,
    _weight,
)


def circle(r=30.0, n=300):
    a = 2.0 * np.pi * np.arange(n) / n
    return np.stack([5.0 + r * np.cos(a), 7.0 + r * np.sin(a)], axis=1)


def test_area_is_positive_anticlockwise():
    square = np.array([[10.0, 20.0], [14.0, 20.0], [14.0, 23.0], [10.0, 23.0]])
    assert _area(square) == pytest.approx(12.0)
    assert _area(square[::-1]) == pytest.approx(-12.0)


@pytest.mark.parametrize(
    ("good", "gap"),
    [
        ("1111111111", 1),
        ("1100111111", 3),
        ("0011110001", 4),
        ("0001111100", 6),
        ("0000100001", 5),
        ("1000000000", 10),
        ("0000000000", 10),
        ("1000010000", 5),
        ("0110000000", 9),
        ("0101111111", 2),
    ],
)
def test_the_longest_gap_runs_round_the_end(good, gap):
    """In steps from one good point to the next; with fewer than two it is the whole rim."""
    ok = np.array([c == "1" for c in good])
    assert _longest_gap(ok, 0.5) == pytest.approx(0.5 * gap)
    assert _longest_gap(np.roll(ok, 3), 0.5) == pytest.approx(0.5 * gap)


def test_points_are_even_and_as_many_as_are_wanted():
    square = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]])
    line, step = _even(square)
    assert len(line) == 140 / LEAST_SPACING
    assert step == pytest.approx(LEAST_SPACING)
    assert line[0].tolist() == [0.0, 0.0]
    assert line[1] == pytest.approx((LEAST_SPACING, 0.0))
    assert line[-1] == pytest.approx((0.0, LEAST_SPACING))
    assert np.linalg.norm(line - np.roll(line, 1, axis=0), axis=1) == pytest.approx(step)
    assert len(_even(0.01 * square)[0]) == 24
    many, far = _even(100.0 * square)
    assert len(many) == MOST_POINTS
    assert far == pytest.approx(14_000.0 / MOST_POINTS)


def test_outward_of_an_anticlockwise_circle_is_away_from_its_middle():
    line = circle()
    away = (line - (5.0, 7.0)) / 30.0
    for span in (1, 3, 8):
        assert _outward(line, span) == pytest.approx(away, abs=1e-9)


def test_smoothing_shrinks_a_circle_by_the_gauss_and_goes_round():
    """A wave of k turns over n points keeps exp(-(2 pi k s / n)² / 2) of itself."""
    wave = circle(r=10.0, n=60)
    kept = np.exp(-0.5 * (2.0 * np.pi * 3.0 / 60.0) ** 2)
    found = _smooth(wave, 3.0) - (5.0, 7.0)
    assert found == pytest.approx(kept * (wave - (5.0, 7.0)), abs=2e-3)


def test_missing_points_are_put_straight_between_their_neighbours_round_the_end_too():
    line, ok = circle(n=40), np.ones(40, dtype=bool)
    ok[[0, 1, 39, 20]] = False
    broken = np.where(ok[:, None], line, 99.0)
    found = _filled(broken, ok)
    assert found[ok].tolist() == line[ok].tolist()
    assert found[20] == pytest.approx(0.5 * (line[19] + line[21]))
    share = np.array([[0.25], [0.5], [0.75]])
    assert found[[39, 0, 1]] == pytest.approx(line[38] + share * (line[2] - line[38]))
    few = np.zeros(40, dtype=bool)
    few[:7] = True
    assert _filled(broken, few) is broken
    few[7] = True
    assert not np.array_equal(_filled(broken, few), broken)


@pytest.mark.parametrize("k", [0, 1, 60, 119])
@pytest.mark.parametrize("jump", [-5.0, -0.6, 0.6, 1.5, 5.0])
def test_a_point_that_jumps_is_seen_and_nearly_all_others_are_kept(jump, k):
    line = circle(n=120)
    line[k] += jump * (line[k] - (5.0, 7.0)) / 30.0
    out = np.flatnonzero(~_steady(line, np.ones(120, dtype=bool)))
    assert k in out
    # The run of its neighbours is bent a little, and some of those may go with it.
    assert np.all((np.abs(out - k) <= 6) | (np.abs(out - k) >= 114))


def test_a_small_wave_is_no_jump_and_few_points_are_not_judged():
    line = circle(n=120)
    line[50] += 0.35 * (line[50] - (5.0, 7.0)) / 30.0
    assert _steady(line, np.ones(120, dtype=bool)).all()
    ok = np.zeros(120, dtype=bool)
    ok[:23] = True
    line[5] += 3.0
    assert _steady(line, ok) is ok
    ok[23] = True
    found = _steady(line, ok)
    assert not found[5]
    assert not found[24:].any()


def test_points_count_by_their_doubt():
    assert _weight(np.array([0.0, SURE, 2 * SURE, 100 * SURE])) == pytest.approx(
        (1.0, 1.0, 0.25, 0.05)
    )


def test_raised_points_stand_at_the_cards_face():
    assert _raised(np.array([[1.0, 2.0]]), 3.0).tolist() == [[1.0, 2.0, 3.0]]
