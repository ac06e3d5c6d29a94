"""What stops the leaf when it is pushed on beyond closed, and whether it can slip past."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from barwright.geometry.distance import apart
from barwright.geometry.pose import frame
from barwright.geometry.silhouettes import silhouette
from barwright.geometry.solids import Body, Solid
from barwright.geometry.vectors import Point, square_to, unit
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion, Swing
from barwright.swing.place import moved

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
        overlap: diameter of the largest circle in that area [mm]: what has to give before the
            leaf slips past.
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
) -> Stop | None:
    """What the leaf meets first when pushed on beyond closed, or None within `reach`.

    Args:
        motion: how it opens; it is turned the other way here.
        movers: all that swings, as it stands when closed.
        standing: all that stands still.
        allowed: (moving, standing) bodies that touch when closed and are no stop, such as a
            pivot and its cheeks.
        reach: how far beyond closed to look [rad].
    """
    shut = replace(motion, opens=-math.copysign(reach, motion.opens))
    met = swing(shut, movers, standing, allowed=allowed)
    if met.first_contact is None or met.touches is None or met.where is None:
        return None
    names = met.touches
    moving = next(b for b in movers if b.name == names[0])
    still = next(b for b in standing if b.name == names[1])
    area = _facing(shut, met, moving, still)
    circle = _largest_circle(area)
    return Stop(
        moving=names[0],
        standing=names[1],
        beyond=met.first_contact,
        where=met.where,
        lever=_lever(motion, met.where),
        area=float(area.area),
        overlap=circle,
    )


def _largest_circle(area: BaseGeometry) -> float:
    """Diameter of the largest circle in an area [mm]; 0 in none."""
    parts = [p for p in shapely.get_parts(area) if isinstance(p, shapely.Polygon)]
    return max(
        (2.0 * float(shapely.maximum_inscribed_circle(p).length) for p in parts), default=0.0
    )


def _lever(motion: Motion, at: Point) -> float:
    off, along = np.subtract(at, motion.through), np.array(motion.along)
    return float(np.linalg.norm(off - (off @ along) * along))


def _facing(motion: Motion, met: Swing, moving: Body, still: Body) -> BaseGeometry:
    """What both parts cover, seen along the way the leaf moves at the touch.

    Only those solids count that would overlap once the leaf is pressed on by PRESS: others lie
    beside the stop, or behind it.
    """
    assert met.first_contact is not None  # noqa: S101 - the caller has seen to it
    assert met.where is not None  # noqa: S101
    sense = math.copysign(1.0, motion.opens)
    way = sense * np.cross(motion.along, np.subtract(met.where, motion.through))
    on = met.first_contact + PRESS / max(_lever(motion, met.where), PRESS)
    pressed = moved(moving, motion.pose(sense * on))
    pairs = [(m, s) for m in pressed.solids for s in still.solids if _overlap(m, s)]
    view = frame(met.where, square_to(way), np.cross(unit(way), square_to(way))).inverse()
    ahead = silhouette([m for m, _ in pairs], view, (-FAR, FAR), SILHOUETTE)
    behind = silhouette([s for _, s in pairs], view, (-FAR, DEPTH), SILHOUETTE)
    return ahead.intersection(behind)


def _overlap(a: Solid, b: Solid) -> bool:
    one, two = Body(name="a", solids=(a,)), Body(name="b", solids=(b,))
    return apart(one, two, within=0.01).high <= 0.0


def resting_force(torque: float, lever: float) -> float:
    """The force on a stop [N] that holds a torque about the axis [N mm] at a lever [mm].

    >>> resting_force(90_000.0, 45.0)
    2000.0
    """
    return torque / lever
