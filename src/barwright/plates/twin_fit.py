"""Does the mirrored part fit the other side? A hand-made frame is never quite the same on both.

A twin is mirrored from its original; what it is welded to is the other side's own tube, which
may stand a few millimetres from where the mirror has it.
"""

from __future__ import annotations

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.pose import mirrored
from barwright.geometry.vectors import Point, point
from barwright.plates.joint import nearest_on
from barwright.plates.part import Part
from barwright.tubes.bars import Bars, BuiltBar

PRACTICE = "common practice, no source"
FITS = 1.5
"""How far off a tube may stand and the edge still be welded [mm]; common practice, no source."""
FARTHEST = 60.0
"""A tube farther than this from where the mirror has it is another tube [mm]."""


def other_side(bar: BuiltBar, near: Point, bars: Bars) -> tuple[str, float] | None:
    """The tube that stands where a tube's mirror image would, and how far off it stands [mm].

    Args:
        bar: the tube on the original's side.
        near: a point of the original part [mm]: the tubes are compared abreast of it.
        bars: every tube.

    Returns:
        Its name and distance; None where no tube stands within 60 mm.
    """
    here, _, way = nearest_on(bar, near)
    m = mirrored()
    there, along = point(m.points(here)), m.directions(way)
    found = [(_off(other, there, along), other.name) for other in bars.bars]
    off, name = min(found, default=(np.inf, ""))
    return (name, float(off)) if off <= FARTHEST else None


def _off(bar: BuiltBar, at: Point, along: object) -> float:
    """How far a tube stands from a point; tubes that run another way are out of the question."""
    _, off, d = nearest_on(bar, at)
    return off if abs(float(np.dot(d, np.asarray(along)))) > 0.7 else np.inf


def twin_joins(
    parts: tuple[Part, ...], joins: frozenset[tuple[str, str]], bars: Bars
) -> tuple[frozenset[tuple[str, str]], tuple[Finding, ...]]:
    """What the twins are welded to on their own side, and how well they fit there.

    Args:
        parts: all plates, twins included.
        joins: what the originals are welded to.
        bars: every tube.
    """
    names = {b.name for b in bars.bars}
    made, worst = set(joins), dict[str, tuple[float, str, str]]()
    for part in parts:
        if not part.twin_of:
            continue
        original = next(p for p in parts if p.name == part.twin_of)
        for plate, tube in joins:
            if plate != original.name or tube not in names or f"{tube}-twin" in names:
                continue
            found = other_side(bars.named(tube), original.placed.shift, bars)
            if found is not None:
                made.add((part.name, found[0]))
                group = part.name.rpartition(".")[0] or part.name
                worst[group] = max(worst.get(group, (0.0, "", "")), (found[1], found[0], tube))
    return frozenset(made), tuple(_fit(g, *w) for g, w in worst.items())


def _fit(group: str, off: float, name: str, tube: str) -> Finding:
    fits = off <= FITS
    return Finding(
        code="plates.twin-fit",
        level=Level.GOOD if fits else Level.LOOK,
        subject=f"{group}, twin",
        says=f"{name} stands {off:.1f} mm from where {tube} mirrored would be.",
        measured=off,
        allowed=FITS,
        unit="mm",
        source=PRACTICE,
        remedy=""
        if fits
        else f"Give the other side a leaf of its own marks, or allow {off:.1f} mm at its welds.",
    )
