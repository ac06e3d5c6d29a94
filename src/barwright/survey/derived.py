"""How well lengths and angles between marks are known: propagation of the covariance.

var f = g Q gᵀ with g the gradient of f at the marks (JCGM 100:2008, 5.2, first order): valid
while the doubts are small against the lengths themselves.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats, Point, point
from barwright.survey import equations
from barwright.survey.equations import Form
from barwright.survey.marks import Marks


@dataclass(frozen=True, kw_only=True)
class Derived:
    """A length [mm] or an angle [rad] between marks, and one standard deviation of it."""

    value: float
    sd: float


@dataclass(frozen=True, kw_only=True)
class Ellipsoid:
    """Where a mark lies with a given chance.

    Attributes:
        chance: that the mark lies inside.
        axes: the three half-lengths [mm], longest first.
        directions: the unit direction of each.
    """

    chance: float
    axes: tuple[float, float, float]
    directions: tuple[Point, Point, Point]


def _numbers(marks: Marks, names: Sequence[str]) -> list[int]:
    return [marks.names.index(name) for name in names]


def covariance_among(marks: Marks, names: Sequence[str]) -> Floats:
    """The covariance [mm²] of some marks, (3m, 3m) in their order."""
    columns = np.concatenate([np.arange(3) + 3 * i for i in _numbers(marks, names)])
    return np.asarray(marks.covariance[np.ix_(columns, columns)])


def _of(marks: Marks, form: Form, names: Sequence[str]) -> Derived:
    value, gradient = form(marks.xyz[_numbers(marks, names)][None])
    g = gradient[0].ravel()
    variance = float(g @ covariance_among(marks, names) @ g)
    return Derived(value=float(value[0]), sd=math.sqrt(max(variance, 0.0)))


def length(marks: Marks, a: str, b: str) -> Derived:
    """The distance between two marks [mm].

    Raises:
        ValueError: no such mark.
    """
    return _of(marks, equations.distance, (a, b))


def corner(marks: Marks, a: str, b: str, c: str) -> Derived:
    """The angle [rad] at b between a and c.

    Raises:
        ValueError: no such mark.
    """
    return _of(marks, equations.corner, (a, b, c))


def incline(marks: Marks, a: str, b: str) -> Derived:
    """The angle [rad] of the line from a to b above level.

    Raises:
        ValueError: no such mark.
    """
    return _of(marks, equations.incline, (a, b))


def between_bars(marks: Marks, one: tuple[str, str], other: tuple[str, str]) -> Derived:
    """The angle [rad] between two bars, each from mark to mark: the angle of a cope.

    Raises:
        ValueError: no such mark.
    """
    names = (*one, *other)

    def angle(p: Floats) -> float:
        return float(
            equations.corner(np.stack((p[1] - p[0], np.zeros(3), p[3] - p[2]))[None])[0][0]
        )

    return propagated(marks, names, angle)


def propagated(marks: Marks, names: Sequence[str], of: Callable[[Floats], float]) -> Derived:
    """Anything worked out from marks, with its sd by central differences.

    Args:
        marks: the survey.
        names: which marks it is worked out from, each once or more.
        of: the marks' positions (m, 3) [mm] to the value.

    Raises:
        ValueError: no such mark.
    """
    at = np.array(marks.xyz[_numbers(marks, names)])
    gradient = np.empty(at.size)
    step = 1e-3
    for k in range(at.size):
        ahead, behind = at.copy(), at.copy()
        ahead.flat[k] += step
        behind.flat[k] -= step
        gradient[k] = (of(ahead) - of(behind)) / (2.0 * step)
    variance = float(gradient @ covariance_among(marks, names) @ gradient)
    return Derived(value=of(at), sd=math.sqrt(max(variance, 0.0)))


def ellipsoid(marks: Marks, name: str, chance: float = 0.95) -> Ellipsoid:
    """The confidence ellipsoid of a mark.

    Half-lengths are the roots of chi-square (3 degrees) times the eigenvalues of the mark's
    covariance; at 95 % the factor on the sd is 2.796.

    Raises:
        ValueError: no such mark.
    """
    from scipy.special import chdtri  # loaded when first asked

    values, vectors = np.linalg.eigh(covariance_among(marks, (name,)))
    factor = math.sqrt(float(chdtri(3, 1.0 - chance)))
    half = factor * np.sqrt(np.maximum(values[::-1], 0.0))
    first, second, third = (point(v) for v in vectors[:, ::-1].T)
    return Ellipsoid(chance=chance, axes=point(half), directions=(first, second, third))
