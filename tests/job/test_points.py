"""Known coordinates: three lengths, read in one way or not at all."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barwright.job.lengths import parse_length
from barwright.job.points import parse_point


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("10 5 3", (10, 5, 3)),
        ("10 5 3 1/2", (10, 5, 3.5)),
        ("1 1/2 1/2 3", (1.5, 0.5, 3)),
        ("10 -5 3", (10, -5, 3)),
        ("10 - 5 3", (10, -5, 3)),
        ("10 in 5 in 3 1/2 in", (10, 5, 3.5)),
        ("1' 3 2 5", (15, 2, 5)),
        ("1'3 2' 5", (15, 24, 5)),
        ("10, 5, 3.5", (10, 5, 3.5)),
        ("10,5,3.5", (10, 5, 3.5)),
        ("1' 3; 1/2; 2", (15, 0.5, 2)),
        ("254 mm 127 mm 0", (10, 5, 0)),
    ],
)
def test_reads_three_lengths(text, inches):
    assert parse_point(text, "in") == pytest.approx([25.4 * v for v in inches])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "three lengths"),
        ("1 2", "three lengths"),
        ("1 2 3 4", "three lengths"),
        ("1 2 x", "three lengths"),
        ("1;2", "three lengths"),
        ("1,5 2,5 3,5", "decimal point"),
        ("1,5; 2; 3", "decimal point"),
        ("1' 3 1/2 2", "more than one way"),
        ("1' 3 1/2", "more than one way|three lengths"),
        ("nan nan nan", "three lengths"),
        ("1 " * 150, "at most 200"),
    ],
)
def test_refuses_what_is_not_three_lengths_or_could_be_two_things(text, says):
    with pytest.raises(ValueError, match=says):
        parse_point(text, "in")


lengths = st.sampled_from(["10", "-3", "1/2", "3 1/2", "2.5", "10 in", "38.1 mm", "1' 3-1/2\""])


@given(lengths, lengths, lengths)
def test_semicolons_always_decide(x, y, z):
    assert parse_point(f"{x};{y} ; {z}", "in") == tuple(parse_length(v, "in") for v in (x, y, z))
