"""Where straight lines cross a torus: a quartic for all lines at once, then Newton's method.

With the line x(s) = m + s d measured from the torus's centre, m square to d, and n its axis, A
and R its radii, the equation (|x|² + A² - R²)² = 4 A² (|x|² - (x.n)²) is a quartic without a
cubic term. Its roots come from the eigenvalues of companion matrices, good to some 1e-8 near a
tangent line; Newton steps on the unexpanded distance to the torus bring crossings to rounding.
Marching along the line instead never ends on lines that just miss.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.vectors import Floats, Point

_REAL = 1e-6
"""Roots with an imaginary part below this (in units of A) count as real, then are polished."""
_STEPS = 4


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
    roots = _quartic(*_coefficients(torus, m, d)) * torus.ring
    s = np.where(np.abs(roots.imag) < _REAL * torus.ring, roots.real, np.nan)
    for _ in range(_STEPS):
        s = s - _step(torus, m, d, s)
    s = np.where(_on(torus, m, d, s), s, np.nan)
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
    """Of s⁴ + p s² + q s + r, in units of A."""
    m, n = m / torus.ring, np.array(torus.axis)
    section = torus.radius / torus.ring
    mm, mn, dn = np.sum(m * m, axis=1), m @ n, float(d @ n)
    k = mm + 1.0 - section * section
    return 2.0 * k - 4.0 * (1.0 - dn * dn), 8.0 * mn * dn, k * k - 4.0 * (mm - mn * mn)


def _quartic(p: Floats, q: Floats, r: Floats) -> Floats:
    """All four complex roots of s⁴ + p s² + q s + r, shape (n, 4)."""
    companion = np.zeros((len(p), 4, 4))
    companion[:, 1, 0] = companion[:, 2, 1] = companion[:, 3, 2] = 1.0
    companion[:, 0, 3], companion[:, 1, 3], companion[:, 2, 3] = -r, -q, -p
    return np.asarray(np.linalg.eigvals(companion))


def _step(torus: Torus, m: Floats, d: Floats, s: Floats) -> Floats:
    """One Newton step on F along the lines; none where F hardly changes."""
    value, slope = _along(torus, m, d, s)
    with np.errstate(invalid="ignore"):
        steep = np.abs(slope) > 1e-9 * torus.radius
    return np.where(steep, value / np.where(steep, slope, 1.0), 0.0)


def _on(torus: Torus, m: Floats, d: Floats, s: Floats) -> Floats:
    """Whether each root lies on the torus to a micrometre, judged across a near tangent."""
    value, slope = _along(torus, m, d, s)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(value) <= 1e-6 * (np.abs(slope) + 1e-3 * torus.radius))


def _along(torus: Torus, m: Floats, d: Floats, s: Floats) -> tuple[Floats, Floats]:
    """F and dF/ds at positions s (n, 4) on the lines."""
    x = m[:, None, :] + s[..., None] * d
    z = x @ np.array(torus.axis)
    q = np.sqrt(np.maximum(np.sum(x * x, axis=-1) - z * z, 1e-300))
    zn, xd = float(d @ np.array(torus.axis)), x @ d
    value = (q - torus.ring) ** 2 + z * z - torus.radius**2
    return value, 2.0 * (q - torus.ring) / q * (xd - z * zn) + 2.0 * z * zn
