"""Lengths, angles and masses as a shop reads them: in the job's unit, with millimetres beside."""

from __future__ import annotations

import math

from barwright.job.lengths import MM_PER_INCH, format_length, format_number


def number(value: float, places: int) -> str:
    """A number with so many places, as the commands print it: `job.lengths.format_number`.

    >>> number(-0.0001, 2), number(12.345, 1), number(3.175, 2)
    ('0.00', '12.3', '3.18')
    """
    return format_number(value, places)


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
    """A length [mm] as a tape shows it, by the commands' rule: the nearest 1/32 in, or millimetre.

    >>> tape(595.3, "in"), tape(595.3, "mm"), tape(25.3, "in"), tape(-3.2, "in"), tape(0.8, "in")
    ('23 7/16', '595', '1', '-1/8', '1/32')
    """
    return format_length(length, unit, decimals=0).removesuffix(f" {unit}")


def counted(number_of: int, word: str) -> str:
    """How many, with its word.

    >>> counted(1, "bend"), counted(2, "bend"), counted(0, "bar")
    ('1 bend', '2 bends', '0 bars')
    """
    return f"{number_of} {word}{'' if number_of == 1 else 's'}"


def both(length: float, unit: str) -> str:
    """A length [mm] in the job's unit and in the other one.

    >>> both(25.4, "in"), both(25.4, "mm")
    ('1.000 in (25.4 mm)', '25.4 mm (1.000 in)')
    """
    other = "mm" if unit == "in" else "in"
    return f"{shop(length, unit)} ({shop(length, other)})"


def signed(length: float, unit: str) -> str:
    """A change of a length [mm], or of an angle in degrees ("deg"), with its sign and its unit.

    >>> signed(3.0, "mm"), signed(-25.4, "in"), signed(1.146, "deg")
    ('+3.00 mm', '-1.000 in', '+1.15 deg')
    """
    return f"{'-' if length < 0.0 else '+'}{small(abs(length), unit)} {unit}"


def small(length: float, unit: str) -> str:
    """A small length [mm] as a bare number: 3 places of an inch, 2 of a millimetre or degree.

    >>> small(0.358, "in"), small(0.358, "mm")
    ('0.014', '0.36')
    """
    return number(length / MM_PER_INCH, 3) if unit == "in" else number(length, 2)


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
