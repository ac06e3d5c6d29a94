"""Findings about what goes with a swing: its stop, its latch, the way out, the release cable."""

from __future__ import annotations

import math

from barwright.findings import Finding, Level
from barwright.swing.cable import Cable
from barwright.swing.latch import Adjustment, Approach
from barwright.swing.opening import CAUTION, SOURCE, Opening
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


def opening_finding(name: str, opening: Opening, *, circle: float, rule: str) -> Finding:
    """How much way out there is.

    Args:
        name: of the opening.
        opening: what is free.
        circle: diameter that the rules ask for [mm].
        rule: which rules.
    """
    short = circle - opening.circle
    return Finding(
        code="swing.opening",
        level=Level.LOOK if short <= 0.0 else Level.MUST,
        subject=name,
        says=(
            f"{opening.area / 100.0:.0f} cm² are free; a circle of {opening.circle:.0f} mm passes; "
            f"lying flat, shoulders up to {opening.breadth:.0f} mm: {opening.men:.0%} of men and "
            f"{opening.women:.0%} of women ({SOURCE}; {CAUTION})."
        ),
        measured=opening.circle,
        allowed=circle,
        unit="mm",
        source=rule,
        remedy=f"widen it by {short:.0f} mm" if short > 0.0 else "try it in full kit, and time it",
    )


def cable_finding(name: str, cable: Cable, *, run: float, bend: float) -> Finding:
    """Whether a release cable reaches, and bends no more sharply than it may.

    Args:
        name: of the cable.
        cable: what its free run needs.
        run: length of the free run as built [mm].
        bend: least bend radius its maker allows [mm].
    """
    lacks, sharp = cable.longest - run, bend - cable.bend
    remedies = [
        f"give the run {lacks:.0f} mm more" if lacks > 0.0 else "",
        f"move the clamps so that it bends {sharp:.0f} mm wider" if sharp > 0.0 else "",
    ]
    remedy = "; ".join(r for r in remedies if r)
    return Finding(
        code="swing.cable",
        level=Level.MUST if lacks > 0.0 else Level.LOOK if remedy else Level.GOOD,
        subject=name,
        says=(
            f"The free run needs {cable.shortest:.0f} to {cable.longest:.0f} mm and bends to "
            f"about {cable.bend:.0f} mm radius at {math.degrees(cable.bend_at):.0f}°."
        ),
        measured=cable.longest,
        allowed=run,
        unit="mm",
        source=GEOMETRY,
        remedy=remedy,
    )
