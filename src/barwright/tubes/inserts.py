"""What slips into a tube's end: threaded bungs, hinge inserts, splice sleeves.

It goes in by a slip fit on the least bore the tube's tolerances allow, to some depth, and is
welded round the seam. A plug weld through the tube's wall is added only where the seam alone
does not carry the load that is asked of it: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from barwright.findings import Finding, Level
from barwright.job.schema import Insert, Job
from barwright.tubes.bars import BuiltBar
from barwright.tubes.size_limits import size_limits

DEPTH = 1.5
"""Depth of an insert in bores where the job names none: common practice, no source."""
SHEAR = 0.3 * 483.0
"""Allowable shear on weld metal [MPa]: 0.30 of a 70 ksi electrode (483 MPa), the AISC ASD
figure, from memory. A first look: the strength stage says what the joint carries."""


@dataclass(frozen=True, kw_only=True)
class Slip:
    """An insert in one end of a bar.

    Attributes:
        diameter: outside diameter of the insert [mm].
        bore: the tube's nominal bore [mm].
        depth: how deep it goes in from the tube's end [mm].
        leg: leg of the weld round the seam [mm].
        seam: what that weld carries along the tube [N].
        plugs: how many plug welds the load asks for beside it.
        plug: diameter of each [mm].
        standard: which the least bore is taken from.
    """

    diameter: float
    bore: float
    depth: float
    leg: float
    seam: float
    plugs: int
    plug: float
    standard: str


def slip_of(od: float, wall: float, insert: Insert, steel: str = "") -> Slip:
    """The insert that goes into a tube.

    Args:
        od: outside diameter of the tube [mm].
        wall: its wall [mm].
        insert: slip, depth, load and plug diameter as written.
        steel: of the tube, which says by what standard its bore is held.

    >>> slip_of(38.1, 2.41, Insert()).plugs
    0
    """
    bore, limits = od - 2.0 * wall, size_limits(od, wall, steel)
    seam = SHEAR * wall * math.sqrt(0.5) * math.pi * od
    plug = insert.plug if insert.plug is not None else max(2.0 * wall, 6.0)
    each = SHEAR * math.pi * plug * plug / 4.0
    missing = max((insert.load or 0.0) - seam, 0.0)
    return Slip(
        diameter=limits.bore - insert.slip,
        bore=bore,
        depth=insert.depth if insert.depth is not None else DEPTH * bore,
        leg=wall,
        seam=seam,
        plugs=math.ceil(missing / each),
        plug=plug,
        standard=limits.source,
    )


def insert_findings(job: Job, bar: BuiltBar) -> Iterator[Finding]:
    """What is to be said about a bar's inserts."""
    entry = job.bar[bar.name]
    straights, steel = bar.table.straights, job.stock[bar.stock].steel
    ends = (
        (entry.insert.from_, bar.start, straights[0]),
        (entry.insert.to, bar.finish, straights[-1]),
    )
    for insert, end, straight in ends:
        if insert is not None:
            slip = slip_of(2.0 * bar.radius, bar.wall, insert, steel)
            yield _said(bar, end.mark, slip)
            if slip.depth > straight - float(end.cope.min()):
                yield _too_deep(bar, end.mark, slip, straight - float(end.cope.min()))


def _said(bar: BuiltBar, mark: str, slip: Slip) -> Finding:
    welds = f"weld round the seam with a leg of {slip.leg:.1f} mm"
    if slip.plugs:
        welds += f" and {slip.plugs} plug welds of {slip.plug:.1f} mm"
    return Finding(
        code="tubes.insert",
        level=Level.LOOK if slip.plugs else Level.GOOD,
        subject=f"bar.{bar.name}",
        says=f"{bar.name} at {mark}: insert of {slip.diameter:.2f} mm in a bore of "
        f"{slip.bore:.2f} mm, {slip.depth:.0f} mm deep; {welds}.",
        measured=slip.diameter,
        allowed=slip.bore,
        unit="mm",
        source=f"slip fit and plug welds: common practice, no source; least bore: {slip.standard}",
        remedy="drill the tube for the plug welds before the insert goes in" if slip.plugs else "",
    )


def _too_deep(bar: BuiltBar, mark: str, slip: Slip, straight: float) -> Finding:
    return Finding(
        code="tubes.insert",
        level=Level.MUST,
        subject=f"bar.{bar.name}",
        says=f"{bar.name} at {mark}: an insert {slip.depth:.0f} mm deep does not go past "
        f"the straight, {straight:.0f} mm long.",
        measured=slip.depth,
        allowed=straight,
        unit="mm",
        source="geometry",
        remedy=f"make the insert {slip.depth - straight:.0f} mm shorter",
    )
