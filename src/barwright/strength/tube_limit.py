"""When is a tube's whole section yielding? Pull, bending and twist taken together.

For a thin round tube, fully plastic, bending and pull go together as m = cos(pi n / 2); twist
takes its share of the yield stress from both by von Mises, 1 - t² (Neal, The Plastic Methods of
Structural Analysis; from memory). n, m, t are pull, bending and twist over what each could be
alone. For walls up to a sixth of the diameter the thin-tube curve lies within 1.2 % of the exact
one, on the safe side.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from barwright.geometry.vectors import Floats

_ROWS = 4097
_NOTHING = 1e-290


def gauge(n: Floats, m: Floats, t: Floats) -> Floats:
    """By what the forces must be divided to stand exactly on the limit: 1 is full yield.

    Args:
        n: pull over its full plastic value; any sign and shape.
        m: bending likewise, same shape.
        t: twist likewise, same shape.

    >>> one = np.array([0.6]); none = np.zeros(1)
    >>> [round(float(gauge(*a)[0]), 9) for a in ((one, none, none), (none, one, none))]
    [0.6, 0.6]
    >>> half = np.array([0.5])
    >>> round(float(gauge(half, np.cos(half * np.pi / 2), none)[0]), 14)
    1.0
    """
    return np.asarray(np.hypot(_without_twist(np.abs(n), np.abs(m))[0], t))


def slopes(n: Floats, m: Floats, t: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """The gauge, and how it grows with n, m and t (their signs kept); zeros where all are zero.

    >>> one, none = np.ones(1), np.zeros(1)
    >>> [float(x[0]) for x in slopes(none, one, none)]
    [1.0, 0.0, 1.0, 0.0]
    """
    s, by_n, by_m = _without_twist(np.abs(n), np.abs(m))
    g = np.hypot(s, t)
    safe = np.maximum(g, _NOTHING)
    share = s / safe
    return g, share * np.copysign(by_n, n), share * np.copysign(by_m, m), t / safe


def _without_twist(n: Floats, m: Floats) -> tuple[Floats, Floats, Floats]:
    """The s that makes m / s = cos(pi n / 2 s), and how it grows with n and m, all >= 0.

    Of all lines that touch the limit, s is by what the forces pass the one they pass most: the
    one at a = pi n / 2 s. That hangs on n's share of n + m alone and comes from a table, right to
    3e-8; as s is greatest there, s itself has no error but rounding.
    """
    a = np.interp(n / np.maximum(n + m, _NOTHING), *_table())
    sin = np.sin(a)
    by_m = 1.0 / (np.cos(a) + a * sin)
    by_n = (0.5 * math.pi) * sin * by_m
    return by_n * n + by_m * m, by_n, by_m


@cache
def _table() -> tuple[Floats, Floats]:
    """Shares of n in n + m, and a there: (1 - share) 2 a / pi = share cos a, by Newton."""
    share = np.linspace(0.0, 1.0, _ROWS)
    a = 0.5 * math.pi * share
    for _ in range(12):
        off = (2.0 / math.pi) * (1.0 - share) * a - share * np.cos(a)
        a = a - off / ((2.0 / math.pi) * (1.0 - share) + share * np.sin(a))
    return share, a
