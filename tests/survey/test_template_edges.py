"""Edges of blurred steps whose place is known exactly."""

import numpy as np
import pytest
from scipy.special import ndtr

from barwright.survey.template_edges import located

ALONG = np.array([[0.8, 0.6]])


def picture(at, blur, *, low=0.1, high=0.7, slope=0.0, noise=0.0):
    y, x = np.mgrid[0:60, 0:80].astype(float)
    u = (x - 40) * ALONG[0, 0] + (y - 30) * ALONG[0, 1]
    v = low + (high - low) * ndtr((u - at) / blur) + slope * u
    v = v + np.random.default_rng(5).normal(0.0, noise, v.shape)
    return v.astype(np.float32)


@pytest.mark.parametrize("at", [-2.3, -0.5, 0.0, 0.25, 1.9])
@pytest.mark.parametrize("blur", [0.7, 1.2, 2.0])
def test_the_place_is_found_to_a_fiftieth_of_a_pixel(at, blur):
    found = located(picture(at, blur), np.array([[40.0, 30.0]]), ALONG, 8.0)
    assert found.good[0]
    assert found.at[0] == pytest.approx(at, abs=0.02)
    # Reading between pixels by their neighbours widens the blur a little.
    assert found.blur[0] == pytest.approx(np.hypot(blur, 0.4), rel=0.15)


def test_light_that_falls_off_across_the_edge_does_not_shift_it():
    found = located(picture(0.4, 1.2, slope=0.008), np.array([[40.0, 30.0]]), ALONG, 8.0)
    assert found.at[0] == pytest.approx(0.4, abs=0.06)


def test_noise_is_told_by_the_sd():
    middle = np.repeat([[40.0, 30.0]], 40, axis=0)
    middle += np.linspace(-12, 12, 40)[:, None] * np.array([[-0.6, 0.8]])
    found = located(picture(0.3, 1.2, noise=0.02), middle, np.repeat(ALONG, 40, axis=0), 8.0)
    assert found.good.all()
    assert np.std(found.at) < 3.0 * np.median(found.sd)
    assert np.median(found.sd) < 3.0 * np.std(found.at)
    assert abs(np.mean(found.at) - 0.3) < 0.03


def test_nothing_is_found_where_nothing_is():
    flat = np.full((60, 80), 0.4, np.float32)
    assert not located(flat, np.array([[40.0, 30.0]]), ALONG, 8.0).good[0]


def test_an_edge_off_the_photo_is_not_good():
    found = located(picture(0.0, 1.0), np.array([[2.0, 2.0]]), ALONG, 8.0)
    assert not found.good[0]
