"""Shop lengths as people write them: `23 7/16`, `1' 3-1/2"`, `0.120 in`, `38.1 mm`."""

from __future__ import annotations

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from barwright.job.written import as_typed, exact

MM_PER_INCH = 25.4
"""Exact by the international yard and pound agreement of 1959 (NIST SP 811, appendix B)."""

UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    '"': 25.4,
    "inch": 25.4,
    "inches": 25.4,
    "ft": 304.8,
    "'": 304.8,
    "foot": 304.8,
    "feet": 304.8,
    "thou": 0.0254,
}
"""Millimetres in each unit that may be written."""

LONGEST_MM = 1e6
"""A kilometre: nothing on a vehicle is longer, so more is a slip of the pen."""

_EXPECTED = "a length was expected, such as 23 7/16, 1' 3-1/2\", 0.120 in or 38.1 mm"
_NUMBER = r"\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+"
_ONE = re.compile(
    rf"(?P<number>{_NUMBER})(?: ?(?P<unit>mm|cm|m|inches|inch|in|feet|foot|ft|thou|\"|')\.?)?",
    re.IGNORECASE | re.ASCII,
)
_FEET_AND_INCHES = re.compile(
    rf"(?P<feet>{_NUMBER}) ?(?:'|(?:feet|foot|ft)\.?)(?: - | |-|)"
    rf"(?P<inches>{_NUMBER}) ?(?:\"|inches|inch|in\.?)?",
    re.IGNORECASE | re.ASCII,
)


def parse_length(value: str | float, unit: str) -> float:
    r"""A length in millimetres.

    A whole number and its fraction stand apart by a blank or are joined by a dash (`3 1/2`,
    `3-1/2`). What follows feet is inches, whatever the job's unit.

    Args:
        value: what was written: a number, or text with or without a unit.
        unit: "in" or "mm", what a bare number means.

    Raises:
        ValueError: it is not a length; the message says what was expected.

    >>> [round(parse_length(t, "in"), 4) for t in ("23 7/16", "1' 3-1/2\"", "0.120 in", "38.1 mm")]
    [595.3125, 393.7, 3.048, 38.1]
    >>> parse_length("23,5", "mm")
    Traceback (most recent call last):
    ...
    ValueError: write a decimal point, not a comma: 23.5
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(_EXPECTED)  # noqa: TRY004 - one error for all that is no length
    if isinstance(value, str):
        return _bounded(_signed(as_typed(value), unit))
    if not abs(value) <= LONGEST_MM:
        raise ValueError("a finite length of less than a kilometre was expected")
    return _bounded(Fraction(repr(value)) * _scale(unit))


def _signed(text: str, unit: str) -> Fraction:
    """Millimetres, with the sign in front applied."""
    unsigned = text[1:].lstrip() if text[0] in "+-" else text
    size = _unsigned(unsigned, unit)
    return -size if text.startswith("-") else size


def _unsigned(text: str, unit: str) -> Fraction:
    """Millimetres of one number with its unit, or of feet and inches."""
    if one := _ONE.fullmatch(text):
        return exact(one["number"]) * _scale(one["unit"] or unit)
    both = _FEET_AND_INCHES.fullmatch(text)
    if both is None:
        raise ValueError(_EXPECTED)
    inches = exact(both["inches"])
    if inches >= 12:
        raise ValueError("after feet, the inches stay below 12")
    return exact(both["feet"]) * _scale("ft") + inches * _scale("in")


def _scale(unit: str) -> Fraction:
    return Fraction(repr(UNITS[unit.lower()]))


def _bounded(length: Fraction) -> float:
    if abs(length) > LONGEST_MM:
        raise ValueError("a length of less than a kilometre was expected")
    return float(length)


def format_length(mm: float, unit: str, *, denominator: int = 32, decimals: int = 1) -> str:
    """A length as the shop writes it: inches as a fraction, or millimetres.

    Halves round away from zero, and nothing is ever minus zero.

    Args:
        mm: the length [mm]; a dash is written for what is not finite.
        unit: "in" or "mm".
        denominator: the finest fraction of an inch, a power of two.
        decimals: places after the point for millimetres.

    >>> format_length(595.3125, "in"), format_length(393.7, "in"), format_length(-0.01, "mm")
    ('23 7/16 in', '15 1/2 in', '0.0 mm')
    """
    if not math.isfinite(mm):
        return "–"
    if unit == "mm":
        return f"{format_number(mm, decimals)} mm"
    return f"{_fraction(Fraction(repr(mm)) / _scale('in'), denominator)} in"


def _fraction(inches: Fraction, denominator: int) -> str:
    parts = math.floor(abs(inches) * denominator + Fraction(1, 2))
    whole, rest = divmod(parts, denominator)
    left = Fraction(rest, denominator)
    words = [str(whole)] if whole or not rest else []
    words += [f"{left.numerator}/{left.denominator}"] if rest else []
    return ("-" if inches < 0 and parts else "") + " ".join(words)


def format_number(value: float, decimals: int) -> str:
    """A number to so many places, halves away from zero, never minus zero.

    >>> format_number(0.25, 1), format_number(-0.04, 1), format_number(2.5, 0)
    ('0.3', '0.0', '3')
    """
    if not math.isfinite(value):
        return "–"
    rounded = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    return f"{rounded or abs(rounded):f}"
