"""Sentences of the floors, which speak millimetres, told in the job's own unit."""

from __future__ import annotations

import re

from barwright.job.lengths import MM_PER_INCH, format_number

_NUMBER = r"-?\d+(?:\.\d+)?"
_LENGTHS = re.compile(
    rf"(?<![\w.])"
    rf"(\({_NUMBER}(?:, {_NUMBER})+\)"
    rf"|{_NUMBER}(?:(?: to | and | or | by | x | × | ± |–){_NUMBER})*)"
    rf" ([mc])m([²³]?)(?![\w/·])"
)
_ONE = re.compile(_NUMBER)


def in_own_unit(text: str, unit: str) -> str:
    """A sentence with its millimetres told in the job's unit.

    Stresses (N/mm²), angles and lengths within names stay as they are. Every length keeps its
    meaning to the figures it was told with.

    Args:
        text: as a finding or a step says it.
        unit: of the job, "in" or "mm".

    >>> in_own_unit("lug stands 2.3 mm in post (193 mm³ in common at (-17, 3, 673) mm).", "in")
    'lug stands 0.091 in in post (0.012 in³ in common at (-0.7, 0.1, 26.5) in).'
    >>> in_own_unit("ream the bore to 19.050 to 19.080 mm, S355 at 350 N/mm²", "in")
    'ream the bore to 0.7500 to 0.7512 in, S355 at 350 N/mm²'
    >>> in_own_unit("shift it by 2.3 mm", "mm")
    'shift it by 2.3 mm'
    """
    return text if unit != "in" else _LENGTHS.sub(_in_inches, text)


def _in_inches(found: re.Match[str]) -> str:
    said, prefix, power = found.groups()
    degree = {"": 1, "²": 2, "³": 3}[power]
    factor = ((10.0 if prefix == "c" else 1.0) / MM_PER_INCH) ** degree
    triple = said.startswith("(")

    def one(number: re.Match[str]) -> str:
        return _told(number[0], factor, coarse=triple)

    return f"{_ONE.sub(one, said)} in{power}"


def _told(number: str, factor: float, *, coarse: bool) -> str:
    """A number in inches, with a place more than it had; what is small with three at least."""
    value = float(number) * factor
    places = len(number.partition(".")[2]) + 1
    return format_number(value, places if coarse or abs(value) >= 1.0 else max(places, 3))
