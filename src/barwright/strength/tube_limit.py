"""When is a tube's whole section yielding? Pull, bending and twist taken together.

For a thin round tube, fully plastic, bending and pull go together as m = cos(pi n / 2); twist
takes its share of the yield stress from both by von Mises, 1 - t² (Neal, The Plastic Methods of
Structural Analysis; from memory). n, m, t are pull, bending and twist over what each could be
alone. For walls up to a sixth of the diameter the thin-tube curve lies within 1.2 % of the exact
one, on the safe side.
"""

from __future__ import annotations

import math

import numpy as np

from barwright.geometry.vectors import Floats

_ROUNDS = 60


def gauge(n: Floats, m: Floats, t: Floats) -> Floats:
    """By what the forces must be divided to stand exactly on the limit: 1 is full yield.

    Args:
        n: pull over its full plastic value; any sign and shape.
        m: bending likewise, same shape.
        t: twist likewise, same shape.

    >>> one = np.array([0.6]); none = np.zeros(1)
    >>> [round(float(gauge(*a)[0]), 9) for a in ((one, none, none), (none, one, none))]
    [0.6, 0.6]
    >>> half = np.array([0.5]); float(gauge(half, np.cos(half * np.pi / 2), none)[0]) == 1.0
    True
    """
    return np.asarray(np.hypot(_without_twist(np.abs(n), np.abs(m)), t))


def slopes(n: Floats, m: Floats, t: Floats) -> tuple[Floats, Floats, Floats]:
    """How the gauge grows with n, m and t (signs of n, m, t kept); zeros where all are zero."""
    s = _without_twist(np.abs(n), np.abs(m))
    g = np.hypot(s, t)
    safe_g, safe_s = np.where(g > 0.0, g, 1.0), np.where(s > 0.0, s, 1.0)
    a = 0.5 * math.pi * np.abs(n) / safe_s
    below = np.cos(a) + a * np.sin(a)
    by_n = 0.5 * math.pi * np.sin(a) / below * np.sign(n)
    by_m = np.sign(m) / below
    return s / safe_g * by_n, s / safe_g * by_m, t / safe_g


def _without_twist(n: Floats, m: Floats) -> Floats:
    """The s that makes m / s = cos(pi n / 2 s): between max(m, n) and m + n, by bisection."""
    low, high = np.maximum(m, n), m + n
    for _ in range(_ROUNDS):
        s = 0.5 * (low + high)
        safe = np.where(s > 0.0, s, 1.0)
        over = m > s * np.cos(0.5 * math.pi * np.minimum(n / safe, 1.0))
        low, high = np.where(over, s, low), np.where(over, high, s)
    return np.asarray(high)
