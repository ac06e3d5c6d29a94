"""Angles as people write them: degrees, `22.5`, `22 1/2`, `22.5°`."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from barwright.job.written import as_typed, exact

MOST_DEGREES = 3600.0
"""Ten turns: more is a slip of the pen."""

_EXPECTED = "an angle in degrees was expected, such as 22.5"
_ANGLE = re.compile(
    r"(?P<sign>[+-]?) ?(?P<number>\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d*|\.\d+|\d+)"
    r" ?(?:°|º|deg|degs|degree|degrees)?",
    re.IGNORECASE | re.ASCII,
)


def parse_angle(value: str | float) -> float:
    """An angle in radians, from degrees as written.

    Raises:
        ValueError: it is not an angle; the message says what was expected.

    >>> [round(math.degrees(parse_angle(a)), 9) for a in (90, "22 1/2", "-0.2°")]
    [90.0, 22.5, -0.2]
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(_EXPECTED)  # noqa: TRY004 - one error for all that is no angle
    degrees = _degrees(as_typed(value)) if isinstance(value, str) else value
    if not -MOST_DEGREES <= degrees <= MOST_DEGREES:
        raise ValueError(f"a finite angle of at most {MOST_DEGREES:.0f}° was expected")
    return math.radians(degrees)


def _degrees(text: str) -> Fraction:
    found = _ANGLE.fullmatch(text)
    if found is None:
        hint = "; write degrees, not radians" if "rad" in text.lower() else ""
        raise ValueError(_EXPECTED + hint)
    return exact(found["number"]) * (-1 if found["sign"] == "-" else 1)
