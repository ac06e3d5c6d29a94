"""What to set the bender to."""

import math
import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.job.schema import Bender
from barwright.tubes.springback import NoAnswer, corrected, monotone, set_angle


def bender(*pairs, **more):
    return Bender.model_validate({"clr": 114, "springback": pairs, **more})


def set_for(tool, degrees):
    return math.degrees(set_angle(tool, math.radians(degrees)))


HERON = bender((10, 11.0), (30, 32.0), (60, 63.5), (90, 95.0))


def test_the_table_is_met_at_its_own_angles():
    for wanted, set_ in ((10, 11), (30, 32), (60, 63.5), (90, 95)):
        assert set_for(HERON, wanted) == pytest.approx(set_)


def test_between_them_it_only_rises():
    angles = [10 + k for k in range(81)]
    assert all(a < b for a, b in pairwise(set_for(HERON, w) for w in angles))


@pytest.mark.parametrize("wanted", [9.0, 91.0])
def test_outside_the_table_it_is_refused(wanted):
    with pytest.raises(
        NoAnswer, match=re.escape(f"not {wanted:.1f}°: make a test bend of {wanted:.0f}°")
    ):
        set_for(HERON, wanted)


def test_a_table_that_turns_back_is_refused():
    with pytest.raises(NoAnswer, match="turns back"):
        set_for(bender((10, 11), (30, 10)), 20)
    with pytest.raises(NoAnswer, match="turns back"):
        set_for(bender((10, 11), (10, 12)), 10)


def test_without_a_table_set_what_is_wanted():
    assert set_for(bender(), 45) == pytest.approx(45)


def test_a_test_bend_puts_the_table_right():
    tool = bender((10, 11.0), (30, 32.0), (60, 63.5), (90, 95.0), tests=[(60, 59.0)])
    # It was set to 63.5 and came out at 59: 59 wants 63.5.
    assert set_for(tool, 59) == pytest.approx(63.5)
    assert set_for(tool, 60) > 63.5
    error = 63.5 - set_for(HERON, 59)
    assert set_for(tool, 90) == pytest.approx(95 + error * 90 / 59)
    assert set_for(tool, 30) == pytest.approx(32 + error * 30 / 59)


def test_a_test_bend_alone_is_a_table_of_one():
    tool = bender(tests=[(45, 43.0)])
    assert set_for(tool, 43) == pytest.approx(45)
    with pytest.raises(NoAnswer):
        set_for(tool, 60)


@given(st.floats(15, 85), st.floats(-2, 2), st.floats(0.90, 1.0))
def test_bend_test_correct_bend_comes_out_right(wanted, bias, scale):
    """A true machine that gives `scale` of what is set, `bias` off: one test mends that angle."""
    first = bender((10, 10.5), (90, 92))
    got = scale * set_for(first, wanted) + bias
    tool = bender((10, 10.5), (90, 92), tests=[(wanted, got)])
    assert set_for(tool, got) == pytest.approx(set_for(first, wanted))
    assert corrected(tool)[0][0] <= math.radians(got) <= corrected(tool)[-1][0]


@given(
    st.lists(st.floats(0.5, 40), min_size=1, max_size=7),
    st.lists(st.floats(0.5, 40), min_size=7, max_size=7),
    st.floats(0, 1),
)
def test_the_curve_is_scipys_monotone_cubic(gaps, rises, share):
    from scipy.interpolate import PchipInterpolator

    x = np.cumsum([3.0, *gaps])
    y = np.cumsum([4.0, *rises[: len(gaps)]])
    at = x[0] + share * (x[-1] - x[0])
    pairs = tuple(zip(x.tolist(), y.tolist(), strict=True))
    assert monotone(pairs, at) == pytest.approx(float(PchipInterpolator(x, y)(at)), rel=1e-9)


@pytest.mark.parametrize("pairs", [((10, 11), (30, 11)), ((10, 11), (30, 12), (40, 12))])
def test_a_table_that_sets_the_same_for_more_is_refused(pairs):
    """Monotone means it rises: one set angle cannot give two bends."""
    with pytest.raises(NoAnswer, match="turns back"):
        set_for(bender(*pairs), 10)


def test_beyond_the_table_a_test_bend_carries_its_last_correction_on():
    """Table: 84 for 80, 105 for 100. A test bend of 80 came out at 70: 84 is what 70 needs."""
    tool = bender((80, 84), (100, 105), tests=[(80, 70.0)])
    assert set_for(tool, 70) == pytest.approx(84.0)
    # At 70 the table would have said 70 + 4; the error, 10, grows with the angle.
    assert set_for(tool, 80) == pytest.approx(84 + 10 * 80 / 70)
    assert set_for(tool, 100) == pytest.approx(105 + 10 * 100 / 70)
    over = bender((80, 84), (100, 105), tests=[(100, 110.0)])
    # At 110 the table would have said 110 + 5: it was set to 105, an error of -10.
    assert set_for(over, 110) == pytest.approx(105.0)
    assert set_for(over, 80) == pytest.approx(84 - 10 * 80 / 110)


def test_between_two_tests_the_share_runs_in_a_straight_line():
    tool = bender((40, 40), (60, 60), (80, 80), tests=[(40, 38.0), (80, 72.0)])
    low, high = 2.0 / 38.0, 8.0 / 72.0
    share = low + (high - low) * (60.0 - 38.0) / (72.0 - 38.0)
    assert set_for(tool, 60) == pytest.approx(60.0 + 60.0 * share)
