"""Many convex shapes at once, each known by how far it reaches in a direction.

A shape is the hull of some corners, of which the first two may be the centres of discs, widened
by a ball. That covers blocks, round-ended and square-ended rods, and short lengths of elbows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats

Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

HEAD_ON = 1e-9
"""A direction that leans on a disc's normal by less than this meets all of the disc at once."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Convex:
    """n convex shapes.

    Attributes:
        corners: shape (n, v, 3) [mm].
        ball: radius each hull is widened by [mm], shape (n,).
        disc: radius of the discs round the corners [mm], shape (n,); None for no discs at all.
        axes: unit normals of the discs, shape (n, v, 3); None for no discs.
    """

    corners: Floats
    ball: Floats
    disc: Floats | None = None
    axes: Floats | None = None

    def take(self, rows: Ints | Bools) -> Convex:
        """Some of the shapes, by index or mask."""
        rows = np.flatnonzero(rows) if rows.dtype == bool else rows
        return Convex(
            corners=self.corners.take(rows, axis=0),
            ball=self.ball.take(rows),
            disc=None if self.disc is None else self.disc.take(rows),
            axes=None if self.axes is None else self.axes.take(rows, axis=0),
        )

    def reach(self, d: Floats) -> Floats:
        """How far each hull reaches in its direction d (n, 3), the ball left out: shape (n,)."""
        return np.asarray(self._heights(d)[0].max(axis=1))

    def farthest(self, d: Floats) -> Floats:
        """A point of each hull (without the ball) farthest in its direction, shape (n, 3)."""
        heights, flat, square = self._heights(d)
        rows = np.arange(len(d))
        best = heights.argmax(axis=1)
        point = self.corners[rows, best]
        if self.disc is None or flat is None or square is None:
            return np.asarray(point)
        size = square[rows, best]
        leans = size > HEAD_ON * np.sqrt((d * d).sum(axis=1))
        scale = np.where(leans, self.disc / np.where(leans, size, 1.0), 0.0)
        return np.asarray(point + scale[:, None] * flat[rows, best])

    def _heights(self, d: Floats) -> tuple[Floats, Floats | None, Floats | None]:
        """How far each corner reaches; what d has in the plane of its disc, and how much."""
        heights = np.matmul(self.corners, d[:, :, None])[..., 0]
        if self.disc is None or self.axes is None:
            return heights, None, None
        along = np.matmul(self.axes, d[:, :, None])
        flat = d[:, None] - along * self.axes
        square = np.sqrt((flat * flat).sum(axis=2))
        return heights + self.disc[:, None] * square, flat, square

    def turned(self, cos: Floats, sin: Floats) -> Convex:
        """Each shape turned about the z axis by its own angle, given as cosine and sine (n,)."""
        return Convex(
            corners=_turned(self.corners, cos, sin),
            ball=self.ball,
            disc=self.disc,
            axes=None if self.axes is None else _turned(self.axes, cos, sin),
        )


def together(shapes: Sequence[Convex]) -> Convex:
    """All shapes of several lots in one lot, corners padded and missing discs of no radius."""
    most = max(s.corners.shape[1] for s in shapes)
    some = any(s.disc is not None for s in shapes)
    return Convex(
        corners=np.concatenate([_padded(s.corners, most) for s in shapes]),
        ball=np.concatenate([s.ball for s in shapes]),
        disc=np.concatenate([_discs(s) for s in shapes]) if some else None,
        axes=np.concatenate([_axes(s, most) for s in shapes]) if some else None,
    )


def _padded(rows: Floats, most: int) -> Floats:
    short = most - rows.shape[1]
    return np.concatenate([rows, np.repeat(rows[:, :1], short, axis=1)], axis=1) if short else rows


def _discs(shape: Convex) -> Floats:
    return np.zeros(len(shape.ball)) if shape.disc is None else shape.disc


def _axes(shape: Convex, most: int) -> Floats:
    if shape.axes is None:
        return np.zeros((len(shape.ball), most, 3))
    return _padded(shape.axes, most)


def _turned(points: Floats, cos: Floats, sin: Floats) -> Floats:
    out = np.empty_like(points)
    x, y, c, s = points[..., 0], points[..., 1], cos[:, None], sin[:, None]
    out[..., 0] = c * x - s * y
    out[..., 1] = s * x + c * y
    out[..., 2] = points[..., 2]
    return out
