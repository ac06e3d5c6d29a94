"""The trim that resolves a clash: what comes off, in numbers, tried before it is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barwright.buildup.clash import TOUCH, overlap, placed
from barwright.buildup.cutout import cut_out, trim_of, without
from barwright.buildup.hulls import Hulls
from barwright.buildup.results import Clash, Trim
from barwright.buildup.things import Thing, Things
from barwright.geometry.convex import Bools
from barwright.plates.outline import area
from barwright.plates.part import Part

LARGEST = 0.35
"""A trim that takes more of a plate than this share is not offered."""
AROUND = 10.0
"""The trimmed plate is tried again this far round what comes off [mm]; the rest stood clear."""


def with_trims(all_: Things, clashes: tuple[Clash, ...]) -> tuple[Clash, ...]:
    """The clashes, each with the trim that resolves it, where one of the two is a plate."""
    return tuple(replace(c, trim=trim(all_, c)) for c in clashes)


def trim(all_: Things, clash: Clash) -> Trim | None:
    """What to take off the plate of the two; of two plates, off the one that loses less."""
    one, other = all_.named(clash.first), all_.named(clash.second)
    offers = [t for a, b in ((one, other), (other, one)) if (t := _off(all_, a, b, clash))]
    return min(offers, key=lambda t: (not t.clears, t.area), default=None)


def _off(all_: Things, plate: Thing, other: Thing, clash: Clash) -> Trim | None:
    """What comes off a plate for another part, where both stand when they clash."""
    if not isinstance(plate.made, Part):
        return None
    stands = all_.fine.of(all_.index[other.name])
    motion = next((m for m in all_.motions if m.leaf == clash.state), None)
    if motion is not None:
        pose = motion.pose(motion.opens)
        moved = other.rides == motion.leaf
        stands = placed(stands, pose if moved else pose.inverse())
    clear = 0.0 if clash.welded else 1.0
    near = _near(all_, plate, stands)
    taken = cut_out(plate.made, stands.take(near), np.zeros(3), clear)
    if taken is None or taken.area > LARGEST * area(plate.made.outline):
        return None
    left = without(plate.made, taken, around=AROUND)
    clears = left is not None and overlap(left, stands, TOUCH) is None
    return trim_of(plate.made, taken, clears=clears)


def _near(all_: Things, plate: Thing, stands: Hulls) -> Bools:
    """Which of another part's hulls come near the plate."""
    own = all_.fine.of(all_.index[plate.name])
    low, high = own.low.min(axis=0) - 2.0, own.high.max(axis=0) + 2.0
    near: Bools = ((stands.low < high) & (stands.high > low)).all(axis=1)
    return near
