"""How striker, stop and latch carrier meet when the leaf closes: what is found about them.

Everything in the frame at the leaf's end: u outward from the axis, v the way it opens, w the axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from barwright.findings import Finding, Level
from barwright.geometry.vectors import Floats
from barwright.plates.hinge_box import HingeStack

PRACTICE = "common practice, no source"
RUNNING = 0.10
"""Diametral running clearance of the pin that droop is reckoned with [mm]; no source."""
ASKEW = 5.0
"""How far off its line a striker may enter a latch [deg]; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Closing:
    """What the findings are worked out from.

    Attributes:
        subject: the carrier's plate.
        leaf: the leaf's name.
        arm: from the axis to the striker [mm].
        front: v of the carrier's front edge [mm].
        bolt: diameter of the striker [mm].
        adjust: how far it can be moved along v in all [mm].
        bears: length of stop flange on the carrier's edge [mm].
        thickness: of the carrier [mm].
        stop_gap: to the stop when closed [mm].
        beyond: how far the stop flange reaches past the carrier's far face [mm].
        above: how far it reaches past the near face [mm].
        doubt: one standard deviation [mm] of the leaf's end along v.
        stack: the hinge's hardware; None where the leaf has no hinge fitting.
    """

    subject: str
    leaf: str
    arm: float
    front: float
    bolt: float
    adjust: float
    bears: float
    thickness: float
    stop_gap: float
    beyond: float
    above: float
    doubt: float
    stack: HingeStack | None


def findings(c: Closing) -> tuple[Finding, ...]:
    """Stop, overlap, approach, and room to adjust."""
    return (_bearing(c), _overlap(c), _approach(c), _adjustment(c))


def droop(stack: HingeStack | None, arm: float) -> float:
    """How far the leaf's end can shift along the axis [mm]: end float, and the pin's tilt.

    A pin with diametral play p in a bushing L long tilts by p/L: p arm / L at the end.

    >>> droop(None, 800.0)
    0.0
    """
    if stack is None:
        return 0.0
    return (stack.gap - stack.bushing) + RUNNING / stack.bushing * arm


def _bearing(c: Closing) -> Finding:
    area = c.bears * c.thickness
    enough = c.bears >= 2.0 * c.thickness
    return Finding(
        code="plates.stop",
        level=Level.GOOD if enough else Level.MUST,
        subject=c.subject,
        says=f"The striker's flange stops on {c.bears:.1f} mm of the carrier's front edge, "
        f"{area:.0f} mm² of bearing, {c.stop_gap:.2f} mm past closed.",
        measured=area,
        allowed=2.0 * c.thickness**2,
        unit="mm²",
        source=PRACTICE,
        remedy=""
        if enough
        else f"Give the striker {2.0 * c.thickness - c.bears:.1f} mm more reach.",
    )


def _overlap(c: Closing) -> Finding:
    """The flange must not slip past the carrier when the leaf droops or is pushed along its pin."""
    least, slack = min(c.beyond, c.above), droop(c.stack, c.arm)
    held = least >= slack + 1.0
    return Finding(
        code="plates.stop-overlap",
        level=Level.GOOD if held else Level.MUST,
        subject=c.subject,
        says=f"The stop flange reaches {least:.1f} mm past the carrier; the hinge's play lets the "
        f"end shift {slack:.1f} mm along the axis.",
        measured=least,
        allowed=slack + 1.0,
        unit="mm",
        source=PRACTICE,
        remedy="" if held else _longer(c, slack + 1.0),
    )


def _longer(c: Closing, need: float) -> str:
    """Which of the flange's two ends is short: its edge, or its flat next to the bend."""
    if c.beyond <= c.above:
        return f"Make the striker's flange {need - c.beyond:.1f} mm longer."
    return f"Make latch_gap {need - c.above:.1f} mm larger, or fold the flange to a smaller radius."


def _approach(c: Closing) -> Finding:
    """The striker comes in on an arc: how far off the mouth's line where it enters."""
    off = math.degrees(math.asin(min(c.front / c.arm, 1.0)))
    aside = c.arm - math.sqrt(max(c.arm**2 - c.front**2, 0.0))
    straight = off <= ASKEW
    return Finding(
        code="plates.latch-approach",
        level=Level.GOOD if straight else Level.LOOK,
        subject=c.subject,
        says=f"The striker enters {c.front:.1f} mm deep, {off:.1f}° and {aside:.2f} mm off the "
        "mouth's line, and stands in it when closed.",
        measured=off,
        allowed=ASKEW,
        unit="deg",
        source=PRACTICE,
        remedy="" if straight else "Set the latch at a slant, or take one with a wider mouth.",
    )


def _adjustment(c: Closing) -> Finding:
    """The slot must take up what the survey does not know."""
    half, doubt = c.adjust / 2.0, 2.0 * c.doubt
    enough = half >= doubt
    return Finding(
        code="plates.striker-adjust",
        level=Level.GOOD if enough else Level.LOOK,
        subject=f"leaf.{c.leaf}.striker",
        says=f"The striker can be moved {half:.1f} mm either way; the leaf's end is known to "
        f"{doubt:.1f} mm (2 sd) that way.",
        measured=half,
        allowed=doubt,
        unit="mm",
        source=PRACTICE,
        remedy="" if enough else f"Set adjust to {2.0 * doubt:.1f} mm, or measure the end again.",
    )


def doubt_along(covariance: Floats, way: Floats) -> float:
    """One standard deviation [mm] along a unit direction, from a (3, 3) covariance [mm²]."""
    return math.sqrt(max(float(way @ covariance @ way), 0.0))
