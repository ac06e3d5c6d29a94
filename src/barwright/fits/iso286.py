"""What do H7, f7 or p6 allow? Limits of size by ISO 286, for 3 to 80 mm.

Tolerance grades and shaft deviations are tables of the standard, kept here as figures (from
memory; the rows for 6 to 30 mm were checked against BS 4500 / EN 20286 tables that were read).
Holes follow from shafts by the standard's own rules: A to H mirror the shaft; K to N up to grade
8 and P to U up to grade 7 mirror it and add the step between two grades. What the tables do not
hold is refused.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass

SMALLEST, LARGEST = 3.0, 80.0
"""Sizes covered: over 3, up to and with 80 mm."""

_STEPS = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0)
_GRADES: dict[int, tuple[int, ...]] = {
    5: (5, 6, 8, 9, 11, 13),
    6: (8, 9, 11, 13, 16, 19),
    7: (12, 15, 18, 21, 25, 30),
    8: (18, 22, 27, 33, 39, 46),
    9: (30, 36, 43, 52, 62, 74),
    10: (48, 58, 70, 84, 100, 120),
    11: (75, 90, 110, 130, 160, 190),
    12: (120, 150, 180, 210, 250, 300),
    13: (180, 220, 270, 330, 390, 460),
}
"""Micrometres by grade and step, ISO 286-1 table 1."""

_UPPER: dict[str, tuple[int, ...]] = {
    "d": (-30, -40, -50, -65, -80, -100),
    "e": (-20, -25, -32, -40, -50, -60),
    "f": (-10, -13, -16, -20, -25, -30),
    "g": (-4, -5, -6, -7, -9, -10),
    "h": (0, 0, 0, 0, 0, 0),
}
"""Upper deviation es of shafts [µm], ISO 286-1 table 2."""

_LOWER: dict[str, tuple[int, ...]] = {
    "k": (1, 1, 1, 2, 2, 2),
    "m": (4, 6, 7, 8, 9, 11),
    "n": (8, 10, 12, 15, 17, 20),
    "p": (12, 15, 18, 22, 26, 32),
}
"""Lower deviation ei of shafts [µm], ISO 286-1 table 3; k for grades 4 to 7."""

_FINE_STEPS = (3.0, 6.0, 10.0, 18.0, 24.0, 30.0, 40.0, 50.0, 65.0, 80.0)
_FINE: dict[str, tuple[int, ...]] = {
    "r": (15, 19, 23, 28, 28, 34, 34, 41, 43),
    "s": (19, 23, 28, 35, 35, 43, 43, 53, 59),
    "u": (23, 28, 33, 41, 48, 60, 70, 87, 102),
}
"""The same where the standard parts its steps in two."""

_CODE = re.compile(r"(js|JS|[a-zA-Z])(\d{1,2})")
_KNOWN = "d e f g h js k m n p r s u, small for a shaft and capital for a hole, grades 5 to 13"


@dataclass(frozen=True, kw_only=True)
class Limits:
    """How far from the nominal size a part may be [mm].

    Attributes:
        lower, upper: deviations, lower first.
    """

    lower: float
    upper: float


@dataclass(frozen=True, kw_only=True)
class Fit:
    """What a hole and a shaft leave between them [mm]; below zero is interference.

    Attributes:
        least, most: clearance at the tight and the loose end.
    """

    least: float
    most: float

    @property
    def kind(self) -> str:
        """clearance, transition or interference."""
        if self.least >= 0.0:
            return "clearance"
        return "interference" if self.most <= 0.0 else "transition"


def limits(size: float, code: str) -> Limits:
    """The limits of a hole (capital letter) or a shaft (small letter).

    Args:
        size: nominal diameter [mm], over 3 and up to 80.
        code: such as "H7" or "f7".

    Raises:
        ValueError: a size or a code the tables do not hold; the message says what they hold.

    >>> limits(12.0, "f7")
    Limits(lower=-0.034, upper=-0.016)
    >>> limits(12.0, "K7")
    Limits(lower=-0.012, upper=0.006)
    """
    found = _CODE.fullmatch(code.strip())
    if not found:
        raise ValueError(f"{code!r} is no tolerance class: {_KNOWN}")
    letter, grade = found[1], int(found[2])
    width = tolerance(size, grade)
    hole = letter[0].isupper()
    low, high = _shaft(size, letter.lower(), grade, width, code)
    if hole:
        low, high = _hole(size, letter.lower(), grade, width, (low, high))
    return Limits(lower=low / 1000.0 + 0.0, upper=high / 1000.0 + 0.0)


def tolerance(size: float, grade: int) -> int:
    """The width IT of a grade [µm] for a nominal size [mm].

    Raises:
        ValueError: outside the tables.

    >>> tolerance(20.0, 7)
    21
    """
    if not SMALLEST < size <= LARGEST:
        raise ValueError(f"size {size:g} mm: the tables run from over 3 to 80 mm")
    if grade not in _GRADES:
        raise ValueError(f"grade {grade}: the tables hold grades 5 to 13")
    return _GRADES[grade][bisect_left(_STEPS, size) - 1]


def _shaft(size: float, letter: str, grade: int, width: int, code: str) -> tuple[float, float]:
    """Lower and upper deviation of a shaft [µm]."""
    step, fine = bisect_left(_STEPS, size) - 1, bisect_left(_FINE_STEPS, size) - 1
    if letter == "js":
        return -width / 2.0, width / 2.0
    if letter in _UPPER:
        return float(_UPPER[letter][step] - width), float(_UPPER[letter][step])
    lower = _LOWER[letter][step] if letter in _LOWER else None
    lower = _FINE[letter][fine] if letter in _FINE else lower
    if lower is None:
        raise ValueError(f"{code!r}: the tables hold {_KNOWN}")
    if letter == "k" and grade > 7:
        lower = 0
    return float(lower), float(lower + width)


def _hole(
    size: float, letter: str, grade: int, width: int, shaft: tuple[float, float]
) -> tuple[float, float]:
    """Lower and upper deviation of a hole [µm] from the shaft of the same letter and grade."""
    if letter == "js":
        return shaft
    if letter in _UPPER:
        return -shaft[1], -shaft[1] + width
    top = 8 if letter in "kmn" else 7
    if grade > top:
        raise ValueError(
            f"{letter.upper()}{grade}: the tables hold {letter.upper()} to grade {top}"
        )
    if grade == 5:
        raise ValueError(f"{letter.upper()}5: grade 4 is not held, so its step is not known")
    ei = limits(size, f"{letter}6").lower * 1000.0
    upper = -ei + (width - tolerance(size, grade - 1))
    return round(upper - width, 9), round(upper, 9)


def fit(size: float, hole: str, shaft: str) -> Fit:
    """What is between a hole and a shaft of one nominal size.

    Raises:
        ValueError: outside the tables, or a hole's and a shaft's code mixed up.

    >>> f = fit(12.0, "H7", "f7")
    >>> round(f.least, 3), round(f.most, 3), f.kind
    (0.016, 0.052, 'clearance')
    """
    if not hole[:1].isupper() or not shaft[:1].islower():
        raise ValueError(f"{hole} {shaft}: a hole's code is capital, a shaft's small, hole first")
    h, s = limits(size, hole), limits(size, shaft)
    return Fit(least=round(h.lower - s.upper, 6), most=round(h.upper - s.lower, 6))


def unit_of_tolerance(size: float) -> float:
    """The standard's unit i [µm], 0.45 D^(1/3) + 0.001 D, D the geometric mean of the step.

    IT6 is 10 i, IT7 16 i, IT8 25 i before rounding (ISO 286-1 annex; from memory).

    >>> round(unit_of_tolerance(12.0), 3)
    1.083
    """
    step = bisect_left(_STEPS, size) - 1
    mean = float((_STEPS[step] * _STEPS[step + 1]) ** 0.5)
    return float(0.45 * mean ** (1.0 / 3.0) + 0.001 * mean)
