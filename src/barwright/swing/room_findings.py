"""Findings about the way out past an open leaf, and its release cable."""

from __future__ import annotations

import math

from barwright.findings import Finding, Level
from barwright.swing.cable import Cable
from barwright.swing.opening import CAUTION, HELMET, OUT_IN, SOURCE, Opening

GEOMETRY = "plane geometry; the cable's bend by Hermite's cubic"

SLACK = 1.1
"""A free run of cable is cut this much longer than the clamps ever stand apart."""

IN_KIT = f"Try it in full kit, and time it: {OUT_IN:.0f} s to be out is what one rule book gives"

TURN = "Turn the real cable by hand through the whole swing, and see that it releases at both ends."


def opening_finding(
    leaf: str, opening: Opening, *, circle: float | None = None, rule: str = ""
) -> Finding:
    """How much way out there is.

    Args:
        leaf: its name.
        opening: what is free.
        circle: diameter that the rules ask for [mm], if they do.
        rule: which rules.
    """
    short = 0.0 if circle is None else circle - opening.circle
    shut = opening.area <= 0.0 or opening.breadth <= opening.clothing
    head = "" if opening.circle >= HELMET else f" No helmet of {HELMET:.0f} mm passes."
    return Finding(
        code="swing.opening",
        level=Level.MUST if shut or short > 0.0 else Level.LOOK,
        subject=f"leaf.{leaf}",
        says=(
            f"With the leaf open {opening.area / 100.0:.0f} cm² are free; a circle of "
            f"{opening.circle:.0f} mm passes. Lying flat, {opening.depth:.0f} mm deep and clothed, "
            f"shoulders up to {max(opening.breadth - opening.clothing, 0.0):.0f} mm pass: "
            f"{_share(opening.men)} of men, {_share(opening.women)} of women ({CAUTION}).{head}"
        ),
        measured=opening.circle,
        allowed=circle,
        unit="mm",
        source=f"{rule or 'asked in job.toml'}; {SOURCE}" if circle else SOURCE,
        remedy=f"widen it by {short:.0f} mm" if short > 0.0 else IN_KIT,
    )


def _share(share: float) -> str:
    """A share of people; never all, never none."""
    return "over 99 %" if share > 0.99 else "under 1 %" if share < 0.01 else f"{100 * share:.0f} %"


def cable_finding(leaf: str, cable: Cable, *, bend: float, run: float | None = None) -> Finding:
    """Whether a release cable reaches, and bends no more sharply than it may.

    Args:
        leaf: its name.
        cable: what its free run needs.
        bend: least bend radius its maker allows [mm].
        run: length of the free run as built [mm]; by default what it needs with some slack.
    """
    needs = SLACK * cable.longest
    lacks, sharp = 0.0 if run is None else cable.longest - run, bend - cable.bend
    remedies = [
        f"give the run {lacks:.0f} mm more" if lacks > 0.0 else "",
        f"move or turn the clamps so that it bends {sharp:.0f} mm wider" if sharp > 0.0 else "",
    ]
    remedy = "; ".join(r for r in remedies if r)
    cut = f" Cut the free run {needs:.0f} mm long." if run is None else ""
    turns = f"bends to about {cable.bend:.0f} mm radius at {math.degrees(cable.bend_at):.0f}°"
    return Finding(
        code="swing.cable",
        level=Level.MUST if lacks > 0.0 else Level.LOOK if remedy else Level.GOOD,
        subject=f"leaf.{leaf}",
        says=(
            f"The cable's clamps are {cable.closed:.0f} mm apart when closed, "
            f"{cable.opened:.0f} mm when open, {cable.longest:.0f} mm at most; it "
            f"{turns if math.isfinite(cable.bend) else 'runs straight'}, and may to "
            f"{bend:.0f} mm.{cut} {TURN}"
        ),
        measured=cable.longest if run is not None else cable.bend,
        allowed=run if run is not None else bend,
        unit="mm",
        source=GEOMETRY,
        remedy=remedy,
    )
