import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barwright.fits.stack import Contributor, draw, monte_carlo, nominal, rss, wilson, worst_case

parts = st.lists(
    st.builds(
        Contributor,
        name=st.just(""),
        nominal=st.floats(-100, 100),
        plus=st.floats(0, 2),
        minus=st.floats(0, 2),
        sensitivity=st.sampled_from([1.0, -1.0, 0.5]),
        shape=st.sampled_from(["normal", "uniform", "triangle"]),
    ),
    min_size=1,
    max_size=6,
).map(lambda ps: tuple(Contributor(**{**p.__dict__, "name": str(i)}) for i, p in enumerate(ps)))


@given(parts)
@settings(max_examples=60)
def test_rss_lies_within_the_worst_case_and_nominal_too(stack):
    worst, likely = worst_case(stack), rss(stack)
    assert worst.least - 1e-9 <= likely.least <= likely.most <= worst.most + 1e-9
    assert worst.least - 1e-9 <= nominal(stack) <= worst.most + 1e-9


@given(parts)
@settings(max_examples=20)
def test_drawn_spread_is_the_one_promised(stack):
    got = monte_carlo(stack, samples=20_000)
    promised = np.sqrt(sum((c.sensitivity * c.sd) ** 2 for c in stack))
    assert got.sd == pytest.approx(promised, rel=0.04, abs=1e-9)
    middle = sum(c.sensitivity * c.middle for c in stack)
    assert got.mean == pytest.approx(middle, abs=6 * promised / np.sqrt(20_000) + 1e-9)


@given(parts)
@settings(max_examples=20)
def test_shares_of_a_sum_are_its_contributors_variances(stack):
    total = sum((c.sensitivity * c.sd) ** 2 for c in stack)
    for name, share in monte_carlo(stack, samples=20_000).shares:
        if total > 1e-6:
            c = stack[int(name)]
            assert share == pytest.approx((c.sensitivity * c.sd) ** 2 / total, abs=0.04)


@pytest.mark.study
def test_the_interval_of_a_chance_holds_the_truth_19_times_in_20():
    """400 small studies of a gap whose true chance is known from the normal distribution."""
    stack = (Contributor(name="a", nominal=0.0, plus=3.0, minus=3.0),)
    truth = 0.841344746  # chance that a normal variable lies below one standard deviation
    held = 0
    for seed in range(400):
        got = monte_carlo(stack, most=1.0, samples=500, seed=seed)
        held += got.chance_low <= truth <= got.chance_high
    assert 0.92 <= held / 400 <= 0.98


def test_the_same_seed_gives_the_same_builds():
    stack = (Contributor(name="a", nominal=0.0, plus=1.0, minus=1.0),)
    np.testing.assert_array_equal(draw(stack, 10, 7), draw(stack, 10, 7))
    assert (draw(stack, 10, 7) != draw(stack, 10, 8)).all()


def test_a_gap_that_is_no_sum():
    stack = (
        Contributor(name="a", nominal=3.0, plus=0.1, minus=0.1),
        Contributor(name="b", nominal=4.0, plus=0.1, minus=0.1),
    )
    got = monte_carlo(stack, gap=lambda at: np.hypot(at["a"], at["b"]))
    assert got.mean == pytest.approx(5.0, abs=1e-3)
    assert dict(got.shares)["a"] == pytest.approx(0.36, abs=0.01)  # (3/5)²


def test_a_stack_without_contributors_is_refused():
    with pytest.raises(ValueError, match="contributors"):
        monte_carlo(())
    twice = Contributor(name="a", nominal=1, plus=0, minus=0)
    with pytest.raises(ValueError, match="name of its own"):
        monte_carlo((twice, twice))


def test_wilson_never_leaves_nothing_to_doubt():
    low, high = wilson(100, 100)
    assert low < 0.97
    assert high == pytest.approx(1.0)
