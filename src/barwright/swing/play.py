"""How much play at the pin is felt at the leaf's free end, where the latch is.

The pin stands in its bushing with clearance c (difference of diameters) over a bearing length L.
Both ends of the pin stay within c/2 of the bushing's axis, so the axes lie at most c/2 apart
within the bearing and c |z| / L at a height z beyond it (the pin then touches at both ends,
crosswise), and are never more than c/L out of line (small angles). Plane geometry, closed form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Point
from barwright.swing.motion import Motion


@dataclass(frozen=True, kw_only=True)
class Bearing:
    """How a leaf is borne at its pin.

    Attributes:
        clearance: hole's diameter less pin's, worn or new [mm].
        length: over which the pin is borne [mm].
        end_float: how far the leaf can slide along the pin in all [mm].
        middle: how far the middle of the bearing lies along the axis from the motion's `through`
            [mm].
    """

    clearance: float
    length: float
    end_float: float = 0.0
    middle: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Play:
    """How far a point of the leaf can be moved by hand from its middle place, either way [mm].

    Attributes:
        across: square to the axis, out from or in to the axis.
        along: along the axis: the droop at the free end.
        tilt: how far the leaf leans [rad].
    """

    across: float
    along: float
    tilt: float


NO_PLAY = Play(across=0.0, along=0.0, tilt=0.0)
"""Of a leaf on a pin without play, or of which nothing is known."""


def play(motion: Motion, bearing: Bearing, point: Point) -> Play:
    """The play of a point of the leaf, each way by itself at its worst.

    Args:
        motion: gives the axis.
        bearing: at the pin.
        point: of the leaf, e.g. the striker, closed or at any angle [mm].

    Raises:
        ValueError: a bearing without length, or a clearance or end float below nothing.

    >>> motion = Motion(leaf="side", bars=(), through=(0, 0, 0), along=(0, 0, 1), opens=1.7)
    >>> play(motion, Bearing(clearance=0.1, length=50.0), (900.0, 0.0, 0.0)).along
    1.8
    """
    if bearing.length <= 0.0 or min(bearing.clearance, bearing.end_float) < 0.0:
        raise ValueError("a bearing has length, and no less than no clearance and end float")
    arm, height = _arm(motion, bearing, point)
    tilt = bearing.clearance / bearing.length
    across = max(0.5 * bearing.clearance, tilt * abs(height))
    return Play(across=across, along=tilt * arm + 0.5 * bearing.end_float, tilt=tilt)


def carried(motion: Motion, bearing: Bearing, point: Point) -> float:
    """The farthest a point can stray from its middle place in any direction at once [mm].

    Shift and tilt share one clearance: with the axes s apart at mid-bearing and out of line by
    t, s + t L/2 <= c/2 at the worst. The stray sqrt((s + t |z|)² + (t arm + e/2)²) is convex in
    (s, t), so its greatest value is at a corner: all shift, or all tilt.
    """
    arm, height = _arm(motion, bearing, point)
    tilt, half = bearing.clearance / bearing.length, 0.5 * bearing.end_float
    shifted = math.hypot(0.5 * bearing.clearance, half)
    tilted = math.hypot(tilt * abs(height), tilt * arm + half)
    return max(shifted, tilted)


def _arm(motion: Motion, bearing: Bearing, point: Point) -> tuple[float, float]:
    """A point's distance from the axis, and its height above the middle of the bearing [mm]."""
    along, off = np.array(motion.along), np.subtract(point, motion.through)
    height = float(off @ along)
    return float(np.linalg.norm(off - height * along)), height - bearing.middle
