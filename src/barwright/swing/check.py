"""What is found about each swing: free or not, near or not, and what to do in numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.pose import pose_of
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats, point, unit
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion, Swing
from barwright.swing.passing import WANTED, Around, passing
from barwright.swing.place import moved

PRACTICE = "common practice, no source"

FARTHEST = 60.0
"""Remedies larger than this are not offered [mm]."""

FINE = 0.1
"""Remedies are worked out to this, upward [mm]."""


def check(
    swings: tuple[Swing, ...],
    motions: tuple[Motion, ...],
    around: Mapping[str, Around] | None = None,
    *,
    wanted: float = WANTED,
) -> tuple[Finding, ...]:
    """One finding a leaf: what it touches, or how near it comes; twins by their own.

    Args:
        swings: what each leaf passes, as worked out by `passing`.
        motions: how each moves.
        around: by leaf, its bodies: remedies are tried on them, and are empty without.
        wanted: clearance wanted [mm].
    """
    by_leaf = {m.leaf: m for m in motions}
    near = around or {}
    return tuple(_found(s, by_leaf[s.leaf], near.get(s.leaf), wanted) for s in swings)


def _found(met: Swing, motion: Motion, around: Around | None, wanted: float) -> Finding:
    rests = "".join(f"Closed, {m} lies {gap:.2f} mm from {s}. " for m, s, gap in met.lying)
    met = met.under_way or met
    if met.first_contact is not None:
        return _touching(met, motion, around, wanted)
    if met.least_pair is not None and met.least_clearance < wanted:
        return _tight(met, (motion, around) if around else None, wanted, rests)
    return _free(met, motion, wanted, rests)


def _clears(motion: Motion, around: Around, wanted: float) -> bool:
    """Whether a leaf clears everything by what is wanted, its rest when closed aside."""
    met = passing(motion, around, wanted=wanted).under_way
    return met is not None and met.first_contact is None and met.least_clearance >= wanted


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
        back = replace(around, movers=one, standing=(_shifted(other, by * away),))
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


__all__ = ["Around", "check"]
