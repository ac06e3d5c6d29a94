"""Bodies put somewhere else: turned with a leaf, or shifted to see what would help."""

from __future__ import annotations

from barwright.geometry.path import Arc
from barwright.geometry.pose import Pose
from barwright.geometry.solids import Block, Body, Elbow, Rod, Solid
from barwright.geometry.vectors import Point, point


def moved(body: Body, pose: Pose) -> Body:
    """A body placed by a pose, which may mirror.

    >>> from barwright.geometry.pose import pose_of
    >>> import numpy as np
    >>> post = Body(name="post", solids=(Rod(start=(0, 0, 0), end=(0, 0, 9), radius=2.0),))
    >>> moved(post, pose_of(np.eye(3), (1, 2, 3))).solids[0].end
    (1.0, 2.0, 12.0)
    """
    return Body(name=body.name, solids=tuple(_placed(s, pose) for s in body.solids))


def _placed(solid: Solid, pose: Pose) -> Solid:
    def at(local: Point) -> Point:
        return point(pose.points(local))

    if isinstance(solid, Rod):
        return Rod(start=at(solid.start), end=at(solid.end), radius=solid.radius)
    if isinstance(solid, Block):
        return Block(corners=tuple(point(c) for c in pose.points(solid.corners)))
    arc = solid.arc
    turned = pose.directions(arc.axis) * (-1.0 if pose.mirrors else 1.0)
    bent = Arc(centre=at(arc.centre), start=at(arc.start), axis=point(turned), angle=arc.angle)
    return Elbow(arc=bent, radius=solid.radius)
