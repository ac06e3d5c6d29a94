"""What stops the leaf when it is pushed on beyond closed, and whether it can slip past."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from barwright.geometry.broad import start
from barwright.geometry.least import least_gaps
from barwright.geometry.path import arc_radius
from barwright.geometry.pieces import pieces
from barwright.geometry.pose import UNMOVED, frame, pose_of
from barwright.geometry.silhouettes import silhouette
from barwright.geometry.solids import Block, Body, Rod, Solid
from barwright.geometry.turning import Scene
from barwright.geometry.vectors import Bools, Floats, Point, square_to, unit
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion, Swing
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
    met = swing(shut, movers, standing, allowed=allowed)
    if met.first_contact is None or met.touches is None or met.where is None:
        return None
    names = met.touches
    moving = next(b for b in movers if b.name == names[0])
    still = next(b for b in standing if b.name == names[1])
    area, *slipped = _facing(shut, met, moving, still, _slips(shut, met, play))
    return Stop(
        moving=names[0],
        standing=names[1],
        beyond=met.first_contact,
        where=met.where,
        lever=_lever(motion, met.where),
        area=float(area.area),
        overlap=min(_largest_circle(a) for a in (area, *slipped)),
    )


def _slips(motion: Motion, met: Swing, play: Play) -> list[Floats]:
    """Where the play lets the leaf stray at the touch [mm], nowhere first: along, across."""
    assert met.where is not None  # noqa: S101 - the caller has seen to it
    axis, off = np.array(motion.along), np.subtract(met.where, motion.through)
    out = unit(off - (off @ axis) * axis)
    ways = [play.along * axis, play.across * out]
    return [np.zeros(3), *(k * w for w in ways for k in (1.0, -1.0) if np.any(w))]


def _largest_circle(area: BaseGeometry) -> float:
    """Diameter of the largest circle in an area [mm]; 0 in none."""
    parts = [p for p in shapely.get_parts(area) if isinstance(p, shapely.Polygon) and p.area > 0.0]
    return max(
        (2.0 * float(shapely.maximum_inscribed_circle(p).length) for p in parts), default=0.0
    )


def _lever(motion: Motion, at: Point) -> float:
    off, along = np.subtract(at, motion.through), np.array(motion.along)
    return float(np.linalg.norm(off - (off @ along) * along))


def _facing(
    motion: Motion, met: Swing, moving: Body, still: Body, slips: list[Floats]
) -> list[BaseGeometry]:
    """What both parts cover, seen along the way the leaf moves at the touch, for each slip of it.

    Only those solids count that would overlap once the leaf is pressed on by PRESS: others lie
    beside the stop, or behind it.
    """
    assert met.first_contact is not None  # noqa: S101 - the caller has seen to it
    assert met.where is not None  # noqa: S101
    sense = math.copysign(1.0, motion.opens)
    way = sense * np.cross(motion.along, np.subtract(met.where, motion.through))
    on = met.first_contact + PRESS / max(_lever(motion, met.where), PRESS)
    press = motion.pose(sense * on)
    view = frame(met.where, square_to(way), np.cross(unit(way), square_to(way))).inverse()
    found = []
    for pairs in _met([moved(moving, press.after(pose_of(np.eye(3), s))) for s in slips], still):
        ahead = silhouette(_once(m for m, _ in pairs), view, (-FAR, FAR), SILHOUETTE)
        behind = silhouette(_once(s for _, s in pairs), view, (-FAR, DEPTH), SILHOUETTE)
        found.append(ahead.intersection(behind))
    return found


def _once(solids: Iterable[Solid]) -> tuple[Solid, ...]:
    """Each solid but once, in the order they come."""
    return tuple(dict.fromkeys(solids))


def _met(places: list[Body], still: Body) -> list[list[tuple[Solid, Solid]]]:
    """For each place of a body, those of its solids and of the standing body's that overlap."""
    low, high = _boxes(still)
    near = [
        [(m, still.solids[i]) for m in body.solids for i in np.flatnonzero(_near(m, low, high))]
        for body in places
    ]
    meets = iter(_overlap([pair for pairs in near for pair in pairs]))
    return [[pair for pair in pairs if next(meets)] for pairs in near]


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
    return np.asarray(least_gaps(scene, asked, len(pairs), within=0.01).high <= 0.0)


def resting_force(torque: float, lever: float) -> float:
    """The force on a stop [N] that holds a torque about the axis [N mm] at a lever [mm].

    >>> resting_force(90_000.0, 45.0)
    2000.0
    """
    return torque / lever
