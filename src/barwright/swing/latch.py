"""How the striker comes into the latch: along an arc, while the latch's mouth is straight."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats, Point, angle_between, point, unit
from barwright.swing.motion import Motion

EDGE_ON = 1e-9
"""Less than this is nothing: an arm [mm], or what a direction has in a plane."""


@dataclass(frozen=True, kw_only=True)
class Mouth:
    """A latch's mouth, where the latch sits on the vehicle.

    Attributes:
        seat: where the striker's axis rests when latched [mm].
        inward: unit direction into the mouth, the way the latch is made to be entered.
        bar: unit direction of the striker's own axis that the latch is made for.
        depth: from the mouth's edge to the seat [mm].
        width: of the mouth across `inward`, for a striker of `striker` diameter [mm].
        striker: diameter it is made for [mm].
    """

    seat: Point
    inward: Point
    bar: Point
    depth: float
    width: float
    striker: float


@dataclass(frozen=True, kw_only=True)
class Approach:
    """How a striker comes home.

    Attributes:
        direction: unit direction in which it moves as it reaches its seat.
        off: angle between that and the mouth [rad].
        lean: angle between the striker and the one the latch is made for [rad].
        sideways: how far across the mouth the striker strays between the mouth's edge and the
            seat [mm].
        spare: what the mouth has left on the worse side then [mm]; below 0 it strikes the edge.
        sweep: angle of the leaf over which the striker is in the mouth [rad].
        reversed: whether the latch is meant to be entered from the other side: the mouth looks
            more away from the striker than toward it.
        axial: cosine of the angle between the hinge axis and the way across the mouth: what share
            of the leaf's play along its axis is felt there.
    """

    direction: Point
    off: float
    lean: float
    sideways: float
    spare: float
    sweep: float
    reversed: bool
    axial: float = 0.0


def approach(motion: Motion, mouth: Mouth, striker: Point) -> Approach:
    """How the striker moves as the leaf closes onto a latch.

    The striker is followed back along its arc to where it is `depth` outside the seat, measured
    along the mouth; what it strays across the mouth there is closed form, no sample.

    Args:
        motion: how the leaf moves; the seat is where the striker is when closed.
        mouth: the latch's.
        striker: unit direction of the striker's own axis when closed.

    Raises:
        ValueError: the seat lies on the hinge axis, so that nothing comes into it.
    """
    axis, arm = _about(motion, mouth.seat)
    sense = -math.copysign(1.0, motion.opens)
    heading = sense * np.cross(axis, arm)
    inward, across = unit(mouth.inward), unit(np.cross(mouth.bar, mouth.inward))
    off = angle_between(heading, inward)
    back = off > 0.5 * math.pi
    sweep = _sweep(arm, heading, -inward if back else inward, mouth.depth)
    away = _turned(arm, axis, -sense * sweep) - arm
    strays = abs(float(away @ across))
    return Approach(
        direction=point(unit(heading)),
        off=math.pi - off if back else off,
        lean=_between_lines(striker, mouth.bar),
        sideways=strays,
        spare=0.5 * (mouth.width - mouth.striker) - strays,
        sweep=sweep,
        reversed=back,
        axial=abs(float(across @ axis)),
    )


def _about(motion: Motion, seat: Point) -> tuple[Floats, Floats]:
    """The axis, and the arm square to it that leads to the seat."""
    axis = unit(motion.along)
    off = np.subtract(seat, motion.through)
    arm = off - (off @ axis) * axis
    if np.linalg.norm(arm) < EDGE_ON:
        raise ValueError("a striker on the hinge axis comes from nowhere")
    return axis, np.asarray(arm)


def _sweep(out: Floats, heading: Floats, inward: Floats, depth: float) -> float:
    """The turn [rad] that takes the striker from the mouth's edge to its seat.

    A turn t before the seat the striker stands r (1 - cos t) out + r sin t heading short of it.
    Along the mouth that is r (a + F sin(t - f)), with a the mouth's part along the arm, F what
    the mouth has in the plane of the swing, and f its angle to the heading there. It is the
    depth at t = f + asin(depth / (r F) - sin f). A mouth too deep for the arc: where it is
    deepest.
    """
    r = float(np.linalg.norm(out))
    ahead, aside = float(inward @ unit(heading)), float(inward @ out) / r
    flat = math.hypot(ahead, aside)
    if flat < EDGE_ON:
        return 0.0
    want = depth / (r * flat) - aside / flat
    return math.atan2(aside, ahead) + math.asin(max(-1.0, min(want, 1.0)))


def _turned(arm: Floats, axis: Floats, angle: float) -> Floats:
    return np.asarray(math.cos(angle) * arm + math.sin(angle) * np.cross(axis, arm))


def _between_lines(a: Point, b: Point) -> float:
    angle = angle_between(a, b)
    return min(angle, math.pi - angle)


@dataclass(frozen=True, kw_only=True)
class Adjustment:
    """What a slotted hole lets the striker be moved by.

    Attributes:
        range: either way from the middle [mm].
        needed: what the striker may stand off by [mm].
        left: range less needed [mm]; below 0 the slot is too short.
    """

    range: float
    needed: float
    left: float


def adjustment(slot: float, bolt: float, doubts: tuple[float, ...]) -> Adjustment:
    """Whether a slotted hole takes up what may be off at the striker.

    Args:
        slot: overall length of the slot [mm].
        bolt: diameter of the bolt in it [mm].
        doubts: what may be off along the slot, each either way [mm]: play, weld shrinkage, two
            standard deviations of a mark. They are added, since one part is made once.

    Raises:
        ValueError: the bolt does not go into the slot.

    >>> adjustment(30.0, 10.0, (3.0, 1.5)).left
    5.5
    """
    if slot < bolt:
        raise ValueError("a slot is at least as long as its bolt is thick")
    reach, needed = 0.5 * (slot - bolt), math.fsum(abs(d) for d in doubts)
    return Adjustment(range=reach, needed=needed, left=reach - needed)
