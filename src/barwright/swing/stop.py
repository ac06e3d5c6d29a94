"""What stops the leaf when it is pushed on beyond closed, and whether it can slip past."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from barwright.geometry.broad import start
from barwright.geometry.contact import first_contact
from barwright.geometry.least import least_gaps
from barwright.geometry.path import arc_radius
from barwright.geometry.pieces import pieces
from barwright.geometry.pose import UNMOVED, frame, pose_of
from barwright.geometry.silhouettes import silhouette
from barwright.geometry.solids import Block, Body, Rod, Solid
from barwright.geometry.turning import Scene
from barwright.geometry.vectors import Bools, Floats, Point, point, square_to, unit
from barwright.swing.clearance import axis_frame, counting, scene_of
from barwright.swing.motion import Motion
from barwright.swing.place import moved
from barwright.swing.play import NO_PLAY, Play

PRESS = 0.5
"""How far the leaf is pressed on to see what bears [mm]."""

DEPTH = 2.0
"""How far behind the first touch the stop still counts as what bears [mm]."""

FAR = 1e5
"""Farther than any part [mm]."""

SILHOUETTE = 0.05
"""How much too large a silhouette may be [mm]."""

MEETING = 0.01
"""How closely it is looked whether solids overlap [mm]."""

ALIKE = 1.0 - 1e-6
"""A circle this much of another's size is as large."""


@dataclass(frozen=True, kw_only=True)
class Stop:
    """What stops a leaf beyond closed.

    Attributes:
        moving: the part of the leaf that comes to rest.
        standing: the part that stops it.
        beyond: angle from closed to the stop [rad].
        where: the point of first touch [mm].
        lever: its distance from the axis [mm].
        area: of what the two parts hide of one another, seen along the way they meet [mm²]: the
            most that can bear.
        overlap: diameter of the largest circle in that area once all play is taken up the worse
            way [mm]: what has to give before the leaf slips past.
    """

    moving: str
    standing: str
    beyond: float
    where: Point
    lever: float
    area: float
    overlap: float


def stop(
    motion: Motion,
    movers: tuple[Body, ...],
    standing: tuple[Body, ...],
    *,
    allowed: frozenset[tuple[str, str]] = frozenset(),
    reach: float = math.radians(20.0),
    play: Play = NO_PLAY,
) -> Stop | None:
    """What the leaf meets first when pushed on beyond closed, or None within `reach`.

    Args:
        motion: how it opens; it is turned the other way here.
        movers: all that swings, as it stands when closed.
        standing: all that stands still.
        allowed: (moving, standing) bodies that touch when closed and are no stop, such as a
            pivot and its cheeks.
        reach: how far beyond closed to look [rad].
        play: of the leaf at the stop, along its axis and across.
    """
    shut = replace(motion, opens=-math.copysign(reach, motion.opens))
    touch = _touch(shut, movers, standing, allowed)
    if touch is None:
        return None
    area, *slipped = _facing(shut, touch, _slips(shut, touch, play))
    return Stop(
        moving=touch.moving.name,
        standing=touch.still.name,
        beyond=touch.angle,
        where=touch.where,
        lever=_lever(motion, touch.where),
        area=float(area.area),
        overlap=_least_circle(area, slipped),
    )


@dataclass(frozen=True, kw_only=True)
class _Touch:
    """A first touch: what touches what, after which turn [rad], and where [mm]."""

    moving: Body
    still: Body
    angle: float
    where: Point


def _touch(
    motion: Motion,
    movers: tuple[Body, ...],
    standing: tuple[Body, ...],
    allowed: frozenset[tuple[str, str]],
) -> _Touch | None:
    """The first touch on a leaf's way, or none."""
    scene = scene_of(motion, movers, standing)
    nodes = start(scene, abs(motion.opens), counting(movers, standing, allowed))
    contact = first_contact(scene, nodes)
    if contact is None:
        return None
    return _Touch(
        moving=movers[scene.moving.body[contact.piece[0]]],
        still=standing[scene.standing.body[contact.piece[1]]],
        angle=contact.angle,
        where=point(axis_frame(motion).inverse().points(contact.where)),
    )


def _slips(motion: Motion, touch: _Touch, play: Play) -> list[Floats]:
    """Where the play lets the leaf stray at the touch [mm], nowhere first: along, across."""
    axis, off = np.array(motion.along), np.subtract(touch.where, motion.through)
    out = unit(off - (off @ axis) * axis)
    ways = [play.along * axis, play.across * out]
    return [np.zeros(3), *(k * w for w in ways for k in (1.0, -1.0) if np.any(w))]


def _least_circle(area: BaseGeometry, others: list[BaseGeometry]) -> float:
    """Diameter of the largest circle in the area that has the least room for one [mm]."""
    least = _largest_circle(area)
    for other in others:
        if other.buffer(-0.5 * ALIKE * least).is_empty:
            least = _largest_circle(other)
    return least


