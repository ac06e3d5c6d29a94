"""What is found about each swing: free or not, near or not, and what to do in numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.pose import pose_of
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats, point, unit
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion, Swing
from barwright.swing.place import moved

PRACTICE = "common practice, no source"

WANTED = 1.5
"""A leaf is to clear all it is not meant to touch by this [mm], when nothing else is said."""

FARTHEST = 60.0
"""Remedies larger than this are not offered [mm]."""

AT_REST = math.radians(0.01)
"""A least clearance this near closed is how the leaf lies at rest [rad]."""

PAST_REST = math.radians(6.0)
"""From here on the leaf is to have left its stop [rad]."""

FINE = 0.1
"""Remedies are worked out to this, upward [mm]."""


@dataclass(frozen=True, kw_only=True)
class Around:
    """A leaf's bodies and what stands round it.

    Attributes:
        movers: all that swings with it, as it stands when closed.
        standing: all that stands still.
        allowed: (moving, standing) bodies that are meant to touch.
    """

    movers: tuple[Body, ...]
    standing: tuple[Body, ...]
    allowed: frozenset[tuple[str, str]] = frozenset()


def check(
    swings: tuple[Swing, ...],
    motions: tuple[Motion, ...],
    around: Mapping[str, Around] | None = None,
    *,
    wanted: float = WANTED,
) -> tuple[Finding, ...]:
    """One finding a leaf: what it touches, or how near it comes; twins by their own.

    Args:
        swings: what each leaf meets, as worked out.
        motions: how each moves.
        around: by leaf, its bodies: remedies are tried on them, and are empty without.
        wanted: clearance wanted [mm].
    """
    by_leaf = {m.leaf: m for m in motions}
    near = around or {}
    return tuple(_found(s, by_leaf[s.leaf], near.get(s.leaf), wanted) for s in swings)


def _found(met: Swing, motion: Motion, around: Around | None, wanted: float) -> Finding:
    rests = ""
    if around is not None:
        met, lying = _under_way(met, motion, around, wanted)
        rests = "".join(f"Closed, {m} lies {gap:.2f} mm from {s}. " for (m, s), gap in lying)
    if met.first_contact is not None:
        return _touching(met, motion, around, wanted)
    if met.least_pair is not None and met.least_clearance < wanted:
        return _tight(met, (motion, around) if around else None, wanted, rests)
    return _free(met, motion, wanted, rests)


_Lying = tuple[tuple[str, str], float]
"""A moving and a standing part that lie against one another when closed, and their gap [mm]."""


def _under_way(
    met: Swing, motion: Motion, around: Around, wanted: float
) -> tuple[Swing, tuple[_Lying, ...]]:
    """The swing apart from what lies near when closed: stops and the sides of a hinge's mouth.

    Pairs that are nearest when closed, and nearer than wanted, count from PAST_REST on; all
    others over the whole swing.
    """
    lying: dict[tuple[str, str], float] = {}
    while met.least_pair is not None and _at_rest(met) and met.least_clearance < wanted:
        lying[met.least_pair] = met.least_clearance
        without = around.allowed | lying.keys()
        met = swing(motion, around.movers, around.standing, allowed=without)
    for pair in lying:
        met = _worse(met, _past_rest(pair, motion, around))
    return met, tuple(lying.items())


def _at_rest(met: Swing) -> bool:
    return met.first_contact is None and met.at < AT_REST


def _past_rest(pair: tuple[str, str], motion: Motion, around: Around) -> Swing:
    """The swing of one pair from a little open on."""
    sense = math.copysign(1.0, motion.opens)
    ajar = motion.pose(sense * PAST_REST)
    left = swing(
        replace(motion, opens=motion.opens - sense * PAST_REST),
        tuple(moved(b, ajar) for b in around.movers if b.name == pair[0]),
        tuple(b for b in around.standing if b.name == pair[1]),
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


def _clears(motion: Motion, around: Around, wanted: float) -> bool:
    """Whether a leaf clears everything by what is wanted, its rest when closed aside."""
    met = swing(motion, around.movers, around.standing, allowed=around.allowed)
    met, _ = _under_way(met, motion, around, wanted)
    return met.first_contact is None and met.least_clearance >= wanted


def _touching(met: Swing, motion: Motion, around: Around | None, wanted: float) -> Finding:
    assert met.first_contact is not None  # noqa: S101 - asked by the caller
    moving, still = met.touches or ("", "")
    angle = math.degrees(met.first_contact)
    where = ", ".join(f"{x:.1f}" for x in met.where or ())
    says = f"{moving} touches {still} at {angle:.3f}° of {_opens(motion):g}°, at ({where}) mm."
    return Finding(
        code="swing.contact",
        level=Level.MUST,
        subject=f"leaf.{met.leaf}",
        says=says,
        measured=angle,
        allowed=_opens(motion),
        unit="deg",
        source="plane geometry, proven bound: nothing touches before",
        remedy=_remedy(met, motion, around, wanted) if around else "",
    )


def _tight(met: Swing, known: tuple[Motion, Around] | None, wanted: float, rests: str) -> Finding:
    moving, still = met.least_pair or ("", "")
    gap, angle = met.least_clearance, math.degrees(met.at)
    return Finding(
        code="swing.clearance",
        level=Level.LOOK,
        subject=f"leaf.{met.leaf}",
        says=f"{rests}{moving} clears {still} by only {gap:.2f} mm, at {angle:.1f}°.",
        measured=gap,
        allowed=wanted,
        unit="mm",
        source=PRACTICE,
        remedy=_remedy(met, *known, wanted) if known else "",
    )


def _free(met: Swing, motion: Motion, wanted: float, rests: str) -> Finding:
    pair = met.least_pair
    nearest = (
        f"; nearest are {pair[0]} and {pair[1]} with {met.least_clearance:.2f} mm at "
        f"{math.degrees(met.at):.1f}°"
        if pair
        else ""
    )
    return Finding(
        code="swing.clearance",
        level=Level.GOOD,
        subject=f"leaf.{met.leaf}",
        says=f"{rests}The leaf opens {_opens(motion):g}° without touching{nearest}.",
        measured=met.least_clearance if pair else None,
        allowed=wanted,
        unit="mm",
        source=PRACTICE,
    )


def _opens(motion: Motion) -> float:
    return round(math.degrees(abs(motion.opens)), 6)


def _remedy(met: Swing, motion: Motion, around: Around, wanted: float) -> str:
    """What would help, each tried on the whole swing before it is said."""
    pair = met.touches or met.least_pair
    if pair is None:
        return ""
    away = _apart_direction(met, motion, around, pair)
    said = [
        _say_trim(pair[1], _trim(motion, around, pair, away, wanted)),
        _say_axis(away, _axis_out(motion, around, away, wanted)),
    ]
    told = [s for s in said if s]
    return "; or ".join(told) if told else f"no shift within {FARTHEST:g} mm frees it: look again"


def _say_trim(name: str, depth: float | None) -> str:
    return "" if depth is None else f"trim {name} there by {depth:.1f} mm"


def _say_axis(away: Floats, shift: float | None) -> str:
    if shift is None:
        return ""
    towards = ", ".join(f"{-a:.2f}" for a in away)
    return f"move the axis and the leaf {shift:.1f} mm along ({towards})"


def _apart_direction(met: Swing, motion: Motion, around: Around, pair: tuple[str, str]) -> Floats:
    """From the moving to the standing part, square to the axis: which way they want to part.

    Found by small shifts of the standing part: the gap grows most along it. Where they overlap
    when closed, there is no gap to grow: away from the axis then.
    """
    along = np.array(motion.along)
    one = next(b for b in around.movers if b.name == pair[0])
    other = next(b for b in around.standing if b.name == pair[1])
    opens = met.first_contact or met.at
    near = replace(motion, opens=math.copysign(max(opens, 1e-6), motion.opens))
    step = 8.0
    x = unit(np.cross(along, [0.36, 0.48, 0.8]))
    y = np.cross(along, x)
    ways = [math.cos(a) * x + math.sin(a) * y for a in np.linspace(0.0, 2.0 * math.pi, 17)[:-1]]
    gaps = [swing(near, (one,), (_shifted(other, step * w),)).least_clearance for w in ways]
    if max(gaps) <= 0.0:
        at = np.subtract(met.where or motion.through, motion.through)
        return unit(at - (at @ along) * along + 1e-9 * x)
    return np.asarray(ways[int(np.argmax(gaps))])


def _shifted(body: Body, by: Floats) -> Body:
    return moved(body, pose_of(np.eye(3), by))


def _trim(
    motion: Motion, around: Around, pair: tuple[str, str], away: Floats, wanted: float
) -> float | None:
    """How far the standing part has to draw back for its pair to clear by what is wanted."""
    one = tuple(b for b in around.movers if b.name == pair[0])
    other = next(b for b in around.standing if b.name == pair[1])

    def clear(by: float) -> bool:
        back = Around(movers=one, standing=(_shifted(other, by * away),))
        return _clears(motion, back, wanted)

    return _least(clear)


def _axis_out(motion: Motion, around: Around, away: Floats, wanted: float) -> float | None:
    """How far the axis with its whole leaf has to move for the whole swing to clear."""
    hinge = {s.name for _, s in _ridden(around)}

    def clear(by: float) -> bool:
        shift = pose_of(np.eye(3), -by * away)
        out = replace(motion, through=point(shift.points(motion.through)))
        movers = tuple(moved(b, shift) for b in around.movers)
        standing = tuple(moved(b, shift) if b.name in hinge else b for b in around.standing)
        return _clears(out, replace(around, movers=movers, standing=standing), wanted)

    return _least(clear)


def _ridden(around: Around) -> list[tuple[Body, Body]]:
    """Pairs that are meant to touch, of which the standing one is no bar: it goes with the axis."""
    return [
        (m, s)
        for m in around.movers
        for s in around.standing
        if (m.name, s.name) in around.allowed and "." in s.name
    ]


def _least(clear: Callable[[float], bool]) -> float | None:
    """The least shift, upward to FINE, that clears; None within FARTHEST."""
    high = 1.0
    while not clear(high):
        high *= 2.0
        if high > FARTHEST:
            return None
    low = 0.0
    while high - low > FINE:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if clear(middle) else (middle, high)
    return math.ceil(high / FINE - 1e-9) * FINE
