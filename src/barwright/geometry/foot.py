"""Where on a centreline a point lies nearest."""

from __future__ import annotations

import math
from dataclasses import dataclass

from numpy.typing import ArrayLike

from barwright.geometry.path import Arc, Centreline, Piece, Straight, arc_radius, piece_length
from barwright.geometry.points import dot, run
from barwright.geometry.vectors import Point

_PARALLEL = 1e-12
"""Squared sine below which two runs are parallel."""


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
    x, y, z = map(float, at)  # type: ignore[arg-type]
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
        return _on_arc(piece, p)
    (ax, ay, az), (bx, by, bz) = piece.start, piece.end
    x, y, z = bx - ax, by - ay, bz - az
    share = ((p[0] - ax) * x + (p[1] - ay) * y + (p[2] - az) * z) / (x * x + y * y + z * z)
    share = min(max(share, 0.0), 1.0)
    nearest = (ax + share * x, ay + share * y, az + share * z)
    return math.dist(p, nearest), share * piece_length(piece)


def _on_arc(arc: Arc, p: Point) -> tuple[float, float]:
    (cx, cy, cz), (nx, ny, nz), ring = arc.centre, arc.axis, arc_radius(arc)
    ox, oy, oz = (arc.start[0] - cx) / ring, (arc.start[1] - cy) / ring, (arc.start[2] - cz) / ring
    gx, gy, gz = p[0] - cx, p[1] - cy, p[2] - cz
    x = gx * ox + gy * oy + gz * oz
    y = gx * (ny * oz - nz * oy) + gy * (nz * ox - nx * oz) + gz * (nx * oy - ny * ox)
    z = gx * nx + gy * ny + gz * nz
    turn = math.atan2(y, x) % (2.0 * math.pi)
    if turn > arc.angle:
        past_end, past_start = turn - arc.angle, 2.0 * math.pi - turn
        turn = arc.angle if past_end < past_start else 0.0
    off = math.dist((x, y, z), (ring * math.cos(turn), ring * math.sin(turn), 0.0))
    return off, ring * turn


Run = tuple[Point, Point, float, float]
"""A point, a unit direction, and from where to where along it [mm]."""


def between_runs(one: Run, other: Run) -> float:
    """The least distance between two straight runs [mm].

    Of two segments: nearest points of the lines, kept within the one, then within the other, and
    the one's again (Ericson 2004, 5.1.9, from memory).

    >>> between_runs(((0, 0, 0), (1, 0, 0), -5, 5), ((0, 3, 0), (0, 1, 0), 0, 9))
    3.0
    """
    (p, u, u0, u1), (q, v, v0, v1) = one, other
    gap = run(q, p)
    uv, ug, vg = dot(u, v), dot(u, gap), dot(v, gap)
    square = 1.0 - uv * uv
    s = min(max((uv * vg - ug) / square, u0), u1) if square > _PARALLEL else u0
    t = min(max(uv * s + vg, v0), v1)
    s = min(max(uv * t - ug, u0), u1)
    return math.hypot(*(g + s * a - t * b for g, a, b in zip(gap, u, v, strict=True)))
