"""Where straight lines cross a torus: a quartic for all lines at once, then Newton's method.

With the line x(s) = m + s d measured from the torus's centre, m square to d, n its axis, A
and R its radii, the equation (|x|² + A² - R²)² = 4 A² (|x|² - (x.n)²) is a quartic

    f(s) = s⁴ + p s² + q s + r                                                             (1)

without a cubic term. The real roots of f' = 4 s³ + 2 p s + q part the line into at most four
runs on which f only rises or only falls, so that each run with a change of sign holds exactly
one crossing, which Newton's method with bisection to fall back on cannot miss. Two last Newton
steps on the unexpanded distance to the torus bring it to rounding. Marching along the line
instead never ends on lines that just miss.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.vectors import Floats, Point

_STEPS = 60
_CLOSE = 1e-12
"""Steps below this (in units of A) end the search; two steps on F follow."""


@dataclass(frozen=True, kw_only=True)
class Torus:
    """A whole torus.

    Attributes:
        centre: [mm].
        axis: unit vector.
        ring: radius of its centre circle, A [mm].
        radius: of its section, R [mm].
    """

    centre: Point
    axis: Point
    ring: float
    radius: float


def crossings(torus: Torus, points: ArrayLike, direction: ArrayLike) -> Floats:
    """Where lines of one direction cross a torus.

    Args:
        torus: the torus.
        points: a point of each line, shape (n, 3) [mm].
        direction: unit direction of all lines, (3,).

    Returns:
        Positions [mm] along each line from its point, rising, shape (n, 4); nan for those
        crossings that are missing.

    >>> ring = Torus(centre=(0, 0, 0), axis=(0, 0, 1), ring=100, radius=10)
    >>> crossings(ring, [(0, 0, 0)], (1, 0, 0)).round(9).tolist()
    [[-110.0, -90.0, 90.0, 110.0]]
    """
    d = np.asarray(direction, dtype=float)
    gap = np.asarray(points, dtype=float) - torus.centre
    back = gap @ d
    m = gap - back[:, None] * d
    s = _quartic(*_coefficients(torus, m, d), 1.01 + torus.radius / torus.ring) * torus.ring
    for _ in range(2):
        s = s - _step(torus, m, d, s)
    return np.asarray(np.sort(s, axis=1) - back[:, None])


def gradient(torus: Torus, x: Floats) -> tuple[Floats, Floats, Floats]:
    """The torus's equation F = (q - A)² + z² - R² at points x from its centre.

    Returns:
        F (...), its gradient (..., 3) and its second derivatives (..., 3, 3).
    """
    n = np.array(torus.axis)
    z = x @ n
    flat = x - z[..., None] * n
    q = np.sqrt(np.sum(flat * flat, axis=-1))
    u = flat / q[..., None]
    value = (q - torus.ring) ** 2 + z * z - torus.radius**2
    slope = 2.0 * (q - torus.ring)[..., None] * u + 2.0 * z[..., None] * n
    out = u[..., :, None] * u[..., None, :]
    up = np.outer(n, n)
    around = np.eye(3) - up - out
    bend = 2.0 * ((q - torus.ring) / q)[..., None, None] * around + 2.0 * out + 2.0 * up
    return value, slope, bend


def _coefficients(torus: Torus, m: Floats, d: Floats) -> tuple[Floats, Floats, Floats]:
    """Of (1), in units of A."""
    m, n = m / torus.ring, np.array(torus.axis)
    section = torus.radius / torus.ring
    mm, mn, dn = np.sum(m * m, axis=1), m @ n, float(d @ n)
    k = mm + 1.0 - section * section
    return 2.0 * k - 4.0 * (1.0 - dn * dn), 8.0 * mn * dn, k * k - 4.0 * (mm - mn * mn)


def _quartic(p: Floats, q: Floats, r: Floats, bound: float) -> Floats:
    """The real roots within -bound..bound of s⁴ + p s² + q s + r, shape (n, 4), nan for none."""
    turns = np.clip(_cubic(p / 2.0, q / 4.0), -bound, bound)
    edge = np.full((len(p), 1), bound)
    stops = np.hstack([-edge, turns, edge])
    p, q, r = p[:, None], q[:, None], r[:, None]
    at = ((stops * stops + p) * stops + q) * stops + r
    low, high, rises = stops[:, :-1], stops[:, 1:], at[:, 1:] > at[:, :-1]
    crosses = (at[:, :-1] > 0.0) != (at[:, 1:] > 0.0)
    rows, runs = np.nonzero(crosses)
    picked = (p[rows, 0], q[rows, 0], r[rows, 0])
    found = _bracketed(picked, low[rows, runs], high[rows, runs], rises[rows, runs])
    roots = np.full(crosses.shape, np.nan)
    roots[rows, runs] = found
    return roots


def _bracketed(
    of: tuple[Floats, Floats, Floats], low: Floats, high: Floats, rises: Floats
) -> Floats:
    """The one root between low and high of each quartic, by Newton kept within its bracket."""
    low, high = low.copy(), high.copy()
    s, left = 0.5 * (low + high), np.arange(len(low))
    for _ in range(_STEPS):
        p, q, r = (each[left] for each in of)
        here = s[left]
        value = ((here * here + p) * here + q) * here + r
        before = (value < 0.0) == rises[left]
        low[left], high[left] = (
            np.where(before, here, low[left]),
            np.where(before, high[left], here),
        )
        slope = (4.0 * here * here + 2.0 * p) * here + q
        step = here - value / np.where(slope == 0.0, 1.0, slope)
        kept = (step > low[left]) & (step < high[left])
        s[left] = np.where(kept, step, 0.5 * (low[left] + high[left]))
        left = left[np.abs(s[left] - here) > _CLOSE]
        if not len(left):
            break
    return s


def _cubic(p: Floats, q: Floats) -> Floats:
    """The real roots of s³ + p s + q, rising, shape (n, 3); a single one is given three times.

    Viète's cosine form for three, Cardano's for one.
    """
    inside = (q / 2.0) ** 2 + (p / 3.0) ** 3
    root = np.sqrt(np.maximum(inside, 0.0))
    big = -np.copysign(np.abs(q) / 2.0 + root, q)
    u = np.cbrt(big)
    one = u - np.where(u == 0.0, 0.0, p / (3.0 * np.where(u == 0.0, 1.0, u)))
    size = np.sqrt(np.maximum(-p / 3.0, 0.0))
    cube = np.where(size < 1e-90, 1.0, size**3)
    turn = np.arccos(np.clip(-q / 2.0 / cube, -1.0, 1.0)) / 3.0
    three = 2.0 * size[:, None] * np.cos(turn[:, None] - np.array([2.0, 4.0, 0.0]) * np.pi / 3.0)
    return np.sort(np.where((inside < 0.0)[:, None], three, one[:, None]), axis=1)


def _step(torus: Torus, m: Floats, d: Floats, s: Floats) -> Floats:
    """One Newton step on F along the lines; none where F hardly changes (a tangent line)."""
    n = np.array(torus.axis)
    dn, mn, mm = float(d @ n), (m @ n)[:, None], np.sum(m * m, axis=1)[:, None]
    z = mn + s * dn
    q = np.sqrt(np.maximum(mm + s * s - z * z, 1e-300))
    value = (q - torus.ring) ** 2 + z * z - torus.radius**2
    slope = 2.0 * (q - torus.ring) / q * (s - z * dn) + 2.0 * z * dn
    with np.errstate(invalid="ignore"):
        steep = np.abs(slope) > 1e-4 * torus.radius
    return np.where(steep, value / np.where(steep, slope, 1.0), 0.0)
