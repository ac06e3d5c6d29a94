"""Laws of bend allowance and deduction (SM8): geometry, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.plates.bends import allowance, deduction, k_factor, setback

lengths = st.floats(0.5, 12.0)
ks = st.floats(0.25, 0.5)


@given(lengths, lengths, ks)
def test_no_bend_uses_nothing_and_deducts_nothing(r, t, k):
    assert allowance(angle=0.0, radius=r, thickness=t, k=k) == 0.0
    assert deduction(angle=0.0, radius=r, thickness=t, k=k) == 0.0
    assert deduction(angle=1e-6, radius=r, thickness=t, k=k) == pytest.approx(0.0, abs=1e-4)


@given(lengths, lengths, ks, st.floats(0.01, 3.0))
def test_allowance_lies_between_inside_and_outside_arcs(r, t, k, angle):
    used = allowance(angle=angle, radius=r, thickness=t, k=k)
    assert angle * r < used < angle * (r + t)
    assert allowance(angle=-angle, radius=r, thickness=t, k=k) == used


@given(lengths, lengths, ks, st.floats(0.01, 3.0))
def test_deduction_is_two_setbacks_less_the_allowance(r, t, k, angle):
    back = setback(angle=angle, radius=r, thickness=t)
    used = allowance(angle=angle, radius=r, thickness=t, k=k)
    assert deduction(angle=angle, radius=r, thickness=t, k=k) == pytest.approx(2 * back - used)
    assert deduction(angle=angle, radius=r, thickness=t, k=k) > 0.0


@given(lengths)
def test_k_rises_with_the_radius_up_to_a_half(t):
    found = [k_factor(share * t, t) for share in (0.4, 0.65, 1.0, 2.0, 4.0, 5.0, 9.0)]
    assert found == sorted(found)
    assert found[-1] == 0.5
