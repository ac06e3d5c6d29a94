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
    return np.asarray(np.hypot(_without_twist(np.abs(n), np.abs(m)), t))


def slopes(n: Floats, m: Floats, t: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """The gauge, and how it grows with n, m and t (their signs kept); zeros where all are zero.

    >>> one, none = np.ones(1), np.zeros(1)
    >>> [float(x[0]) for x in slopes(none, one, none)]
    [1.0, 0.0, 1.0, 0.0]
    """
    pull = np.abs(n)
    s = _without_twist(pull, np.abs(m))
    g = np.hypot(s, t)
    safe_g, safe_s = np.where(g > 0.0, g, 1.0), np.where(s > 0.0, s, 1.0)
    a = (0.5 * math.pi) * pull / safe_s
    sin = np.sin(a)
    share = s / (safe_g * (np.cos(a) + a * sin))
    return g, (0.5 * math.pi) * share * sin * np.sign(n), share * np.sign(m), t / safe_g


def _without_twist(n: Floats, m: Floats) -> Floats:
    """The s that makes m / s = cos(pi n / 2 s), by Newton from a table.

    s is as many times n + m as n's share of that sum says: a table of one argument. It is right
    to 3e-8; m - s cos(pi n / 2 s) falls and is convex in s, so one step of Newton leaves nothing.
    """
    both = n + m
    x = n / np.maximum(both, _NOTHING)
    s = np.interp(x, *_table())
    a = (0.5 * math.pi) * np.minimum(x / s, 1.0)
    c = np.cos(a)
    s += (1.0 - x - s * c) / (c + a * np.sin(a))
    return np.asarray(s * both)


@cache
def _table() -> tuple[Floats, Floats]:
    """Shares of n in n + m, and s over n + m there, by Newton from below."""
    n = np.linspace(0.0, 1.0, _ROWS)
    s = np.maximum(1.0 - n, n)
    for _ in range(12):
        a = 0.5 * math.pi * np.minimum(n / s, 1.0)
        c = np.cos(a)
        s = s + np.maximum((1.0 - n - s * c) / (c + a * np.sin(a)), 0.0)
    return n, s
