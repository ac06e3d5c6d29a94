"""Points, directions and rotations in space."""

from __future__ import annotations

import math
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Point: TypeAlias = tuple[float, float, float]
"""A point or a direction: three floats, in millimetres or of unit length. Hashable."""

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]

ORIGIN: Point = (0.0, 0.0, 0.0)
FORWARD: Point = (1.0, 0.0, 0.0)
LEFT: Point = (0.0, 1.0, 0.0)
UP: Point = (0.0, 0.0, 1.0)


def point(values: ArrayLike) -> Point:
    """Three numbers as a hashable point.

    >>> point([1, 2, 3])
    (1.0, 2.0, 3.0)
    """
    x, y, z = np.asarray(values, dtype=float).tolist()
    return (x, y, z)


def unit(vector: ArrayLike) -> Floats:
    """The vector(s) scaled to length one along the last axis.

    Args:
        vector: shape (..., 3), any length but zero.

    Raises:
        ValueError: a vector has no length, so it has no direction.

    >>> unit([3, 0, 4]).tolist()
    [0.6, 0.0, 0.8]
    """
    v = np.asarray(vector, dtype=float)
    if v.ndim == 1 and (size := math.sqrt(float(v @ v))) > 0.0:
        return np.asarray(v / size)
    length = np.sqrt(np.sum(v * v, axis=-1, keepdims=True))
    if not np.all(length > 0.0):
        raise ValueError("a vector of no length has no direction")
    return np.asarray(v / length)


def cross(a: ArrayLike, b: ArrayLike) -> Floats:
    """The cross product of two single vectors (3,), much quicker than numpy's for any shape.

    >>> cross((1, 0, 0), (0, 1, 0)).tolist()
    [0.0, 0.0, 1.0]
    """
    ax, ay, az = map(float, a)  # type: ignore[arg-type]
    bx, by, bz = map(float, b)  # type: ignore[arg-type]
    return np.array((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx))


def cross_of(a: Floats, b: Floats) -> Floats:
    """Cross products of rows of vectors, (..., 3) each; much quicker than numpy's.

    >>> cross_of(np.eye(3), np.roll(np.eye(3), 1, axis=1)).tolist()
    [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]
    """
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    x, y, z = (a[..., k] for k in range(3))
    u, v, w = (b[..., k] for k in range(3))
    out[..., 0], out[..., 1], out[..., 2] = y * w - z * v, z * u - x * w, x * v - y * u
    return out


def square_to(direction: ArrayLike) -> Floats:
    """A unit vector square to a direction, always the same one for the same direction.

    Up, or forward where the direction itself is nearly vertical, made square to it.

    Args:
        direction: shape (3,), any length but zero.

    >>> square_to([1, 0, 0]).tolist()
    [0.0, 0.0, 1.0]
    """
    d = unit(direction)
    reference = np.array(UP if abs(d[2]) < 0.9 else FORWARD)
    return unit(reference - (reference @ d) * d)


def rotation(axis: ArrayLike, angle: float) -> Floats:
    """The matrix (3, 3) that turns by an angle [rad] about an axis through the origin.

    Right hand about the axis. Rodrigues' formula.

    >>> np.round(rotation([0, 0, 1], math.pi / 2) @ [1, 0, 0], 12).tolist()
    [0.0, 1.0, 0.0]
    """
    x, y, z = unit(axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(
        np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * (cross @ cross)
    )


def angle_between(a: ArrayLike, b: ArrayLike) -> float:
    """The angle [rad] in 0..pi between two directions, accurate near 0 and pi too.

    Kahan's form, from memory: 2 atan2(|u - v|, |u + v|).

    >>> round(angle_between([1, 0, 0], [0, 5, 0]), 12) == round(math.pi / 2, 12)
    True
    """
    ux, uy, uz = map(float, a)  # type: ignore[arg-type]
    vx, vy, vz = map(float, b)  # type: ignore[arg-type]
    u, v = math.hypot(ux, uy, uz), math.hypot(vx, vy, vz)
    if not (u > 0.0 and v > 0.0):
        raise ValueError("a vector of no length has no direction")
    vx, vy, vz = vx / v * u, vy / v * u, vz / v * u
    apart = math.hypot(ux - vx, uy - vy, uz - vz)
    return 2.0 * math.atan2(apart, math.hypot(ux + vx, uy + vy, uz + vz))


def turn_about(axis: ArrayLike, a: ArrayLike, b: ArrayLike) -> float:
    """The signed angle [rad] in -pi..pi that turns a onto b as seen along an axis.

    Right hand about the axis; what a and b have along the axis is left out.

    >>> round(math.degrees(turn_about([0, 0, 1], [1, 0, 0], [0, -2, 7])), 9)
    -90.0
    """
    n = unit(axis)
    a_, b_ = np.asarray(a, dtype=float), np.asarray(b, dtype=float)
    a_, b_ = a_ - (a_ @ n) * n, b_ - (b_ @ n) * n
    return math.atan2(float(n @ np.cross(a_, b_)), float(a_ @ b_))
