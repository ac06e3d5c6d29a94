"""The centreline of a tube: straights and arcs that meet in line.

A centreline is made from its corners (where the straights would meet), or from the table a
bender works by: straights, bends, turns.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.points import ahead
from barwright.geometry.pose import Pose
from barwright.geometry.vectors import Floats, Point, cross, point, rotation, unit


@dataclass(frozen=True, kw_only=True)
class Straight:
    """A straight run from start to end [mm]."""

    start: Point
    end: Point


@dataclass(frozen=True, kw_only=True)
class Arc:
    """A circular run: `start` turned about `axis` through `centre` by `angle`.

    Attributes:
        centre: centre of the bend [mm].
        start: first point of the arc [mm]; its distance to the centre is the radius.
        axis: unit normal of the bend's plane; the right hand about it leads from start to end.
        angle: how far it bends [rad], positive.
    """

    centre: Point
    start: Point
    axis: Point
    angle: float


Piece: TypeAlias = Straight | Arc

_FEW = 8
"""Up to so many points are found one by one."""


@dataclass(frozen=True, kw_only=True)
class BendTable:
    """How a bender makes the shape: straight, bend, turn, straight, bend and so on.

    Attributes:
        straights: n + 1 lengths between tangent points [mm].
        bends: n bend angles [rad], positive.
        turns: n - 1 rotations [rad] of the tube between one bend and the next, right hand about
            the direction of travel from the first end to the last.
        clr: centreline radius of every bend [mm].
    """

    straights: tuple[float, ...]
    bends: tuple[float, ...] = ()
    turns: tuple[float, ...] = ()
    clr: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Centreline:
    """A tube's centreline: pieces end to end, tangent to one another."""

    pieces: tuple[Piece, ...]


def arc_radius(arc: Arc) -> float:
    """The arc's radius [mm].

    >>> arc_radius(Arc(centre=(0, 3, 0), start=(0, 0, 0), axis=(0, 0, 1), angle=1.0))
    3.0
    """
    return math.dist(arc.start, arc.centre)


def piece_length(piece: Piece) -> float:
    """How long a straight or an arc is along itself [mm]."""
    if isinstance(piece, Straight):
        return math.dist(piece.start, piece.end)
    return arc_radius(piece) * piece.angle


def length(centreline: Centreline) -> float:
    """The developed length [mm]: straights and arcs end to end.

    >>> run = Straight(start=(0, 0, 0), end=(3, 4, 0))
    >>> length(Centreline(pieces=(run,)))
    5.0
    """
    return math.fsum(piece_length(piece) for piece in centreline.pieces)


def point_at(centreline: Centreline, along: ArrayLike) -> Floats:
    """Points at distances along the centreline from its start.

    Args:
        centreline: at least one piece.
        along: distances [mm], shape (...); before the start and past the end it runs straight on.

    Returns:
        Shape (..., 3) [mm].

    >>> run = Centreline(pieces=(Straight(start=(0, 0, 0), end=(10, 0, 0)),))
    >>> point_at(run, [2.5, 12.0]).tolist()
    [[2.5, 0.0, 0.0], [12.0, 0.0, 0.0]]
    """
    return _travelled(centreline, along)[0]


def tangent_at(centreline: Centreline, along: ArrayLike) -> Floats:
    """Unit directions of travel at distances [mm] along the centreline, shape (..., 3)."""
    return _travelled(centreline, along)[1]


def place_at(centreline: Centreline, s: float) -> tuple[Point, Point]:
    """Point [mm] and unit tangent at one distance along [mm], in plain numbers: quicker for a few.

    Before the start and past the end it runs straight on.

    >>> place_at(Centreline(pieces=(Straight(start=(0, 0, 0), end=(10, 0, 0)),)), 2.5)
    ((2.5, 0.0, 0.0), (1.0, 0.0, 0.0))
    """
    begun = 0.0
    for piece in centreline.pieces:
        long = piece_length(piece)
        if s < begun + long:
            break
        begun += long
    else:
        begun -= long
    if isinstance(piece, Straight):
        way = _unit(piece)
        return ahead(piece.start, way, s - begun), way
    kept = min(max(s - begun, 0.0), long)
    at, way = _turned(piece, kept / arc_radius(piece))
    return ahead(at, way, s - begun - kept), way


def ends(centreline: Centreline) -> tuple[Point, Point]:
    """The first and the last point [mm]."""
    last = centreline.pieces[-1]
    return centreline.pieces[0].start, last.end if isinstance(last, Straight) else arc_end(last)


def reversed_line(centreline: Centreline) -> Centreline:
    """The same centreline travelled the other way."""
    return Centreline(pieces=tuple(_reversed(piece) for piece in reversed(centreline.pieces)))


def moved(centreline: Centreline, pose: Pose) -> Centreline:
    """The centreline placed by a pose; a mirroring pose mirrors it.

    An arc's axis is turned over by a mirror, so that the right hand still leads along it.
    """
    return Centreline(pieces=tuple(_moved(piece, pose) for piece in centreline.pieces))


