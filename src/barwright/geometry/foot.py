"""Where on a centreline a point lies nearest."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.path import Arc, Centreline, Piece, Straight, arc_radius, piece_length
from barwright.geometry.vectors import Floats, Point, cross


@dataclass(frozen=True, kw_only=True)
class Foot:
    """The nearest point of a centreline.

    Attributes:
        distance: from the point asked about [mm].
        along: from the centreline's start [mm].
    """

    distance: float
    along: float


def foot_on(centreline: Centreline, at: ArrayLike) -> Foot:
    """The nearest point of a centreline to a point (3,) [mm].

    >>> run = Centreline(pieces=(Straight(start=(0, 0, 0), end=(10, 0, 0)),))
    >>> foot_on(run, (4, 3, 0))
    Foot(distance=3.0, along=4.0)
    """
    x, y, z = map(float, np.asarray(at, dtype=float))
    begun, best, where = 0.0, math.inf, 0.0
    for piece in centreline.pieces:
        distance, along = _on(piece, (x, y, z))
        if distance < best:
            best, where = distance, begun + along
        begun += piece_length(piece)
    return Foot(distance=best, along=where)


def _on(piece: Piece, p: Point) -> tuple[float, float]:
    """Distance to one piece, and how far along it the nearest point is.

    In plain numbers: every end of every bar is held against every other bar.
    """
    if not isinstance(piece, Straight):
        return _on_arc(piece, np.array(p))
    (ax, ay, az), (bx, by, bz) = piece.start, piece.end
    x, y, z = bx - ax, by - ay, bz - az
    share = ((p[0] - ax) * x + (p[1] - ay) * y + (p[2] - az) * z) / (x * x + y * y + z * z)
    share = min(max(share, 0.0), 1.0)
    nearest = (ax + share * x, ay + share * y, az + share * z)
    return math.dist(p, nearest), share * piece_length(piece)


def _on_arc(arc: Arc, p: Floats) -> tuple[float, float]:
    ring, gap = arc_radius(arc), p - np.array(arc.centre)
    out = np.subtract(arc.start, arc.centre) / ring
    x, y, z = (
        float(gap @ out),
        float(gap @ cross(arc.axis, out)),
        float(gap @ np.array(arc.axis)),
    )
    turn = math.atan2(y, x) % (2.0 * math.pi)
    if turn > arc.angle:
        past_end, past_start = turn - arc.angle, 2.0 * math.pi - turn
        turn = arc.angle if past_end < past_start else 0.0
    off = math.dist((x, y, z), (ring * math.cos(turn), ring * math.sin(turn), 0.0))
    return off, ring * turn
