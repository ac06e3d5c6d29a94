"""Where a tube leaves a cylinder: the cope, over the whole wall, in closed form.

A tube's wall is a bundle of straight lines along its axis. At each angle round the tube, the
cut must lie where the last of the wall's lines, from the bore to the outside, leaves the
receiving tube. Along one angle the leaving position is

    s(rho) = (sqrt(R² - (rho b + c)²) - rho a - k) / sin(theta)                            (1)

with rho the line's distance from the tube's axis, R the receiver's radius, theta the angle
between the axes, and a, b, c, k fixed by the angle round the tube. s is concave in rho, so its
greatest value over the wall is at the bore, at the outside, or at the one radius between them
where ds/drho = 0:

    rho b + c = -sign(b) a R / sqrt(a² + b²)                                               (2)

(1) is the classical cope development, derived here from the cylinder's equation; valid for any
offset and any angle but parallel axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.points import crossed
from barwright.geometry.vectors import Floats, Point, cross, unit

PARALLEL = 1e-9
"""Below this sine the axes are parallel and no line leaves the cylinder."""

STATIONS = 2.0 * math.pi * np.arange(360) / 360.0
"""Angles [rad] round the tube at whole degrees, shape (360,)."""
STATIONS.flags.writeable = False


@dataclass(frozen=True, kw_only=True)
class Tip:
    """The end of a tube that is to be coped.

    Attributes:
        origin: point on the tube's axis from which positions count [mm].
        along: unit direction from there into the tube.
        zero: unit vector square to `along`; angle zero round the tube.
        inner, outer: radii of the wall [mm], 0 <= inner <= outer.
    """

    origin: Point
    along: Point
    zero: Point
    inner: float
    outer: float

    @property
    def side(self) -> Point:
        """Unit vector square to both: a quarter turn on from zero."""
        return crossed(self.along, self.zero)

    def spokes(self, angles: ArrayLike) -> Floats:
        """Unit vectors out from the axis at angles [rad] round it, shape (..., 3)."""
        phi = np.asarray(angles, dtype=float)[..., None]
        return np.asarray(np.cos(phi) * np.array(self.zero) + np.sin(phi) * np.array(self.side))


def cylinder_cope(
    tip: Tip, through: ArrayLike, axis: ArrayLike, radius: float, angles: ArrayLike = STATIONS
) -> Floats:
    """Where the whole wall is clear of an endless cylinder.

    Args:
        tip: the tube's end.
        through: a point on the cylinder's axis, (3,) [mm].
        axis: direction of the cylinder's axis, (3,).
        radius: of the cylinder [mm].
        angles: round the tube [rad], shape (n,).

    Returns:
        Positions [mm] along the tube from its origin, shape (n,); -inf where no line of the
        wall meets the cylinder.

    Raises:
        ValueError: the axes are parallel.

    >>> tip = Tip(origin=(0, 0, 0), along=(0, 0, 1), zero=(1, 0, 0), inner=0, outer=19)
    >>> cylinder_cope(tip, (0, 0, 0), (1, 0, 0), 22.5, np.radians([0, 90])).round(4).tolist()
    [22.5, 22.5]
    >>> wall = Tip(origin=(0, 0, 0), along=(0, 0, 1), zero=(1, 0, 0), inner=19, outer=19)
    >>> cylinder_cope(wall, (0, 0, 0), (1, 0, 0), 22.5, np.radians([0, 90])).round(4).tolist()
    [22.5, 12.052]
    """
    a, b, c, k, sine = _coefficients(tip, through, axis, angles)
    low, high = _reach(b, c, radius, tip)
    met = low <= high
    low, high = np.where(met, low, tip.inner), np.where(met, high, tip.inner)
    best = np.full(met.shape, -np.inf)
    for rho in (low, high, _stationary(a, b, c, radius).clip(low, high)):
        t = rho * b + c
        s = (np.sqrt(np.maximum(radius * radius - t * t, 0.0)) - rho * a - k) / sine
        best = np.maximum(best, np.where(met, s, -np.inf))
    return best


def plane_cope(
    tip: Tip, through: ArrayLike, normal: ArrayLike, angles: ArrayLike = STATIONS
) -> Floats:
    """Where the whole wall is clear of a flat face.

    Args:
        tip: the tube's end.
        through: a point of the face, (3,) [mm].
        normal: out of the plate, toward the tube, (3,).
        angles: round the tube [rad], shape (n,).

    Returns:
        Positions [mm] along the tube, shape (n,).

    Raises:
        ValueError: the tube runs along the face, or into it from behind.

    >>> tip = Tip(origin=(0, 0, 5), along=(0, 0, 1), zero=(1, 0, 0), inner=16, outer=19)
    >>> plane_cope(tip, (0, 0, 0), (0, 0, 1), [0.0]).tolist()
    [-5.0]
    """
    n = unit(normal)
    rise = float(n @ np.array(tip.along))
    if rise <= PARALLEL:
        raise ValueError("the tube does not rise from the face: no cut clears it")
    drop = float(n @ (np.asarray(through, dtype=float) - tip.origin))
    lean = tip.spokes(angles) @ n
    return np.asarray((drop - np.minimum(lean * tip.inner, lean * tip.outer)) / rise)


def telling(a: Floats, b: Floats, c: float, radius: float, tip: Tip) -> Floats:
    """The radii [mm] within the wall that can decide a cope, shape (3, n).

    Where the wall's lines begin and cease to meet the cylinder, and that of formula (2).

    Args:
        a: of formula (1), shape (n,).
        b: the same, shape (n,).
        c: the same.
        radius: of the receiver [mm].
        tip: the tube's end.
    """
    low, high = _reach(b, c, radius, tip)
    steady = np.minimum(np.maximum(_stationary(a, b, c, radius), low), high)
    return np.array((low, high, steady)).clip(tip.inner, tip.outer)


def _coefficients(
    tip: Tip, through: ArrayLike, axis: ArrayLike, angles: ArrayLike
) -> tuple[Floats, Floats, float, float, float]:
    """Of formula (1): a and b (n,), c, k and sin(theta)."""
    along, w = unit(axis), np.asarray(tip.along)
    across = cross(along, w)
    sine = float(np.linalg.norm(across))
    if sine <= PARALLEL:
        raise ValueError("the tube and its receiver are parallel: no cut clears it")
    v = across / sine
    u = cross(v, along)
    zero, side = np.array(tip.zero), np.array(tip.side)
    phi = np.asarray(angles, dtype=float)
    c, s = np.cos(phi), np.sin(phi)
    gap = np.subtract(tip.origin, np.asarray(through, dtype=float))
    a = c * float(zero @ u) + s * float(side @ u)
    b = c * float(zero @ v) + s * float(side @ v)
    return a, b, float(gap @ v), float(gap @ u), sine


def _reach(b: Floats, c: float, radius: float, tip: Tip) -> tuple[Floats, Floats]:
    """The radii between bore and outside whose lines meet the cylinder, low > high for none."""
    flat = np.abs(b) < 1e-300
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        one, other = (-radius - c) / b, (radius - c) / b
    low, high = np.minimum(one, other), np.maximum(one, other)
    if flat.any():
        beside = math.copysign(math.inf, abs(c) - radius) if abs(c) != radius else -math.inf
        low[flat], high[flat] = beside, -beside
    return np.maximum(low, tip.inner), np.minimum(high, tip.outer)


def _stationary(a: Floats, b: Floats, c: float, radius: float) -> Floats:
    """The radius of formula (2); anything where b is nothing, since it is clipped after."""
    lean = np.hypot(a, b)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        rho = (-np.sign(b) * a * radius / lean - c) / b
    return np.where(np.isfinite(rho), rho, 0.0)
