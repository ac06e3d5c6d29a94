"""What a trace refuses before and after it has looked, at its limits."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from barwright.job.errors import BadInput
from barwright.survey.template_board import ACROSS_BAR, UP_BAR, board
from barwright.survey.template_doubt import BAR_SD, UNCHECKED_SD
from barwright.survey.template_result import clear
from barwright.survey.template_trace import _checked, _enough, _inside, _printed, _sharp
from barwright.survey.template_types import Pick

SIZE = SimpleNamespace(size=(800, 600))


def taken(work, *args):
    try:
        work(*args)
    except BadInput as told:
        return [f.entry for f in told.faults]
    return []


@pytest.mark.parametrize(
    ("a", "b", "good"),
    [
        ((0, 0), (800, 600), True),
        ((0, 10), (20, 10), True),
        ((10, 0), (10, 20), True),
        ((-1, 10), (20, 10), False),
        ((10, -1), (10, 20), False),
        ((801, 10), (20, 10), False),
        ((10, 601), (10, 20), False),
        ((10, 10), (20, 10), True),
        ((10, 10), (19.9, 10), False),
    ],
)
def test_picks_lie_in_the_photo_edges_included_and_ten_pixels_apart(a, b, good):
    pick = Pick(name="axle", a=a, b=b)
    assert taken(_inside, (pick,), SIZE, "photo") == ([] if good else ["pick axle"])


@pytest.mark.parametrize(
    ("found", "asked", "good"),
    [(24, 100, True), (23, 100, False), (30, 200, True), (29, 200, False), (24, 161, False)],
)
def test_an_outline_needs_a_clear_edge_on_a_seventh_of_it_and_two_dozen_points(found, asked, good):
    rim = SimpleNamespace(xy=np.zeros((found, 2)), asked=asked)
    assert taken(_enough, rim, "photo") == ([] if good else ["template"])


@pytest.mark.parametrize(
    ("found", "asked", "good"), [(12, 20, True), (11, 20, False), (30, 60, True), (29, 60, False)]
)
def test_a_hole_is_one_where_half_its_rim_was_seen(found, asked, good):
    assert clear(SimpleNamespace(xy=np.zeros((found, 2)), asked=asked)) is good


@pytest.mark.parametrize(
    ("px", "pixel", "good"),
    [(4.0, 0.1, True), (4.1, 0.1, False), (2.99, 0.2, True), (3.01, 0.2, False)],
)
def test_a_photo_is_sharp_to_four_pixels_and_six_tenths_of_a_millimetre(px, pixel, good):
    view = SimpleNamespace(blur_worst=px, pixel=pixel)
    assert taken(_sharp, view, "photo") == ([] if good else ["sharpness"])


@pytest.mark.parametrize(
    ("thickness", "tolerance", "height", "wrong"),
    [
        (0.0, 0.02, 50.0, []),
        (20.0, 5.0, 10_000.0, []),
        (-0.1, 0.25, None, ["thickness"]),
        (20.1, 0.25, None, ["thickness"]),
        (3.0, 0.019, None, ["tolerance"]),
        (3.0, 5.1, None, ["tolerance"]),
        (3.0, 0.25, 49.0, ["camera height"]),
        (math.nan, math.nan, 10_001.0, ["thickness", "tolerance", "camera height"]),
    ],
)
def test_what_is_asked_must_make_sense(thickness, tolerance, height, wrong):
    assert taken(_checked, thickness, tolerance, height, "photo") == wrong


def test_the_prints_scale_is_the_bars_and_its_doubt_a_rules():
    a4 = board("a4")
    assert _printed(a4, None, None, "p") == ((1.0, 1.0), UNCHECKED_SD)
    assert _printed(a4, 101.0, None, "p") == ((1.01, 1.01), BAR_SD / 100.0)
    both = (ACROSS_BAR * 1.01, UP_BAR["a4"] * 0.99)
    scale, sd = _printed(a4, 100.0, both, "p")
    assert scale == pytest.approx((1.01, 0.99))
    assert sd == BAR_SD / ACROSS_BAR


@pytest.mark.parametrize(
    ("bar", "good"), [(98.01, True), (97.9, False), (101.99, True), (102.1, False)]
)
def test_a_print_off_by_more_than_a_fiftieth_is_refused(bar, good):
    a4 = board("a4")
    assert taken(_printed, a4, bar, None, "p") == ([] if good else ["printed bar"])
    long = (ACROSS_BAR * bar / 100.0, UP_BAR["a4"] * bar / 100.0)
    bars = [] if good else ["long bar across", "long bar up"]
    assert taken(_printed, a4, None, long, "p") == bars
    if not good:
        with pytest.raises(BadInput) as told:
            _printed(a4, bar, None, "p")
        assert "between 98 and 102 mm" in told.value.faults[0].expected
