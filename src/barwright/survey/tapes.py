"""How good a tape can be: the error its accuracy class allows, and the sd that makes of it."""

from __future__ import annotations

import math
from collections.abc import Mapping

CLASSES: Mapping[str, tuple[float, float]] = {
    "I": (0.1, 0.1),
    "II": (0.3, 0.2),
    "III": (0.6, 0.4),
}
"""a [mm] and b [mm per metre begun] of ±(a + b L)."""


def allowed_error(length: float, accuracy: str = "II") -> float:
    """The largest error [mm] a tape of a class may have over a length [mm].

    ±(a + b L), L in metres rounded up (OIML R 35; the values of tape makers' tables).

    Raises:
        KeyError: no such class.

    >>> [allowed_error(5000, c) for c in ("I", "II", "III")]
    [0.6, 1.3, 2.6]
    """
    a, b = CLASSES[accuracy]
    return round(a + b * math.ceil(length / 1000.0 - 1e-9), 9)


def least_sd(length: float, accuracy: str = "II") -> float:
    """One standard deviation [mm] when any error the class allows is as likely as another.

    A rectangular distribution of half-width a has sd a/√3 (JCGM 100:2008, 4.3.7). Reading,
    sag and the hook come on top.

    >>> round(least_sd(3000), 2)
    0.52
    """
    return allowed_error(length, accuracy) / math.sqrt(3.0)
