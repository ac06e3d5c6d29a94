"""What frees a piece that does not come out: a corner cut off what is in its way, tried again."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from barwright.buildup.cutout import cut_out, trim_of, without
from barwright.buildup.hulls import Hulls
from barwright.buildup.rays import entries
from barwright.buildup.results import Freed, Move, Way
from barwright.buildup.seen import met_by
from barwright.buildup.service import CLOSED, Scene, first_tries, parted
from barwright.buildup.ways import SLACK, directions
from barwright.geometry.convex import Bools
from barwright.geometry.vectors import Floats, point
from barwright.plates.outline import region
from barwright.plates.part import Part

MOST_TRIED = 10
"""Directions for which a trim is worked out, of those with a single part in the way."""
LARGEST = 0.35
"""A trim that takes more of a plate than this share is not offered."""


def freed(s: Scene, ways: tuple[Way, ...]) -> tuple[Freed, ...]:
    """For each trapped piece, the smallest trim found that lets it out; none where none does."""
    found = [_free(s, w) for w in ways if not w.comes_out and not w.waits]
    return tuple(f for f in found if f is not None)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Caught:
    """A trapped piece and what is round it."""

    s: Scene
    way: Way
    mine: Hulls
    rest: Hulls
    skip: Bools | None


def _free(s: Scene, way: Way) -> Freed | None:
    among = {s.all.index[n] for n in way.among}
    gone = {t.name for k, t in enumerate(s.all.all) if k not in among}
    mine, rest, skip = parted(s, way.names, gone - {*way.names})
    caught = _Caught(s=s, way=way, mine=mine, rest=rest, skip=skip)
    tries = directions(mine, rest, first_tries(s.all, way.names))
    (met,) = met_by(s, [way.names], [tries], CLOSED, [frozenset(among)])
    single = [(d, *m) for d, m in zip(tries, met, strict=True) if len(m) == 1][:MOST_TRIED]
    offers = [f for d, by in single if (f := _along(caught, d, by)) is not None]
    return min(offers, key=lambda f: f.trim.area, default=None)


def _along(c: _Caught, way: Floats, by: int) -> Freed | None:
    """The trim that frees one direction, where a single plate is in the way."""
    plate = c.s.all.all[by].made
    if not isinstance(plate, Part):
        return None
    far = float(np.ptp(np.vstack([c.mine.low, c.mine.high]), axis=0).max()) + 400.0
    taken = cut_out(plate, c.mine, far * way)
    if taken is None or taken.area > LARGEST * region(plate.outline).area:
        return None
    left = without(plate, taken)
    if left is None:
        return None
    stay = c.rest.owner != by
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