def carried(centreline: Centreline, direction: ArrayLike) -> Floats:
    """A direction at the start carried to the end without twisting about the tube.

    A line scribed along the tube stays where this leads it: each bend turns it with the tube.

    Args:
        centreline: at least one piece.
        direction: shape (3,), such as a unit vector square to the first tangent.

    Returns:
        Shape (3,): the direction at the end.
    """
    v = np.asarray(direction, dtype=float)
    for piece in centreline.pieces:
        if isinstance(piece, Arc):
            v = rotation(piece.axis, piece.angle) @ v
    return v


def _travelled(centreline: Centreline, along: ArrayLike) -> tuple[Floats, Floats]:
    """Points and tangents, both (..., 3), at distances along."""
    s = np.asarray(along, dtype=float)
    if s.size <= _FEW and centreline.pieces:
        both = [place_at(centreline, value) for value in s.ravel().tolist()]
        few = np.array(both, dtype=float).reshape(-1, 2, 3)
        return few[:, 0].reshape(*s.shape, 3), few[:, 1].reshape(*s.shape, 3)
    at, way = np.empty((*s.shape, 3)), np.empty((*s.shape, 3))
    begun, last = 0.0, len(centreline.pieces) - 1
    for i, piece in enumerate(centreline.pieces):
        long = piece_length(piece)
        here = np.ones(s.shape, dtype=bool) if i == 0 else s >= begun
        at[here], way[here] = _on_piece(piece, s[here] - begun)
        begun += long
        if i == last:
            _run_on(piece, s - begun, at, way)
    if centreline.pieces:
        _run_on(_reversed(centreline.pieces[0]), -s, at, way, sense=-1.0)
    return at, way


def _unit(straight: Straight) -> Point:
    (ax, ay, az), (bx, by, bz) = straight.start, straight.end
    long = math.dist(straight.start, straight.end)
    if not long:
        raise ValueError("a straight of no length has no direction")
    return (bx - ax) / long, (by - ay) / long, (bz - az) / long


def _turned(arc: Arc, angle: float) -> tuple[Point, Point]:
    """Point and tangent of an arc where it has turned by so much [rad]."""
    (cx, cy, cz), (nx, ny, nz), r = arc.centre, arc.axis, arc_radius(arc)
    ox, oy, oz = (arc.start[0] - cx) / r, (arc.start[1] - cy) / r, (arc.start[2] - cz) / r
    fx, fy, fz = ny * oz - nz * oy, nz * ox - nx * oz, nx * oy - ny * ox
    c, t = math.cos(angle), math.sin(angle)
    at = (cx + r * (c * ox + t * fx), cy + r * (c * oy + t * fy), cz + r * (c * oz + t * fz))
    return at, (c * fx - t * ox, c * fy - t * oy, c * fz - t * oz)


def _run_on(piece: Piece, past: Floats, at: Floats, way: Floats, sense: float = 1.0) -> None:
    """Fill in what lies past the end of the last piece: straight on along its last tangent."""
    beyond = past > 0.0
    if isinstance(piece, Straight) or not np.any(beyond):
        return
    end, tangent = _on_piece(piece, np.array(piece_length(piece)))
    at[beyond] = end + past[beyond][:, None] * tangent
    way[beyond] = sense * tangent


def _on_piece(piece: Piece, s: Floats) -> tuple[Floats, Floats]:
    """Points and unit tangents at distances s (...) from the start of one piece."""
    if isinstance(piece, Straight):
        d = unit(np.subtract(piece.end, piece.start))
        return piece.start + s[..., None] * d, np.broadcast_to(d, (*s.shape, 3))
    r, centre = arc_radius(piece), np.array(piece.centre)
    out = (np.array(piece.start) - centre) / r
    forth = cross(piece.axis, out)
    c, t = np.cos(s / r)[..., None], np.sin(s / r)[..., None]
    return centre + r * (c * out + t * forth), c * forth - t * out


def arc_end(arc: Arc) -> Point:
    """The last point of an arc [mm]."""
    return _turned(arc, arc.angle)[0]


def _reversed(piece: Piece) -> Piece:
    if isinstance(piece, Straight):
        return Straight(start=piece.end, end=piece.start)
    axis = point(-np.array(piece.axis))
    return Arc(centre=piece.centre, start=arc_end(piece), axis=axis, angle=piece.angle)


def _moved(piece: Piece, pose: Pose) -> Piece:
    if isinstance(piece, Straight):
        start, end = pose.points([piece.start, piece.end])
        return Straight(start=point(start), end=point(end))
    centre, start = pose.points([piece.centre, piece.start])
    axis = pose.directions(piece.axis) * (-1.0 if pose.mirrors else 1.0)
    return Arc(centre=point(centre), start=point(start), axis=point(axis), angle=piece.angle)
