"""Which tubes each end of a bar runs into, and which of two runs through.

A bar's end meets another tube where its mark lies in that tube or on it (half the bar's own
radius is allowed for readings), where the mark is one the other bends at, or where its wall
would enter it. A tube that passes is a receiver. Where both bars end, the larger runs through,
and of two alike the one written first; the other is coped against it only if it would still
enter it once it is coped against the rest: two braces on opposite sides of a tube do not meet.
Bars in line are butted, not coped. A leaf's bars are not coped against bars outside the leaf,
nor these against them: the leaf moves. `cope` in the bar's table says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from barwright.geometry.cope import PARALLEL, STATIONS, Tip
from barwright.geometry.cope_bent import run_cope
from barwright.geometry.foot import Foot, foot_on
from barwright.geometry.path import place_at
from barwright.geometry.points import ahead, crossed
from barwright.geometry.vectors import Floats, Point, angle_between
from barwright.tubes.shape import Shape

IN_LINE = math.radians(15.0)
"""Two bars that end within this of one line are butted, not coped: common practice, no source."""
ENTERS = 0.01
"""How deep [mm] a wall must enter another tube to count: less is scale and paint."""
_EVERY = 3
"""Whether a wall enters is tried at every third degree: a narrower sliver does not count."""
_APART = 45
"""Before that, points of its edge are tried so many degrees apart."""


@dataclass(frozen=True, kw_only=True)
class Site:
    """One end of a bar, before it is coped.

    Attributes:
        shape: the bar.
        last: False for its start, True for its finish.
        mark: the mark there.
        tip: origin at the mark, direction into the bar, zero line, wall radii.
        straight: how far the bar is straight from here [mm].
        near: what lies farther from here than this [mm] belongs to the other end.
    """

    shape: Shape
    last: bool
    mark: str
    tip: Tip
    straight: float
    near: float


@dataclass(frozen=True, kw_only=True)
class Contact:
    """Another bar near an end.

    Attributes:
        shape: the other bar.
        gap: from the end's mark to its surface [mm]; negative inside it.
        lean: angle [rad] between the end's direction and its axis, 0 to pi/2.
        sure: whether the end's mark lies in it or on it, or is a mark it bends at.
        ends: whether the other ends here too, so that one of both runs through.
        in_line: whether both end here in one line.
    """

    shape: Shape
    gap: float
    lean: float
    sure: bool
    ends: bool = False
    in_line: bool = False


def site(shape: Shape, *, last: bool) -> Site:
    """One end of a bar."""
    straights = shape.table.straights
    return Site(
        shape=shape,
        last=last,
        mark=shape.finish if last else shape.start,
        tip=shape.tips[1 if last else 0],
        straight=straights[-1 if last else 0],
        near=shape.long / 2.0,
    )


def receivers(here: Site, met: tuple[Contact, ...]) -> dict[Shape, Floats]:
    """The bars this end is coped against by default, in the order they are met, with the cuts.

    Args:
        here: the end.
        met: the other bars there, from `contacts`.

    Returns:
        Where the end is clear of each, shape (360,) [mm], -inf where it misses it.
    """
    taken = {c.shape: clear_of(here, c.shape) for c in met if c.sure and not c.ends}
    doubtful = [c for c in met if not c.in_line and (c.ends or not c.sure)]
    for c in sorted(doubtful, key=lambda c: _size(c.shape)):
        if c.ends and not _runs_through(c.shape, here.shape):
            continue
        if _still_enters(here, list(taken.values()), c.shape):
            taken[c.shape] = clear_of(here, c.shape)
    return taken


def contacts(here: Site, everyone: tuple[Shape, ...]) -> tuple[Contact, ...]:
    """The other bars at an end that it may be coped against."""
    found = [
        contact(here, other)
        for other in everyone
        if _may_meet(here.shape, other) and _close(here, other)
    ]
    return tuple(c for c in found if c is not None)


def contact(here: Site, other: Shape) -> Contact | None:
    """How another bar stands to an end; None where it is out of reach."""
    foot = foot_on(other.centreline, here.tip.origin)
    gap = foot.distance - other.radius
    bends_here = here.mark in other.inner
    sure = bends_here or gap <= here.shape.radius / 2.0
    if not sure and gap > here.shape.radius:
        return None
    way = place_at(other.centreline, foot.along)[1]
    turn = angle_between(here.tip.along, way)
    there = next(_ends_near(here, other, foot), None)
    return Contact(
        shape=other,
        gap=gap,
        lean=min(turn, math.pi - turn),
        sure=sure,
        ends=there is not None,
        in_line=there is not None
        and angle_between(here.tip.along, there.tip.along) > math.pi - IN_LINE,
    )


def clear_of(here: Site, other: Shape) -> Floats:
    """Where an end is clear of another bar, which runs on past its own ends; shape (360,)."""
    try:
        return run_cope(
            here.tip,
            other.centreline,
            other.radius,
            near=here.near,
            behind=_behind(here, other),
        )
    except ValueError:
        return np.full(360, -np.inf)


def envelope(cuts: Sequence[Floats], root_gap: float = 0.0) -> Floats:
    """What can be pushed on from the end: the farthest of all cuts, (360,) [mm].

    Where no receiver is met the end is cut square, at its mark.
    """
    cope = np.max([np.full(360, -np.inf), *cuts], axis=0)
    return np.where(np.isfinite(cope), cope + root_gap, 0.0)


def _ends_near(here: Site, other: Shape, foot: Foot) -> Iterator[Site]:
    """The end of the other bar that in its turn meets this bar here, if any."""
    for last, at in enumerate(other.ends):
        from_end = abs(foot.along - last * other.long)
        if from_end > 2.0 * (here.shape.radius + other.radius):
            continue
        back = foot_on(here.shape.centreline, at)
        mine = back.along if not here.last else here.shape.long - back.along
        close = back.distance - here.shape.radius <= other.radius / 2.0
        if close and mine <= 2.0 * (here.shape.radius + other.radius):
            yield site(other, last=bool(last))


def _behind(here: Site, other: Shape) -> float:
    """How far behind an end [mm] the other bar may still be what the end is coped against."""
    distance = foot_on(other.centreline, here.tip.origin).distance
    return distance + 4.0 * (here.shape.radius + other.radius)


def _still_enters(here: Site, cuts: list[Floats], other: Shape) -> bool:
    """Whether the wall left by some cuts still enters another bar as long as it really is.

    Mostly a few points of the edge that is left show that it does.
    """
    left, behind = envelope(cuts) + ENTERS, _behind(here, other)
    if any(_in_its_way(here, other, at) for at in _edge(here, left, behind)):
        return True
    out = run_cope(
        here.tip,
        other.centreline,
        other.radius,
        near=here.near,
        behind=behind,
        endless=False,
        angles=STATIONS[::_EVERY],
    )
    return bool(np.any(out > left[::_EVERY]))


def _edge(here: Site, cope: Floats, behind: float) -> Iterator[Point]:
    """A few points on the outside of an end cut to a cope, where its crossings would count."""
    tip = here.tip
    for spoke, s in zip(
        tip.spokes(STATIONS[::_APART]).tolist(), cope[::_APART].tolist(), strict=True
    ):
        if -behind <= s <= here.near:
            yield ahead(ahead(tip.origin, spoke, tip.outer), tip.along, s)


def _in_its_way(here: Site, other: Shape, at: Point) -> bool:
    """Whether a point lies inside another bar, square ends counted, where it runs another way."""
    foot = foot_on(other.centreline, at)
    if foot.distance >= other.radius or not 0.0 < foot.along < other.long:
        return False
    way = place_at(other.centreline, foot.along)[1]
    return math.hypot(*crossed(way, here.tip.along)) > PARALLEL


def _may_meet(one: Shape, other: Shape) -> bool:
    """Not itself, not its own mirror image, and not across the edge of a leaf."""
    if one.name == other.name or one.leaf != other.leaf:
        return False
    return one.twin_of != other.name and other.twin_of != one.name


def _close(here: Site, other: Shape) -> bool:
    """Whether the other bar can be in reach at all, or bends at this end's mark."""
    if here.mark in other.inner:
        return True
    reach, (x, y, z) = other.radius + here.shape.radius, here.tip.origin
    (x0, y0, z0), (x1, y1, z1) = other.box
    return (
        x0 - reach <= x <= x1 + reach
        and y0 - reach <= y <= y1 + reach
        and z0 - reach <= z <= z1 + reach
    )


def _runs_through(one: Shape, other: Shape) -> bool:
    """Whether the one runs through where both end."""
    return _size(one) < _size(other)


def _size(shape: Shape) -> tuple[float, int]:
    """Sorts the tubes that run through first: the largest, then the first written."""
    return (-round(shape.radius, 6), shape.rank)
