"""Shop lengths as people write them: `23 7/16`, `1' 3-1/2"`, `0.120 in`, `38.1 mm`."""

from __future__ import annotations

import math
import re
from fractions import Fraction

MM_PER_INCH = 25.4
"""Exact since 1959."""

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
}

_NUMBER = r"\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+"
_TERM = re.compile(rf"\s*({_NUMBER})\s*(mm|cm|m|inches|inch|in|feet|foot|ft|\"|')?", re.IGNORECASE)
_QUOTES = str.maketrans({"\u2019": "'", "\u2032": "'", "\u201d": '"', "\u2033": '"', "\u2212": "-"})


def parse_length(value: str | float, unit: str) -> float:
    """A length in millimetres.

    Args:
        value: what was written: a number, or text with or without a unit.
        unit: "in" or "mm", what a bare number means.

    Raises:
        ValueError: it is not a length; the message says what was expected.

    >>> [round(parse_length(t, "in"), 4) for t in ("23 7/16", "1' 3-1/2\\"", "0.120 in", "38.1 mm")]
    [595.3125, 393.7, 3.048, 38.1]
    """
    if isinstance(value, bool):
        raise ValueError("a length was expected, not true or false")  # noqa: TRY004 - one error for all bad text
    if isinstance(value, int | float):
        return _finite(float(value) * UNITS[unit])
    text = value.translate(_QUOTES).strip()
    if "," in text:
        raise ValueError(f"write a decimal point, not a comma: {text.replace(',', '.')}")
    sign = -1.0 if text.startswith("-") else 1.0
    return _finite(sign * _total(text.removeprefix("-").removeprefix("+").strip(), unit))


def _total(text: str, unit: str) -> float:
    total, at, last = 0.0, 0, math.inf
    while at < len(text):
        term = _TERM.match(text, at)
        if term is None:
            raise ValueError("a length was expected, such as 23 7/16, 1' 3-1/2\", 0.120 in or 38.1 mm")
        scale = UNITS[(term[2] or unit).lower()]
        if scale >= last:
            raise ValueError("the larger unit comes first, such as 1' 3-1/2\"")
        total, at, last = total + _number(term[1]) * scale, term.end(), scale
        at += len(text[at:]) - len(text[at:].lstrip(" -")) if text[at:].strip() else len(text[at:])
    if not text:
        raise ValueError("a length was expected, but nothing is written")
    return total


def _number(text: str) -> float:
    whole, _, part = text.replace("-", " ").rpartition(" ")
    try:
        return float(int(whole or 0) + Fraction(part)) if "/" in part else float(text)
    except ZeroDivisionError:
        raise ValueError("a fraction cannot have zero below the line") from None


def _finite(length: float) -> float:
    if not math.isfinite(length):
        raise ValueError("a length must be a finite number")
    return length
