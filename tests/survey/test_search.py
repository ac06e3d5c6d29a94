"""When an answer is believed: what chance gives, and how many wrong readings it may have."""

import numpy as np
import pytest

from barwright.survey.search import _good


def residuals(count, wrong, size=0.5):
    r = np.full(count, size)
    r[:wrong] = 50.0
    return r


@pytest.mark.parametrize(
    ("count", "freedom", "most"),
    [
        (75, 20, 3),  # a twenty-fifth
        (75, 4, 2),  # but two readings to spare must be left
        (75, 5, 3),
        (20, 20, 1),  # one at least
        (75, 3, 0),  # with hardly one to spare none is given away
    ],
)
def test_a_few_wrong_readings_are_borne_and_no_more(count, freedom, most):
    small = 0.5 * np.sqrt(freedom / count)
    assert _good(residuals(count, most, small), freedom)
    assert not _good(residuals(count, most + 1, small), freedom)


def test_what_is_left_must_be_what_chance_gives():
    """The sum of squares is about as many as are to spare: chi-squared."""
    assert _good(np.full(40, 1.0), 40)
    assert not _good(np.full(40, 2.0), 40)
    assert not _good(np.full(40, 1.0), 8)
