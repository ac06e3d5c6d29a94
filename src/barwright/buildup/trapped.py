"""What frees a piece that does not come out: a corner cut off what is in its way, tried again."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from barwright.buildup.cutout import cut_out, trim_of, without
from barwright.buildup.hulls import Hulls
from barwright.buildup.rays import entries
from barwright.buildup.results import Freed, Move, Way
from barwright.buildup.service import Scene, first_tries, parted
from barwright.buildup.ways import SLACK, blockers, directions
from barwright.geometry.convex import Bools
from barwright.geometry.vectors import Floats, point
from barwright.plates.outline import region
from barwright.plates.part import Part

MOST_TRIED = 10
"""Directions for which a trim is worked out, those that go farthest first."""
LARGEST = 0.35
"""A trim that takes more of a plate than this share is not offered."""


def freed(s: Scene, ways: tuple[Way, ...]) -> tuple[Freed, ...]:
    """For each trapped piece, the smallest trim found that lets it out; none where none does."""
    out = {n for w in ways if w.comes_out for n in w.names}
    found = [_free(s, w, out) for w in ways if not w.comes_out]
    return tuple(f for f in found if f is not None)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Caught:
    """A trapped piece and what is round it."""

    s: Scene
    way: Way
    mine: Hulls
    rest: Hulls
    skip: Bools | None


def _free(s: Scene, way: Way, gone: set[str]) -> Freed | None:
    mine, rest, skip = parted(s, way.names, gone - {*way.names})
    caught = _Caught(s=s, way=way, mine=mine, rest=rest, skip=skip)
    tries = directions(mine, rest, first_tries(s.all, way.names))
    first = entries(mine, rest, tries, slack=SLACK, skip=skip).first
    best = tries[np.argsort(-first, kind="stable")[:MOST_TRIED]]
    offers = [f for d in best if (f := _along(caught, d)) is not None]
    return min(offers, key=lambda f: f.trim.area, default=None)


def _along(c: _Caught, way: Floats) -> Freed | None:
    """The trim that frees one direction, where a single plate is in the way."""
    by = blockers(c.mine, c.rest, way, c.skip)
    if len(by) != 1:
        return None
    plate = c.s.all.all[by[0]].made
    if not isinstance(plate, Part):
        return None
    far = float(np.ptp(np.vstack([c.mine.low, c.mine.high]), axis=0).max()) + 400.0
    taken = cut_out(plate, c.mine, far * way)
    if taken is None or taken.area > LARGEST * region(plate.outline).area:
        return None
    left = without(plate, taken)
    if left is None:
        return None
    stay = c.rest.owner != by[0]
    skip = None if c.skip is None else c.skip[:, stay]
    hit = entries(c.mine, c.rest.take(stay), way[None], slack=SLACK, skip=skip)
    if hit.by[0] >= 0 or entries(c.mine, left, way[None], slack=SLACK).by[0] >= 0:
        return None
    move = Move(along=point(way), far=math.inf)
    return Freed(
        names=c.way.names,
        trim=trim_of(plate, taken, clears=True),
        way=replace(c.way, moves=(move,), free=(point(way),), blocked_by=()),
    )
