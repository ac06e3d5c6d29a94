"""Operation 3 for the page: how each leaf moves, what it meets, and its gap at every angle."""

from __future__ import annotations

import math
from typing import Any

from barwright.route import Build
from barwright.swing.motion import Motion, Swing


def swings(build: Build) -> dict[str, Any]:
    """Every leaf with its clearance."""
    found = {s.leaf: s for s in build.swings}
    return {"leaves": [_leaf(m, found.get(m.leaf)) for m in build.motions]}


def _leaf(motion: Motion, swing: Swing | None) -> dict[str, Any]:
    return {
        "leaf": motion.leaf,
        "bars": motion.bars,
        "through": motion.through,
        "along": motion.along,
        "opens": math.degrees(motion.opens),
        "twin_of": motion.twin_of,
        **({} if swing is None else _met(swing)),
    }


def _met(swing: Swing) -> dict[str, Any]:
    touch = swing.first_contact
    return {
        "contact": None if touch is None else math.degrees(touch),
        "touches": swing.touches,
        "where": swing.where,
        "least": swing.least_clearance,
        "at": math.degrees(swing.at),
        "pair": swing.least_pair,
    }
