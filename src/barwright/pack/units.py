"""Lengths, angles and masses as a shop reads them: in the job's unit, with millimetres beside."""

from __future__ import annotations

import math
from fractions import Fraction

from barwright.job.lengths import MM_PER_INCH

SIXTEENTHS = 16
"""What a tape shows at a glance; decimals beside it carry the rest."""


def number(value: float, places: int) -> str:
    """A number with so many places, never a negative zero, whatever the country.

    >>> number(-0.0001, 2), number(12.345, 1)
    ('0.00', '12.3')
    """
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if not text.strip("-0.") else text


def in_unit(length: float, unit: str) -> str:
    """A length [mm] as a bare number in the job's unit: 3 places of an inch, 1 of a millimetre.

    >>> in_unit(25.4, "in"), in_unit(25.4, "mm")
    ('1.000', '25.4')
    """
    return number(length / MM_PER_INCH, 3) if unit == "in" else number(length, 1)


def shop(length: float, unit: str) -> str:
    """A length [mm] for reading aloud, the unit behind it.

    >>> shop(595.3125, "in"), shop(595.3125, "mm")
    ('23.438 in', '595.3 mm')
    """
    return f"{in_unit(length, unit)} {unit}"


def tape(length: float, unit: str) -> str:
    """A length [mm] as a tape shows it: the nearest sixteenth of an inch, or millimetre.

    >>> tape(595.3, "in"), tape(595.3, "mm"), tape(25.3, "in"), tape(-3.2, "in")
    ('23 7/16', '595', '1', '-1/8')
    """
    if unit != "in":
        return number(length, 0)
    parts = round(abs(length) / MM_PER_INCH * SIXTEENTHS)
    whole, rest = divmod(parts, SIXTEENTHS)
    sign = "-" if length < 0 and parts else ""
    words = [str(whole)] if whole or not rest else []
    return sign + " ".join([*words, *([str(Fraction(rest, SIXTEENTHS))] if rest else [])])


def both(length: float, unit: str) -> str:
    """A length [mm] in the job's unit and in the other one.

    >>> both(25.4, "in"), both(25.4, "mm")
    ('1.000 in (25.4 mm)', '25.4 mm (1.000 in)')
    """
    other = "mm" if unit == "in" else "in"
    return f"{shop(length, unit)} ({shop(length, other)})"


def thick(length: float, unit: str) -> str:
    """A thickness or a small radius [mm] in the job's unit; inches have millimetres behind.

    >>> thick(3.18, "in"), thick(3.18, "mm")
    ('0.125 in (3.18 mm)', '3.18 mm')
    """
    metric = f"{number(length, 2)} mm"
    return f"{in_unit(length, unit)} in ({metric})" if unit == "in" else metric


def degrees(angle: float, places: int = 1) -> str:
    """An angle [rad] in degrees.

    >>> degrees(math.pi / 8)
    '22.5°'
    """
    return f"{number(math.degrees(angle), places)}°"
