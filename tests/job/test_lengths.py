"""Shop lengths: what is read, what is refused, and that what is written is read again."""

from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from barwright.job.lengths import format_length, format_number, parse_length

INCH = Fraction("25.4")


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("23 7/16", "375/16"),
        ("23-7/16", "375/16"),
        ("3-1/2", "7/2"),
        ("1/2", "1/2"),
        ("7/4", "7/4"),
        (".125", "1/8"),
        ("5.", "5"),
        ("0.120 in", "3/25"),
        ("120 thou", "3/25"),
        ("23 7/16 IN", "375/16"),
        ('23 7/16"', "375/16"),
        ("23 7/16 in.", "375/16"),
        ("23½", "47/2"),
        ("½", "1/2"),
        ("23 ⅛ in", "185/8"),
        ("⅟8", "1/8"),
        ("5⁄8", "5/8"),
        ("1' 3-1/2\"", "31/2"),
        ("1'3-1/2\"", "31/2"),
        ("1'-3 1/2\"", "31/2"),
        ("1' - 3 1/2\"", "31/2"),
        ("1′ 3½″", "31/2"),
        ("1’ 3–1/2”", "31/2"),
        ("1' 3''", "15"),
        ("1 ft 3 in", "15"),
        ("1 ft. 3 in.", "15"),
        ("1ft3in", "15"),
        ("2 feet", "24"),
        ("1' 3", "15"),
        ("1/2 ft", "6"),
        ("-3-1/2", "-7/2"),
        ("−3 1/2", "-7/2"),
        ("- 3", "-3"),
        ("+3", "3"),
        ("\u00a03\u20091/2 ", "7/2"),
        ("38.1 mm", "3/2"),
        ("3.81cm", "3/2"),
        ("0.0381 m", "3/2"),
        ("0", "0"),
    ],
)
def test_reads_what_people_write(text: str, inches: str) -> None:
    assert parse_length(text, "in") == float(Fraction(inches) * INCH)


def test_a_bare_number_is_in_the_jobs_unit_but_inches_after_feet() -> None:
    assert parse_length("5 1/2", "mm") == 5.5
    assert parse_length(0.1, "in") == 2.54
    assert parse_length(12, "mm") == 12.0
    assert parse_length("1' 3", "mm") == 381.0


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ("23,5", "write a decimal point, not a comma: 23.5"),
        ("1,234.5", "without commas: 1234.5"),
        ("1,234,567", "without commas: 1234567"),
        ("5 -3", "a length was expected"),
        ("5- 3/4", "a length was expected"),
        ("5 -3/4", "a length was expected"),
        ("5 3", "a length was expected"),
        ("5-3", "a length was expected"),
        ("3.5 1/2", "a length was expected"),
        ("3 1/2 1/4", "a length was expected"),
        ("3 in 1 ft", "a length was expected"),
        ("3 5/4", "less than one"),
        ("1/0", "zero below the line"),
        ("1' 14\"", "below 12"),
        ("--3", "a length was expected"),
        ("1' -3\"", "a length was expected"),
        ("1'- 3\"", "a length was expected"),
        ("5 m 3", "a length was expected"),
        ("", "nothing is written"),
        ("   ", "nothing is written"),
        ("-", "a length was expected"),
        ("nan", "a length was expected"),
        ("inf", "a length was expected"),
        ("1e400", "a length was expected"),
        ("1e3", "a length was expected"),
        ("5..", "a length was expected"),
        ("0x10", "a length was expected"),
        ("1_000", "a length was expected"),
        ("٣", "a length was expected"),
        ("3²", "a length was expected"),
        ("5 furlongs", "a length was expected"),
        ("9" * 70, "kilometre"),
        (float("nan"), "finite"),
        (float("inf"), "finite"),
        (-float("inf"), "finite"),
        (1e300, "kilometre"),
        (True, "a length was expected"),
        ([1.0], "a length was expected"),
        (None, "a length was expected"),
    ],
)
def test_refuses_what_is_not_a_length_and_says_why(value: object, says: str) -> None:
    with pytest.raises(ValueError, match=r"expected|write|fraction|characters|below") as refused:
        parse_length(value, "in")  # type: ignore[arg-type]
    assert says in str(refused.value)
    assert len(str(refused.value)) < 200


def test_minus_zero_is_zero() -> None:
    assert str(parse_length("-0", "in")) == "0.0"
    assert str(parse_length(-0.0, "in")) == "0.0"


@pytest.mark.parametrize(
    ("mm", "unit", "written"),
    [
        (595.3125, "in", "23 7/16 in"),
        (12.7, "in", "1/2 in"),
        (0.0, "in", "0 in"),
        (-0.0, "in", "0 in"),
        (-0.1, "in", "0 in"),
        (-12.7, "in", "-1/2 in"),
        (25.4 * 3, "in", "3 in"),
        (25.39, "in", "1 in"),
        (0.396875, "in", "1/32 in"),  # half of 1/32 in: away from zero
        (-0.396875, "in", "-1/32 in"),
        (0.39687, "in", "0 in"),
        (595.3125, "mm", "595.3 mm"),
        (0.25, "mm", "0.3 mm"),
        (-0.04, "mm", "0.0 mm"),
        (float("nan"), "in", "–"),
        (float("inf"), "mm", "–"),
    ],
)
def test_writes_as_the_shop_does(mm: float, unit: str, written: str) -> None:
    assert format_length(mm, unit) == written


def test_finer_fractions_on_request() -> None:
    assert format_length(25.4 * (2 + 5 / 64), "in", denominator=64) == "2 5/64 in"
    assert format_length(1.0, "mm", decimals=0) == "1 mm"


def test_numbers_round_halves_away_from_zero() -> None:
    written = [format_number(v, 2) for v in (0.125, -0.125, 1.005, 2.675, -0.001)]
    assert written == ["0.13", "-0.13", "1.01", "2.68", "0.00"]


@given(st.integers(-64 * 2000, 64 * 2000), st.sampled_from([8, 16, 32, 64]))
@example(-1, 64)
def test_a_written_fraction_reads_back_exactly(parts: int, denominator: int) -> None:
    mm = float(Fraction(parts, denominator) * INCH)
    assert parse_length(format_length(mm, "in", denominator=denominator), "in") == mm


@given(st.floats(-50_000, 50_000), st.sampled_from(["in", "mm"]))
def test_a_written_length_is_within_half_its_last_place(mm: float, unit: str) -> None:
    half = 25.4 / 64 if unit == "in" else 0.05
    assert abs(parse_length(format_length(mm, unit), unit) - mm) <= half * (1 + 1e-9)


@given(st.text(max_size=90))
def test_any_text_is_a_length_or_a_plain_refusal(text: str) -> None:
    try:
        length = parse_length(text, "in")
    except ValueError:
        return
    assert abs(length) <= 1e6


@given(st.text(alphabet="0123456789 /-'\".½inft", max_size=12))
def test_a_minus_sign_only_turns_the_length_round(text: str) -> None:
    try:
        length = parse_length(text, "in")
    except ValueError:
        return
    if not text.strip().startswith(("-", "+")):
        assert parse_length("-" + text, "in") == -length


@pytest.mark.parametrize("value", ["1" * 10_000_000, 10**6000], ids=["long text", "huge number"])
def test_what_is_absurdly_large_is_refused_shortly(value: str | int) -> None:
    with pytest.raises(ValueError, match=r"at most 80 characters|kilometre") as refused:
        parse_length(value, "in")
    assert len(str(refused.value)) < 200
