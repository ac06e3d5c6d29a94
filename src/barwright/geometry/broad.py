"""Which pieces can come near one another at all: a first, cheap bound for every pair."""

from __future__ import annotations

import math

import numpy as np

from barwright.geometry.convex import Bools, Ints
from barwright.geometry.pieces import Pieces
from barwright.geometry.turning import Nodes, Scene
from barwright.geometry.vectors import Floats

ARC = math.radians(30.0)
"""Elbows are looked at in lengths of at most this much bend to begin with [rad]."""


def start(scene: Scene, opens: float, together: Bools) -> Nodes:
    """The nodes to begin with: every pair that counts over the whole swing, with a first bound.

    Args:
        scene: what turns and what stands.
        opens: how far it turns [rad], positive.
        together: whether a moving and a standing body count, shape (moving, standing bodies).
    """
    one, other = _lengths(scene.moving), _lengths(scene.standing)
    i, j = np.nonzero(together[np.ix_(scene.moving.body[one[0]], scene.standing.body[other[0]])])
    rows_a, rows_b = one[0][i], other[0][j]
    n = len(i)
    return Nodes(
        piece=np.stack([rows_a, rows_b], axis=1),
        part=np.stack([one[1][i], other[1][j]], axis=1),
        flat=np.zeros((n, 2), dtype=bool),
        span=np.tile([0.0, opens], (n, 1)),
        at=np.zeros(n),
        away=np.zeros((n, 3)),
        low=_ring_gap(_rings(scene.moving)[rows_a], _rings(scene.standing)[rows_b]),
        asked=np.zeros(n, dtype=np.intp),
    )


def _lengths(pieces: Pieces) -> tuple[Ints, Floats]:
    """Each piece whole, or an elbow in several lengths: rows and shares from and to."""
    count = np.maximum(1, np.ceil(pieces.turn / ARC - 1e-9)).astype(np.intp)
    rows = np.repeat(np.arange(len(count)), count)
    nth = np.arange(len(rows)) - np.repeat(np.cumsum(count) - count, count)
    return rows, np.stack([nth / count[rows], (nth + 1) / count[rows]], axis=1)


def _ring_gap(a: Floats, b: Floats) -> Floats:
    """How far the rings stay apart that two pieces fill when they turn round the axis."""
    out = [np.maximum(a[:, k] - b[:, k + 1], b[:, k] - a[:, k + 1]) for k in (0, 2)]
    return np.asarray(np.hypot(np.maximum(out[0], 0.0), np.maximum(out[1], 0.0)))


def _rings(pieces: Pieces) -> Floats:
    """Least and most distance from the axis, least and most height of each piece, (n, 4)."""
    n = len(pieces.body)
    rows = np.arange(n)
    from_axis = np.linalg.norm(pieces.middle[:, :2], axis=1)
    least, most = from_axis - pieces.reach, from_axis + pieces.reach
    low, high = pieces.middle[:, 2] - pieces.reach, pieces.middle[:, 2] + pieces.reach
    rod = (pieces.block < 0) & (pieces.turn == 0.0)
    ends = np.stack([pieces.at(rows, np.zeros(n)), pieces.at(rows, np.ones(n))], axis=1)
    r = pieces.radius
    heights = ends[:, :, 2]
    low = np.where(rod, heights.min(axis=1) - r, low)
    high = np.where(rod, heights.max(axis=1) + r, high)
    least = np.where(rod, _segment_from_axis(ends) - r, least)
    most = np.where(rod, np.linalg.norm(ends[:, :, :2], axis=2).max(axis=1) + r, most)
    blocks = pieces.block >= 0
    if blocks.any():
        own = pieces.corners[pieces.block[blocks]]
        low[blocks], high[blocks] = own[..., 2].min(axis=1), own[..., 2].max(axis=1)
        most[blocks] = np.hypot(own[..., 0], own[..., 1]).max(axis=1)
    return np.stack([np.maximum(least, 0.0), most, low, high], axis=1)


def _segment_from_axis(ends: Floats) -> Floats:
    p, d = ends[:, 0, :2], ends[:, 1, :2] - ends[:, 0, :2]
    t = -(p * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-300)
    return np.asarray(np.linalg.norm(p + np.clip(t, 0.0, 1.0)[:, None] * d, axis=1))


def ball_gap(scene: Scene, nodes: Nodes) -> Floats:
    """How far the balls round the two pieces of each node stay apart over its span [mm]."""
    i, j = nodes.piece.T
    p, q = scene.moving.middle[i], scene.standing.middle[j]
    to = np.arctan2(q[:, 1], q[:, 0]) - np.arctan2(p[:, 1], p[:, 0])
    lo, hi = nodes.span.T
    off = np.abs(np.mod(to - 0.5 * (hi + lo) + math.pi, 2.0 * math.pi) - math.pi)
    off = np.maximum(off - 0.5 * (hi - lo), 0.0)
    r, s = np.hypot(p[:, 0], p[:, 1]), np.hypot(q[:, 0], q[:, 1])
    square = r * r + s * s - 2.0 * r * s * np.cos(off) + (p[:, 2] - q[:, 2]) ** 2
    both = scene.moving.reach[i] + scene.standing.reach[j]
    return np.asarray(np.sqrt(np.maximum(square, 0.0)) - both)
