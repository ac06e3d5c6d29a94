"""Where a part stands: a rotation, perhaps a mirroring, and a shift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.vectors import LEFT, ORIGIN, Floats, Point, point, rotation, unit

Rows = tuple[Point, Point, Point]


@dataclass(frozen=True, kw_only=True)
class Pose:
    """A rigid placement: world = matrix @ local + shift.

    Attributes:
        matrix: three rows of an orthogonal matrix; determinant -1 for a mirrored part.
        shift: where the local origin stands [mm].
    """

    matrix: Rows = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    shift: Point = ORIGIN

    def points(self, local: ArrayLike) -> Floats:
        """Local points of shape (..., 3) as world points."""
        return self.directions(local) + self.shift

    def directions(self, local: ArrayLike) -> Floats:
        """Local directions of shape (..., 3) as world directions."""
        rows = np.asarray(local, dtype=float)
        if rows.ndim <= 2:
            return np.asarray(rows @ np.array(self.matrix).T)
        # as one list of rows: one product instead of many small ones
        return np.asarray((rows.reshape(-1, 3) @ np.array(self.matrix).T).reshape(rows.shape))

    def after(self, first: Pose) -> Pose:
        """The pose that places by `first`, then by this one."""
        m = np.array(self.matrix)
        return pose_of(m @ np.array(first.matrix), m @ np.array(first.shift) + self.shift)

    def inverse(self) -> Pose:
        """The pose that takes the world back to local."""
        m = np.array(self.matrix).T
        return pose_of(m, -m @ np.array(self.shift))

    @property
    def mirrors(self) -> bool:
        """Whether left and right are swapped."""
        return bool(np.linalg.det(np.array(self.matrix)) < 0.0)


UNMOVED = Pose()
"""The pose that leaves everything where it is."""


def pose_of(matrix: ArrayLike, shift: ArrayLike = ORIGIN) -> Pose:
    """A pose from a (3, 3) orthogonal matrix and a (3,) shift [mm]."""
    (a, b, c), (d, e, f), (g, h, i) = np.asarray(matrix, dtype=float).tolist()
    return Pose(matrix=((a, b, c), (d, e, f), (g, h, i)), shift=point(shift))


def turned(through: ArrayLike, axis: ArrayLike, angle: float) -> Pose:
    """The pose that turns by an angle [rad] about an axis through a point, right hand.

    >>> turned((1, 0, 0), (0, 0, 1), np.pi).points((2, 0, 0)).round(9).tolist()
    [0.0, 0.0, 0.0]
    """
    m = rotation(axis, angle)
    t = np.asarray(through, dtype=float)
    return pose_of(m, t - m @ t)


def mirrored(through: ArrayLike = ORIGIN, normal: ArrayLike = LEFT) -> Pose:
    """The pose that mirrors in a plane: by default the vehicle's centre plane, y -> -y.

    >>> mirrored().points((1, 2, 3)).tolist()
    [1.0, -2.0, 3.0]
    """
    n = unit(normal)
    m = np.eye(3) - 2.0 * np.outer(n, n)
    t = np.asarray(through, dtype=float)
    return pose_of(m, t - m @ t)


def frame(origin: ArrayLike, along: ArrayLike, toward: ArrayLike) -> Pose:
    """The pose whose local x runs `along` and whose x-y plane holds `toward` (y positive).

    Args:
        origin: where the local origin stands, shape (3,) [mm].
        along: direction of local x, shape (3,).
        toward: any direction not parallel to `along`; local y is it made square to x.

    Raises:
        ValueError: the two directions are parallel.
    """
    x = unit(along)
    t = np.asarray(toward, dtype=float)
    y = unit(t - (t @ x) * x)
    return pose_of(np.column_stack([x, y, np.cross(x, y)]), origin)
