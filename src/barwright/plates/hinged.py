"""The frame a leaf's fittings are drawn in: the axis, the way it opens, the bar that hangs on it.

Everything is told from the side of opening: `axis` points so that the leaf opens by the right
hand about it. So x out along the leaf, y the way it opens, z the axis is a right-handed frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.pose import Pose, pose_of
from barwright.geometry.vectors import UP, Floats, unit
from barwright.plates.joint import Joint, nearest_on
from barwright.swing.motion import Motion
from barwright.tubes.bars import BuiltBar, End


@dataclass(frozen=True, kw_only=True, eq=False)
class Hung:
    """One end of a leaf.

    Attributes:
        motion: how the leaf moves.
        bar: the leaf's bar that ends here.
        end: that end of it.
        frame: local x outward (from the axis along the bar at the hinge; from the axis to the
            end at the latch), y the way it opens, z the axis; origin on the axis at the hinge,
            at the end's mark at the latch.
        sweep: how far it opens [rad], positive about local z.
    """

    motion: Motion
    bar: BuiltBar
    end: End
    frame: Pose
    sweep: float

    @property
    def upward(self) -> float:
        """+1 where local z points up on the vehicle, else -1."""
        return 1.0 if float(self.frame.directions((0.0, 0.0, 1.0)) @ np.array(UP)) >= 0.0 else -1.0

    def sides(self) -> tuple[tuple[float, str], ...]:
        """(sign along local z, its name): above and below on the vehicle."""
        return ((self.upward, "upper"), (-self.upward, "lower"))


def hung(joint: Joint, *, far: bool) -> Hung:
    """The leaf's end nearest its axis, or the one farthest from it.

    Raises:
        BadInput: the fitting is not on a leaf.
    """
    motion = joint.motion
    if motion is None:
        raise joint.bad("fitting", joint.written.get("fitting", ""), "a fitting that needs no leaf")
    axis = np.array(motion.along) * (1.0 if motion.opens >= 0.0 else -1.0)
    through = np.array(motion.through)
    ends = [(b, e) for b in (joint.bars.named(n) for n in motion.bars) for e in (b.start, b.finish)]
    pick = max if far else min
    bar, end = pick(ends, key=lambda be: _off(be[1], through, axis))
    foot = through + ((np.array(end.origin) - through) @ axis) * axis
    x = np.array(end.origin) - foot if far else np.array(end.along)
    return Hung(
        motion=motion,
        bar=bar,
        end=end,
        frame=frame_on(axis, x, end.origin if far else foot),
        sweep=abs(motion.opens),
    )


def frame_on(axis: Floats, x: Floats, origin: object) -> Pose:
    """A frame with z along an axis and x toward a direction made square to it."""
    z = unit(axis)
    flat = unit(np.asarray(x) - (np.asarray(x) @ z) * z)
    return pose_of(np.column_stack([flat, np.cross(z, flat), z]), np.asarray(origin, dtype=float))


def _off(end: End, through: Floats, axis: Floats) -> float:
    r = np.array(end.origin) - through
    return float(np.linalg.norm(r - (r @ axis) * axis))


def shifted(frame: Pose, z: float) -> Pose:
    """The frame moved along its own z [mm]."""
    return frame.after(pose_of(np.eye(3), (0.0, 0.0, z)))


def where_crossed(bar: BuiltBar, frame: Pose) -> tuple[float, float]:
    """Where a standing bar's centreline passes the frame's x-y plane [mm].

    By the straight line along the bar at its point nearest to the frame's origin; for a bar that
    runs nearly in the plane, that nearest point itself.
    """
    at, _, d = nearest_on(bar, frame.shift)
    p, q = frame.inverse().points(at), frame.inverse().directions(d)
    t = -p[2] / q[2] if abs(q[2]) > 0.2 else 0.0
    return float(p[0] + t * q[0]), float(p[1] + t * q[1])
