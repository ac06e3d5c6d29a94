"""How a bender makes a centreline: corners and bend tables, each from the other.

The turn between one bend and the next is right hand about the direction of travel, from the
first end to the last: look along the tube the way you travel, a positive turn is clockwise. It
is the angle by which the second bend's plane lies further round than the first's, so the tube
in the bender is rolled the other way when it is fed last end first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.path import Arc, BendTable, Centreline, Piece, Straight, piece_length
from barwright.geometry.points import ahead, crossed, dot, one_long, run, turned_by
from barwright.geometry.vectors import Floats, Point, cross, point, rotation

STRAIGHT_ENOUGH = 1e-9
"""Below this angle [rad] a corner is no bend: the straights run on in line."""


class CannotBend(ValueError):  # noqa: N818 - it says what it is
    """A centreline that no bender can make.

    Attributes:
        corner: which corner or straight, counted from 0; None when it is the whole.
    """

    def __init__(self, message: str, corner: int | None = None) -> None:
        super().__init__(message)
        self.corner = corner


@dataclass(frozen=True, kw_only=True)
class Bend:
    """One corner of a path.

    Attributes:
        corner: which corner of the path, counted from 0 at the path's start.
        angle: how far it bends [rad].
        setback: from the corner back to where the bend begins [mm]; CLR tan(angle / 2).
        axis: unit normal of the bend's plane, right hand along the bend.
    """

    corner: int
    angle: float
    setback: float
    axis: Point


def bends_of(corners: ArrayLike, clr: float) -> tuple[Bend, ...]:
    """The bends at the inner corners of a path; corners in line with their neighbours make none.

    Args:
        corners: shape (n, 3) [mm], n at least 2: both ends and where the straights would meet.
        clr: centreline radius of every bend [mm].

    Raises:
        CannotBend: two corners coincide, or the path turns straight back on itself.

    >>> [round(b.setback, 4) for b in bends_of([(0, 0, 0), (300, 0, 0), (300, 400, 0)], 114)]
    [114.0]
    """
    return _bends(_points(corners), clr)


def straights_of(corners: ArrayLike, clr: float) -> tuple[float, ...]:
    """The straights [mm] left between the bends of a path; negative where bends overlap.

    Raises:
        CannotBend: as `bends_of`.

    >>> square = [(0, 0, 0), (300, 0, 0), (300, 400, 0), (300, 400, 500)]
    >>> [round(s, 6) for s in straights_of(square, 114)]
    [186.0, 172.0, 386.0]
    """
    points = _points(corners)
    return _straights(points, _bends(points, clr))


def from_corners(corners: ArrayLike, clr: float) -> Centreline:
    """The centreline whose straights would meet at the corners.

    Args:
        corners: shape (n, 3) [mm]: both ends and the inner corners. A corner in line with its
            neighbours (within 1e-9 rad) makes no bend.
        clr: centreline radius of every bend [mm].

    Raises:
        CannotBend: corners coincide, the path turns back on itself, or bends overlap.
    """
    points = _points(corners)
    bends = _bends(points, clr)
    for i, straight in enumerate(_straights(points, bends)):
        if straight < -STRAIGHT_ENOUGH:
            raise CannotBend(f"straight {i + 1} is short by {-straight:.3f} mm", i)
    pieces: list[Piece] = []
    here = points[0]
    for bend in bends:
        corner = points[bend.corner]
        way = one_long(run(points[bend.corner - 1], corner))
        begin = ahead(corner, way, -bend.setback)
        _straight(pieces, here, begin)
        arc, here = _arc(begin, way, bend.axis, bend.angle, clr)
        pieces.append(arc)
    _straight(pieces, here, points[-1])
    return Centreline(pieces=tuple(pieces))


def from_table(table: BendTable, start: ArrayLike, along: ArrayLike, zero: ArrayLike) -> Centreline:
    """The centreline that a bend table makes.

    Args:
        table: one straight more than bends, one turn fewer; straights of nothing or more.
        start: first point, (3,) [mm].
        along: direction of the first straight, (3,).
        zero: direction toward which the first bend bends, (3,), not parallel to `along`.

    Raises:
        CannotBend: the table's counts do not belong together, or a straight is negative.
        ValueError: `along` and `zero` are parallel.
    """
    _check(table)
    way, toward = one_long(point(along)), point(zero)
    axis = crossed(way, one_long(ahead(toward, way, -dot(toward, way))))
    here, pieces = point(start), list[Piece]()
    for i, bend in enumerate(table.bends):
        if i:
            axis = turned_by(axis, way, table.turns[i - 1])
        begin = ahead(here, way, table.straights[i])
        _straight(pieces, here, begin)
        arc, here = _arc(begin, way, axis, bend, table.clr)
        pieces.append(arc)
        way = one_long(turned_by(way, axis, bend))
    _straight(pieces, here, ahead(here, way, table.straights[-1]))
    return Centreline(pieces=tuple(pieces))


def table_of(centreline: Centreline) -> BendTable:
    """Straights, bends and turns of a centreline.

    >>> t = table_of(from_corners([(0, 0, 0), (300, 0, 0), (300, 400, 0), (300, 400, 500)], 114))
    >>> [round(s, 6) for s in t.straights], [round(math.degrees(b), 6) for b in t.bends]
    ([186.0, 172.0, 386.0], [90.0, 90.0])
    >>> [round(math.degrees(turn), 6) for turn in t.turns]
    [90.0]
    """
    straights, arcs = [0.0], list[Arc]()
    for piece in centreline.pieces:
        if isinstance(piece, Straight):
            straights[-1] += piece_length(piece)
        else:
            arcs.append(piece)
            straights.append(0.0)
    turns = tuple(_turn(a, b) for a, b in pairwise(arcs))
    radius = math.dist(arcs[0].start, arcs[0].centre) if arcs else 0.0
    return BendTable(
        straights=tuple(straights), bends=tuple(a.angle for a in arcs), turns=turns, clr=radius
    )


def corners_of(centreline: Centreline) -> Floats:
    """Both ends and where the straights would meet, shape (n, 3) [mm].

    Raises:
        CannotBend: a bend of half a turn or more, whose straights meet nowhere.
    """
    found = list[Floats]()
    for i, piece in enumerate(centreline.pieces):
        if isinstance(piece, Straight):
            found += [np.array(piece.start)] if i == 0 else []
            continue
        if piece.angle >= math.pi - STRAIGHT_ENOUGH:
            raise CannotBend("a bend of 180° or more has no corner", i)
        begin = np.array(piece.start)
        forth = cross(piece.axis, begin - np.array(piece.centre))
        found += [begin] if i == 0 else []
        found.append(begin + math.tan(piece.angle / 2.0) * forth)
    return np.array([*found, _last(centreline)])


def _last(centreline: Centreline) -> Floats:
    last = centreline.pieces[-1]
    if isinstance(last, Straight):
        return np.array(last.end)
    spoke = np.subtract(last.start, last.centre)
    return np.asarray(last.centre + rotation(last.axis, last.angle) @ spoke)


def _points(corners: ArrayLike) -> list[Point]:
    return [(x, y, z) for x, y, z in np.asarray(corners, dtype=float).tolist()]


def _bends(points: list[Point], clr: float) -> tuple[Bend, ...]:
    runs = [run(a, b) for a, b in pairwise(points)]
    for i, one in enumerate(runs):
        if math.hypot(*one) <= STRAIGHT_ENOUGH:
            raise CannotBend(f"corners {i + 1} and {i + 2} of the path coincide", i)
    found = (_bend(i, a, b, clr) for i, (a, b) in enumerate(pairwise(runs), 1))
    return tuple(bend for bend in found if bend is not None)


def _bend(corner: int, before: Point, after: Point, clr: float) -> Bend | None:
    axis = crossed(before, after)
    angle = math.atan2(math.hypot(*axis), dot(before, after))
    if angle <= STRAIGHT_ENOUGH:
        return None
    if angle >= math.pi - STRAIGHT_ENOUGH:
        raise CannotBend(f"the path turns straight back on itself at corner {corner + 1}", corner)
    setback = clr * math.tan(angle / 2.0)
    return Bend(corner=corner, angle=angle, setback=setback, axis=one_long(axis))


def _straights(points: list[Point], bends: tuple[Bend, ...]) -> tuple[float, ...]:
    stops = [0, *(b.corner for b in bends), len(points) - 1]
    backs = [0.0, *(b.setback for b in bends), 0.0]
    return tuple(
        math.dist(points[a], points[b]) - backs[i] - backs[i + 1]
        for i, (a, b) in enumerate(pairwise(stops))
    )


def _arc(begin: Point, way: Point, axis: Point, angle: float, clr: float) -> tuple[Arc, Point]:
    """The arc that begins at a point in a direction, and its last point."""
    centre = ahead(begin, crossed(axis, way), clr)
    end = ahead(centre, turned_by(run(centre, begin), axis, angle), 1.0)
    return Arc(centre=centre, start=begin, axis=axis, angle=angle), end


def _straight(pieces: list[Piece], start: Point, end: Point) -> None:
    """Add a straight, unless it has no length and something else is there."""
    if math.dist(start, end) > STRAIGHT_ENOUGH:
        pieces.append(Straight(start=start, end=end))


def _turn(a: Arc, b: Arc) -> float:
    """The turn from arc a's plane to arc b's about the direction of travel between them."""
    way = one_long(crossed(b.axis, run(b.centre, b.start)))
    return math.atan2(dot(way, crossed(a.axis, b.axis)), _across(way, a.axis, b.axis))


def _across(way: Point, a: Point, b: Point) -> float:
    """The scalar product of two directions, less what they have along a way."""
    return dot(a, b) - dot(a, way) * dot(b, way)


def _check(table: BendTable) -> None:
    n = len(table.bends)
    if len(table.straights) != n + 1 or len(table.turns) != max(n - 1, 0):
        raise CannotBend(
            f"{n} bends want {n + 1} straights and {max(n - 1, 0)} turns, "
            f"not {len(table.straights)} and {len(table.turns)}"
        )
    for i, straight in enumerate(table.straights):
        if straight < -STRAIGHT_ENOUGH:
            raise CannotBend(f"straight {i + 1} is negative: {straight:.3f} mm", i)
    if n and not table.clr > 0.0:
        raise CannotBend("a bend wants a centreline radius above zero")
