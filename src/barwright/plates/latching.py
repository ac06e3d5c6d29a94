"""How striker, stop and latch meet when the leaf closes: what the swing floor makes of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.findings import Finding
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats, point
from barwright.plates.hinge_box import HingeStack
from barwright.plates.hinged import Hung
from barwright.plates.striker import Striker
from barwright.swing.judge import latch_finding, stop_finding
from barwright.swing.latch import Mouth, adjustment, approach
from barwright.swing.motion import Motion
from barwright.swing.play import NO_PLAY, Bearing, Play, play
from barwright.swing.stop import stop

RUNNING = 0.10
"""Diametral running clearance of the pin that play is reckoned with [mm]; no source."""
BEYOND = math.radians(5.0)
"""How far beyond closed a stop is looked for [rad]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Closing:
    """What closes on what.

    Attributes:
        h: the leaf's end.
        s: where the striker stands.
        depth: from the mouth's edge to the striker's seat [mm].
        width: of the mouth across the striker's way [mm].
        doubt: one standard deviation [mm] of the leaf's end along the striker's slot.
        bearing: of the leaf on its pin; None where it has no hinge fitting.
        movers, standing: what may stop the leaf, as it stands when closed.
    """

    h: Hung
    s: Striker
    depth: float
    width: float
    doubt: float
    bearing: Bearing | None
    movers: tuple[Body, ...]
    standing: tuple[Body, ...]


def closing_findings(c: Closing) -> tuple[Finding, ...]:
    """Whether a stop holds the leaf, and whether its striker comes home into the latch."""
    motion, seat = c.h.motion, point(c.h.frame.points((c.s.reach, 0.0, 0.0)))
    felt = NO_PLAY if c.bearing is None else play(motion, c.bearing, seat)
    return (_stop(c, motion, felt), _latch(c, motion, felt))


def _stop(c: Closing, motion: Motion, felt: Play) -> Finding:
    held = stop(motion, c.movers, c.standing, reach=BEYOND, play=felt)
    return stop_finding(motion.leaf, held)


def _latch(c: Closing, motion: Motion, felt: Play) -> Finding:
    """The mouth lies along the way the striker comes to its seat, its bar along the axis."""
    frame, s = c.h.frame, c.s
    mouth = Mouth(
        seat=point(frame.points((s.reach, 0.0, 0.0))),
        inward=point(frame.directions((0.0, -1.0, 0.0))),
        bar=motion.along,
        depth=c.depth,
        width=c.width,
        striker=s.bolt,
    )
    slot = adjustment(s.bolt + s.adjust, s.bolt, (2.0 * c.doubt,))
    return latch_finding(motion.leaf, approach(motion, mouth, motion.along), felt, slot)


def bearing_of(stack: HingeStack | None, hinge: Hung) -> Bearing | None:
    """How the leaf is borne: its bushing on the sleeves, centred where the bar meets the axis."""
    if stack is None:
        return None
    off = np.subtract(hinge.frame.shift, hinge.motion.through)
    return Bearing(
        clearance=RUNNING,
        length=stack.bushing,
        end_float=max(stack.gap - stack.bushing, 0.0),
        middle=float(off @ np.array(hinge.motion.along)),
    )


def doubt_along(covariance: Floats, way: Floats) -> float:
    """One standard deviation [mm] along a unit direction, from a (3, 3) covariance [mm²]."""
    return math.sqrt(max(float(way @ covariance @ way), 0.0))
