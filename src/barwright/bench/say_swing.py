"""Operation 3 for the page: how each leaf moves, what it meets, and its gap at every angle."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np

from barwright.geometry.solids import Body
from barwright.plates.part import Parts
from barwright.plates.solids import body_of as body_of_part
from barwright.route import Build
from barwright.swing.curve import Curve, curve
from barwright.swing.motion import Motion, Swing
from barwright.tubes.bars import Bars
from barwright.tubes.bodies import body_of as body_of_bar


def swings(build: Build) -> dict[str, Any]:
    """Every leaf: how it moves and what it meets."""
    found = {s.leaf: s for s in build.swings}
    return {"leaves": [_leaf(m, found.get(m.leaf)) for m in build.motions]}


def clearance(build: Build, motion: Motion) -> dict[str, Any]:
    """The clearance of one leaf over its swing, a twin by what stands on its own side."""
    return _curve(_drawn(motion, build.bars, build.motions, build.parts))


def _curve(drawn: Curve) -> dict[str, Any]:
    return {
        "angle": np.degrees(drawn.angles),
        "gap": drawn.gaps,
        "pairs": drawn.pairs,
    }


@lru_cache(64)
def _drawn(motion: Motion, bars: Bars, motions: tuple[Motion, ...], parts: Parts) -> Curve:
    riders = {name: m.leaf for m in motions for name in m.bars}
    bodies = [(body_of_bar(b), riders.get(b.name, "")) for b in bars.bars if b.centreline.pieces]
    bodies += [(body_of_part(p), p.rides) for p in parts.parts]
    bodies += [(h.body, h.rides) for h in parts.hardware]
    return curve(
        motion,
        _only(bodies, motion.leaf, mine=True),
        _only(bodies, motion.leaf, mine=False),
        allowed=parts.intended,
    )


def _only(bodies: list[tuple[Body, str]], leaf: str, *, mine: bool) -> tuple[Body, ...]:
    return tuple(body for body, rides in bodies if (rides == leaf) is mine)


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
