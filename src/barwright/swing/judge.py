"""Findings about what ends a swing: its stop and its latch."""

from __future__ import annotations

import math

from barwright.findings import Finding, Level
from barwright.swing.latch import Adjustment, Approach
from barwright.swing.play import Play
from barwright.swing.stop import Stop

PRACTICE = "common practice, no source"
GEOMETRY = "plane geometry, closed form"

HOLD = "A latch and its stop hold people in: have them judged by a licensed engineer."

LEAST_OVERLAP = 1.0
"""What a stop is to cover when all play is taken up the wrong way [mm]."""

MOST_OFF = math.radians(15.0)
"""A striker is to come in line with the mouth to within this [rad]."""


def stop_finding(leaf: str, stop: Stop | None) -> Finding:
    """Whether the leaf has a stop that it cannot slip past.

    Args:
        leaf: its name.
        stop: what stops it, with the leaf's play taken up; or None.
    """
    subject, code = f"leaf.{leaf}", "swing.stop"
    if stop is None:
        return Finding(
            code=code,
            level=Level.MUST,
            subject=subject,
            says="Nothing stops the leaf beyond closed: the latch alone would.",
            source=PRACTICE,
            remedy="add a stop flange that covers the leaf by 10 mm or more",
        )
    left = stop.overlap
    good = left >= LEAST_OVERLAP
    return Finding(
        code=code,
        level=Level.GOOD if good else Level.MUST,
        subject=subject,
        says=(
            f"{stop.standing} stops {stop.moving} {math.degrees(stop.beyond):.2f}° beyond closed, "
            f"{stop.lever:.0f} mm from the axis, on up to {stop.area:.0f} mm²; with the hinge's "
            f"play taken up it still covers {max(left, 0.0):.1f} mm. {HOLD}"
        ),
        measured=left,
        allowed=LEAST_OVERLAP,
        unit="mm",
        source=PRACTICE,
        remedy="" if good else f"let {stop.standing} cover {LEAST_OVERLAP - left:.1f} mm more",
    )


def latch_finding(leaf: str, approach: Approach, play: Play, slot: Adjustment) -> Finding:
    """Whether the striker comes home into its latch.

    Args:
        leaf: its name.
        approach: of the striker to the mouth.
        play: of the leaf at the striker.
        slot: what the striker's slotted hole allows.
    """
    felt = play.across * math.sqrt(1.0 - approach.axial**2) + play.along * approach.axial
    spare = approach.spare - felt
    remedies = [
        f"turn the latch by {math.degrees(approach.off):.1f}°" if approach.off > MOST_OFF else "",
        f"take a mouth {-2.0 * spare:.1f} mm wider or less play" if spare < 0.0 else "",
        f"lengthen the slot by {-2.0 * slot.left:.1f} mm" if slot.left < 0.0 else "",
    ]
    remedy = "; ".join(r for r in remedies if r)
    turned = " It is entered from its back: mount it reversed." if approach.reversed else ""
    return Finding(
        code="swing.latch",
        level=Level.MUST if spare < 0.0 else Level.LOOK if remedy or turned else Level.GOOD,
        subject=f"leaf.{leaf}",
        says=(
            f"The striker comes in {math.degrees(approach.off):.1f}° off the mouth and strays "
            f"{approach.sideways:.2f} mm in it; the hinge's play is {play.along:.2f} mm along "
            f"and {play.across:.2f} mm across; the slot has {slot.left:.1f} mm to spare."
            f"{turned} {HOLD}"
        ),
        measured=spare,
        allowed=0.0,
        unit="mm",
        source=GEOMETRY,
        remedy=remedy,
    )
