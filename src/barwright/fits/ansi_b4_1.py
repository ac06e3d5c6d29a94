"""What do RC4 or FN2 allow? Preferred inch fits by ANSI B4.1, up to 3.15 in.

A fit there is a hole of one grade from zero up, and a shaft of one grade that starts a listed
clearance below, or interference above. Grades and starts are kept in thousandths of an inch; the
rows of RC4 for 0.40-1.19 in and of FN2 for 0.40-0.95 in were read in Machinery's Handbook (31st
edition p. 718; 27th edition p. 663), the rest is from memory. Classes that were not sure are
refused: RC8, RC9, LC6 to LC11, LT, LN1, FN1, FN3 to FN5.
"""

from __future__ import annotations

from bisect import bisect_left

from barwright.fits.iso286 import Fit, Limits

LARGEST = 3.15
"""Largest size covered [in]; over nothing, up to and with."""

_THOU = 0.0254
_STEPS = (0.12, 0.24, 0.40, 0.71, 1.19, 1.97, 3.15)
_GRADES: dict[int, tuple[float, ...]] = {
    4: (0.12, 0.15, 0.15, 0.2, 0.25, 0.3, 0.3),
    5: (0.15, 0.2, 0.25, 0.3, 0.4, 0.4, 0.5),
    6: (0.25, 0.3, 0.4, 0.4, 0.5, 0.6, 0.7),
    7: (0.4, 0.5, 0.6, 0.7, 0.8, 1.0, 1.2),
    8: (0.6, 0.7, 0.9, 1.0, 1.2, 1.6, 1.8),
    9: (1.0, 1.2, 1.4, 1.6, 2.0, 2.5, 3.0),
    10: (1.6, 1.8, 2.2, 2.8, 3.5, 4.0, 4.5),
}
"""Tolerance by grade and step [thou]."""

_NONE = (0.0,) * 7
_TIGHT = (0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.4)
_FREE = (0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2)
_LOOSE = (0.6, 0.8, 1.0, 1.2, 1.6, 2.0, 2.5)
_SLACK = (1.0, 1.2, 1.6, 2.0, 2.5, 3.0, 4.0)

_CLEARANCE: dict[str, tuple[int, int, tuple[float, ...]]] = {
    "RC1": (5, 4, _TIGHT),
    "RC2": (6, 5, _TIGHT),
    "RC3": (7, 6, _FREE),
    "RC4": (8, 7, _FREE),
    "RC5": (8, 7, _LOOSE),
    "RC6": (9, 8, _LOOSE),
    "RC7": (9, 8, _SLACK),
    "LC1": (6, 5, _NONE),
    "LC2": (7, 6, _NONE),
    "LC3": (8, 7, _NONE),
    "LC4": (10, 9, _NONE),
    "LC5": (7, 6, _TIGHT),
}
"""Hole grade, shaft grade, and how far the shaft's upper limit stands below zero [thou]."""

_FORCE_STEPS = (0.12, 0.24, 0.40, 0.56, 0.71, 0.95, 1.19, 1.58, 1.97, 2.56, 3.15)
_INTERFERENCE: dict[str, tuple[tuple[float, ...], tuple[float, ...]]] = {
    "LN2": (_STEPS, (0.4, 0.5, 0.6, 0.7, 0.8, 1.0, 1.4)),
    "LN3": (_STEPS, (0.5, 0.6, 0.8, 1.0, 1.2, 1.4, 1.6)),
    "FN2": (_FORCE_STEPS, (0.6, 0.7, 1.0, 1.2, 1.2, 1.4, 1.4, 1.8, 1.8, 2.0, 2.2)),
}
"""Steps, and the shaft's lower limit above zero [thou]; hole grade 7, shaft grade 6."""


def limits(size: float, fit_class: str) -> tuple[Limits, Limits]:
    """Hole and shaft limits [mm].

    Args:
        size: nominal diameter [mm].
        fit_class: such as "RC4" or "FN2".

    Raises:
        ValueError: a size or a class the tables do not hold.

    >>> hole, shaft = limits(12.7, "RC4")
    >>> [round(d / 0.0254, 6) for d in (hole.upper, shaft.upper, shaft.lower)]
    [1.0, -0.6, -1.3]
    """
    inches = size / 25.4
    if not 0.0 < inches <= LARGEST:
        raise ValueError(f"size {inches:g} in: the tables run to {LARGEST} in")
    name = fit_class.strip().upper()
    step = bisect_left(_STEPS, inches - 1e-9)
    if name in _CLEARANCE:
        hole, shaft, below = _CLEARANCE[name]
        top = -below[step]
        return _pair(_GRADES[hole][step], top - _GRADES[shaft][step], top)
    if name in _INTERFERENCE:
        steps, lower = _INTERFERENCE[name]
        start = lower[bisect_left(steps, inches - 1e-9)]
        return _pair(_GRADES[7][step], start, start + _GRADES[6][step])
    held = ", ".join((*_CLEARANCE, *_INTERFERENCE))
    raise ValueError(f"{fit_class!r} is not held; the tables hold {held}")


def _pair(hole: float, low: float, high: float) -> tuple[Limits, Limits]:
    return (
        Limits(lower=0.0, upper=hole * _THOU),
        Limits(lower=low * _THOU, upper=high * _THOU),
    )


def fit(size: float, fit_class: str) -> Fit:
    """What is between hole and shaft [mm]; below zero is interference.

    Raises:
        ValueError: outside the tables.

    >>> f = fit(12.7, "FN2")
    >>> round(-f.most / 0.0254, 6), round(-f.least / 0.0254, 6), f.kind
    (0.5, 1.6, 'interference')
    """
    hole, shaft = limits(size, fit_class)
    return Fit(least=hole.lower - shaft.upper, most=hole.upper - shaft.lower)
