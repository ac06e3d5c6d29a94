"""What a leaf passes under way, apart from what it lies against when closed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice, takewhile

import numpy as np

from barwright.geometry.convex import Bools
from barwright.geometry.solids import Body
from barwright.swing.clearance import Asked, Setting, counting, swings
from barwright.swing.motion import Motion, Swing

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


def passing(motion: Motion, around: Around, *, wanted: float = WANTED) -> Swing:
    """What one leaf meets, as `passings` has it for many."""
    return passings((motion,), {motion.leaf: around}, wanted=wanted)[0]


def passings(
    motions: Sequence[Motion], around: Mapping[str, Around], *, wanted: float = WANTED
) -> tuple[Swing, ...]:
    """What leaves meet, and what each meets apart from what it lies against when closed.

    Pairs that rest on one another, and pairs that are nearest when closed and nearer than wanted
    (stops, the sides of a hinge's mouth), count under way from PAST_REST on; all others over the
    whole swing. A pair that touches counts at once, whatever it is.

    Args:
        motions: how the leaves move.
        around: by leaf, its bodies.
        wanted: clearance wanted [mm].

    Returns:
        Each swing as `swing` has it, with `lying` and `under_way` filled in.
    """
    near = [around[m.leaf] for m in motions]
    settings = [
        Setting(motion=m, movers=a.movers, standing=a.standing)
        for m, a in zip(motions, near, strict=True)
    ]
    asked = [_asked(k, a) for k, a in enumerate(near)]
    answers = iter(swings(settings, [a for some in asked for a in some]))
    return tuple(
        _passing(setting, a, tuple(islice(answers, len(some))), wanted)
        for setting, a, some in zip(settings, near, asked, strict=True)
    )


def _asked(leaf: int, around: Around) -> list[Asked]:
    """What is asked of a leaf: all that does not rest; each pair that rests, whole and past it."""
    resting = _at(around, around.rests) & ~_at(around, around.allowed)
    free = Asked(of=leaf, counts=~_at(around, around.rests | around.allowed))
    each = [_only(resting, i, j) for i, j in np.argwhere(resting)]
    return [free, *(Asked(of=leaf, counts=c, since=t) for c in each for t in (0.0, PAST_REST))]


def _passing(setting: Setting, around: Around, answers: tuple[Swing, ...], wanted: float) -> Swing:
    """The swing of a leaf from the answers to what `_asked` asks."""
    free, close = answers[0], sorted(zip(answers[1::2], answers[2::2], strict=True), key=_of_first)
    parted, way = _parted(setting, around, free, wanted)
    lying = list(takewhile(lambda one: _lies(one[0], wanted), close))
    way += [past for _, past in lying] + [whole for whole, _ in close[len(lying) :]]
    return replace(
        min([free, *(whole for whole, _ in close)], key=_nearness),
        lying=tuple(_lain(met) for met in (*parted, *(whole for whole, _ in lying))),
        under_way=min(way, key=_nearness),
    )


def _parted(
    setting: Setting, around: Around, free: Swing, wanted: float
) -> tuple[list[Swing], list[Swing]]:
    """Swings that have pairs nearest that lie near when closed, and what is met apart from them."""
    parted, met = list[Swing](), free
    counts = ~_at(around, around.rests | around.allowed)
    while _lies(met, wanted):
        parted.append(met)
        counts &= ~_at(around, _pairs(parted[-1:]))
        met = swings((setting,), (Asked(of=0, counts=counts),))[0]
    if not parted:
        return parted, [met]
    lain = Asked(of=0, counts=_at(around, _pairs(parted)), since=PAST_REST)
    return parted, [met, *swings((setting,), (lain,))]


def _at(around: Around, pairs: Pairs) -> Bools:
    """Where some pairs are among all of movers and standing bodies."""
    return ~counting(around.movers, around.standing, pairs)


def _only(resting: Bools, mover: int, standing: int) -> Bools:
    """One pair alone."""
    alone = np.zeros_like(resting)
    alone[mover, standing] = True
    return alone


def _pairs(met: Sequence[Swing]) -> Pairs:
    return frozenset(m.least_pair for m in met if m.least_pair is not None)


def _lain(met: Swing) -> tuple[str, str, float]:
    moving, standing = met.least_pair or ("", "")
    return (moving, standing, met.least_clearance)


def _lies(met: Swing, wanted: float) -> bool:
    """Whether what is nearest lies there when closed."""
    at_rest = met.first_contact is None and met.at < AT_REST
    return met.least_pair is not None and at_rest and met.least_clearance < wanted


def _nearness(met: Swing) -> tuple[float, float]:
    """What touches first is worst, then what comes nearest."""
    return (math.inf if met.first_contact is None else met.first_contact, met.least_clearance)


def _of_first(pair: tuple[Swing, Swing]) -> tuple[float, float]:
    return _nearness(pair[0])
