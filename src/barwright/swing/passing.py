"""What a leaf passes under way, apart from what it lies against when closed."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from barwright.geometry.solids import Body
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion, Swing
from barwright.swing.place import moved

Pairs = frozenset[tuple[str, str]]

WANTED = 1.5
"""A leaf is to clear all it is not meant to touch by this [mm], when nothing else is said."""

AT_REST = math.radians(0.01)
"""A least clearance this near closed is how the leaf lies at rest [rad]."""

PAST_REST = math.radians(6.0)
"""From here on the leaf is to have left its stop [rad]."""


@dataclass(frozen=True, kw_only=True)
class Around:
    """A leaf's bodies and what stands round it.

    Attributes:
        movers: all that swings with it, as it stands when closed.
        standing: all that stands still.
        allowed: (moving, standing) bodies that are meant to touch.
        rests: (moving, standing) bodies that lie close on purpose when closed.
    """

    movers: tuple[Body, ...]
    standing: tuple[Body, ...]
    allowed: Pairs = frozenset()
    rests: Pairs = frozenset()

    def but(self, pairs: Pairs) -> Around:
        """The same, some pairs left out."""
        return replace(self, allowed=self.allowed | pairs, rests=self.rests - pairs)

    def only(self, pairs: Pairs) -> Around:
        """Nothing but some pairs."""
        movers = tuple(b for b in self.movers if b.name in {m for m, _ in pairs})
        standing = tuple(b for b in self.standing if b.name in {s for _, s in pairs})
        every = {(m.name, s.name) for m in movers for s in standing}
        return Around(movers=movers, standing=standing, allowed=frozenset(every - pairs))


def passing(motion: Motion, around: Around, *, wanted: float = WANTED) -> Swing:
    """What a leaf meets, and what it meets apart from what it lies against when closed.

    Pairs that rest on one another, and pairs that are nearest when closed and nearer than wanted
    (stops, the sides of a hinge's mouth), count under way from PAST_REST on; all others over the
    whole swing. A pair that touches counts at once, whatever it is.

    Args:
        motion: how the leaf moves.
        around: its bodies.
        wanted: clearance wanted [mm].

    Returns:
        The swing as `swing` has it, with `lying` and `under_way` filled in.
    """
    resting = around.only(around.rests - around.allowed)
    free, free_way = _both(motion, around.but(around.rests), wanted)
    close, close_way = _both(motion, resting, wanted)
    return replace(
        _worse(free, close),
        lying=(*free_way.lying, *close_way.lying),
        under_way=replace(_worse(free_way, close_way), lying=()),
    )


def _both(motion: Motion, around: Around, wanted: float) -> tuple[Swing, Swing]:
    """The swing, and the same apart from what lies near when closed."""
    whole = met = _met(motion, around)
    lying = dict[tuple[str, str], float]()
    while met.least_pair is not None and _at_rest(met) and met.least_clearance < wanted:
        lying[met.least_pair] = met.least_clearance
        met = _met(motion, around.but(frozenset(lying)))
    if lying:
        met = _worse(met, _past_rest(motion, around.only(frozenset(lying))))
    return whole, replace(met, lying=tuple((m, s, gap) for (m, s), gap in lying.items()))


def _met(motion: Motion, around: Around) -> Swing:
    return swing(motion, around.movers, around.standing, allowed=around.allowed)


def _at_rest(met: Swing) -> bool:
    return met.first_contact is None and met.at < AT_REST


def _past_rest(motion: Motion, around: Around) -> Swing:
    """The swing from a little open on."""
    sense = math.copysign(1.0, motion.opens)
    ajar = motion.pose(sense * PAST_REST)
    left = _met(
        replace(motion, opens=motion.opens - sense * PAST_REST),
        replace(around, movers=tuple(moved(b, ajar) for b in around.movers)),
    )
    first = None if left.first_contact is None else left.first_contact + PAST_REST
    return replace(left, first_contact=first, at=left.at + PAST_REST)


def _worse(one: Swing, other: Swing) -> Swing:
    """The one that touches first, or that comes nearer."""
    never = math.inf
    first = [never if s.first_contact is None else s.first_contact for s in (one, other)]
    if first[0] != first[1]:
        return one if first[0] < first[1] else other
    return one if one.least_clearance <= other.least_clearance else other