def _largest_circle(area: BaseGeometry) -> float:
    """Diameter of the largest circle in an area [mm]; 0 in none."""
    parts = [p for p in shapely.get_parts(area) if isinstance(p, shapely.Polygon) and p.area > 0.0]
    widest = 0.0
    for part in sorted(parts, key=_most, reverse=True):
        if _most(part) > widest:
            widest = max(widest, 2.0 * float(shapely.maximum_inscribed_circle(part).length))
    return widest


def _most(part: shapely.Polygon) -> float:
    """No circle in a shape has a larger diameter than this [mm]: by its box and its area."""
    x0, y0, x1, y1 = part.bounds
    return min(x1 - x0, y1 - y0, 2.0 * math.sqrt(part.area / math.pi))


def _lever(motion: Motion, at: Point) -> float:
    off, along = np.subtract(at, motion.through), np.array(motion.along)
    return float(np.linalg.norm(off - (off @ along) * along))


def _facing(motion: Motion, touch: _Touch, slips: list[Floats]) -> list[BaseGeometry]:
    """What both parts cover, seen along the way the leaf moves at the touch, for each slip of it.

    Only those solids count that would overlap once the leaf is pressed on by PRESS: others lie
    beside the stop, or behind it.
    """
    sense = math.copysign(1.0, motion.opens)
    way = sense * np.cross(motion.along, np.subtract(touch.where, motion.through))
    on = touch.angle + PRESS / max(_lever(motion, touch.where), PRESS)
    press = motion.pose(sense * on)
    pressed, shifts = moved(touch.moving, press), [press.directions(slip) for slip in slips]
    view = frame(touch.where, square_to(way), np.cross(unit(way), square_to(way))).inverse()

    @lru_cache
    def covered(solids: tuple[Solid, ...], far: float) -> BaseGeometry:
        return silhouette(solids, view, (-FAR, far), SILHOUETTE)

    found = []
    for shift, pairs in zip(shifts, _met(pressed, shifts, touch.still), strict=True):
        ahead = covered(_once(m for m, _ in pairs), FAR)
        behind = covered(_once(s for _, s in pairs), DEPTH)
        x, y, _ = view.directions(shift).tolist()
        found.append(translate(ahead, x, y).intersection(behind))
    return found


def _once(solids: Iterable[Solid]) -> tuple[Solid, ...]:
    """Each solid but once, in the order they come."""
    return tuple(dict.fromkeys(solids))


def _met(body: Body, shifts: list[Floats], still: Body) -> list[list[tuple[Solid, Solid]]]:
    """For each shift of a body, those of its solids that overlap standing ones once shifted."""
    (low, high), far = _boxes(still), max(float(np.linalg.norm(s)) for s in shifts)
    some = tuple(s for s in body.solids if _near(s, low - far, high + far).any())
    near = []
    for shift in shifts:
        place = moved(Body(name=body.name, solids=some), pose_of(np.eye(3), shift))
        near.append(
            [
                (m, put, still.solids[i])
                for m, put in zip(some, place.solids, strict=True)
                for i in np.flatnonzero(_near(put, low, high))
            ]
        )
    meets = iter(_overlap([(put, s) for pairs in near for _, put, s in pairs]))
    return [[(m, s) for m, _, s in pairs if next(meets)] for pairs in near]


def _boxes(body: Body) -> tuple[Floats, Floats]:
    """The least and the greatest corner of a box round each solid, shape (n, 3)."""
    spans = [_box(solid) for solid in body.solids]
    return np.array([low for low, _ in spans]), np.array([high for _, high in spans])


def _box(solid: Solid) -> tuple[Floats, Floats]:
    if isinstance(solid, Block):
        corners = np.array(solid.corners)
        return corners.min(axis=0), corners.max(axis=0)
    if isinstance(solid, Rod):
        ends = np.array([solid.start, solid.end])
        return ends.min(axis=0) - solid.radius, ends.max(axis=0) + solid.radius
    centre, reach = np.array(solid.arc.centre), arc_radius(solid.arc) + solid.radius
    return centre - reach, centre + reach


def _near(solid: Solid, low: Floats, high: Floats) -> Bools:
    """Which boxes a solid's own box meets."""
    a, b = _box(solid)
    return np.asarray(np.all((a <= high) & (b >= low), axis=1))


def _overlap(pairs: list[tuple[Solid, Solid]]) -> Bools:
    """Whether the solids of each pair overlap, all pairs looked at in one go."""
    if not pairs:
        return np.zeros(0, dtype=bool)
    one, other = ([Body(name="", solids=(s,)) for s in some] for some in zip(*pairs, strict=True))
    scene = Scene(moving=pieces(one, UNMOVED), standing=pieces(other, UNMOVED))
    nodes = start(scene, 0.0, np.eye(len(pairs), dtype=bool))
    asked = replace(nodes, asked=nodes.piece[:, 0])
    found = least_gaps(scene, asked, len(pairs), within=MEETING, coarse=MEETING)
    return np.asarray(found.high <= 0.0)


def resting_force(torque: float, lever: float) -> float:
    """The force on a stop [N] that holds a torque about the axis [N mm] at a lever [mm].

    >>> resting_force(90_000.0, 45.0)
    2000.0
    """
    return torque / lever
