"""striker-gusset: carries the striker on the leaf's free end, and the flange that stops the leaf.

A plate in the bar's middle, beside the bar's end on the side it closes to and out past it. The
striker's bolt stands in a slotted hole along the way the leaf moves, so that the latch can be
met. The edge on the open side is folded over: the flange comes to rest on the latch carrier's
front edge.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from shapely.geometry import box

from barwright.findings import Finding, Level
from barwright.geometry.solids import Body, Rod
from barwright.geometry.vectors import point
from barwright.job.plate_schema import FittingTable
from barwright.job.quantities import PositiveLength, SomeLength
from barwright.plates.against import cut, following
from barwright.plates.blank import blank, bored, flange, part_of
from barwright.plates.ease import eased
from barwright.plates.hinged import Hung, hung, shifted, where_crossed
from barwright.plates.joint import CannotMake, Joint, Made, line_body
from barwright.plates.latch_outline import latch_gap_for
from barwright.plates.outline import slot
from barwright.plates.part import Hardware, Part
from barwright.plates.shadow import near
from barwright.plates.shapes import largest
from barwright.plates.striker import Striker
from barwright.tubes.bars import BuiltBar

PRACTICE = "common practice, no source"


class Table(FittingTable):
    """Parameters of a striker gusset; None is worked out from the joint.

    Attributes:
        on: the standing bar the latch is on; None takes the nearest to the leaf's end.
        reach: from the bar's end to the striker's centre [mm]; None takes 0.45 of the room
            between the bar's end and the standing tube.
        bolt: diameter of the striker's bolt [mm].
        adjust: how far the striker can be moved in its slot, in all [mm].
        latch_gap: between this plate and the latch carrier [mm]; None takes 3 mm more than the
            bought latch is thick, or 14 mm.
        flank: how far the plate runs along the bar for its weld [mm].
        flange: reach of the stop flange past the carrier's far face [mm].
        stop_gap: between the stop flange and the carrier when closed [mm].
        side: whether the latch lies below or above this plate.
        corner: radius of its outside corners [mm]; None takes one thickness.
    """

    on: str | None = None
    reach: PositiveLength | None = None
    bolt: PositiveLength | None = None
    adjust: SomeLength = 8.0
    latch_gap: PositiveLength | None = None
    flank: PositiveLength | None = None
    flange: SomeLength = 5.0
    stop_gap: SomeLength = 0.5
    side: Literal["below", "above"] = "below"
    corner: SomeLength | None = None


def striker_gusset(joint: Joint) -> Made:
    """A striker gusset on a leaf's free end.

    Raises:
        BadInput: a parameter cannot be used.
    """
    table, h = joint.read(Table), hung(joint, far=True)
    s = placed(joint, table, h)
    part = _part(joint, table, h, s)
    return Made(
        parts=(part,),
        hardware=(_bolt(joint, h, s),),
        findings=_findings(joint, table, h, s),
        joins=frozenset({(part.name, h.bar.name)}),
        knows={"striker": s},
    )


def placed(joint: Joint, table: Table, h: Hung) -> Striker:
    """Where the striker stands, from the joint."""
    p = joint.plate(table)
    bolt = table.bolt or (9.525 if joint.inches else 10.0)
    reach = table.reach or 0.45 * room(joint, table.on, h)[1]
    half = (bolt + 0.5 + table.adjust) / 2.0
    tangent = half + 2.0 * p.thickness
    return Striker(
        reach=reach,
        bolt=bolt,
        adjust=table.adjust,
        far=-h.upward if table.side == "below" else h.upward,
        near_face=p.thickness / 2.0 + _latch_gap(joint, table),
        stop_v=tangent + p.radius,
        stop_u=(3.0 + _end_reach(h), reach + 1.6 * bolt),
        stop_gap=table.stop_gap,
        flange=table.flange,
        thickness=p.thickness,
        name=f"{joint.name}.gusset",
    )


def _latch_gap(joint: Joint, table: Table) -> float:
    """Room for the latch between the two plates [mm]."""
    leaf = joint.motion.leaf if joint.motion is not None else ""
    return table.latch_gap or latch_gap_for(joint.job, leaf) or 14.0


def _end_reach(h: Hung) -> float:
    """How far the bar's square end reaches past its mark, since the bar is not quite radial."""
    u = float(h.frame.inverse().directions(h.end.along)[0])
    return h.bar.radius * math.sqrt(max(1.0 - u * u, 0.0))


def room(joint: Joint, on: str | None, h: Hung) -> tuple[BuiltBar, float, tuple[float, float]]:
    """The standing bar beyond the leaf's end, the room to its surface, and where it passes.

    Raises:
        CannotMake: less than 10 mm of room.
    """
    axis = h.frame.directions((0.0, 0.0, 1.0))
    post = joint.standing(on, h.end.origin, beside=axis)
    at = where_crossed(post, h.frame)
    free = math.hypot(*at) - post.radius
    if free < 10.0:
        raise CannotMake(_no_latch(joint.name, h.bar.name, post.name, free))
    return post, free, at


def _no_latch(name: str, bar: str, post: str, free: float) -> Finding:
    return Finding(
        code="plates.latch-room",
        level=Level.MUST,
        subject=name,
        says=f"{bar} ends {free:.1f} mm from {post}: no room for a latch.",
        measured=free,
        allowed=10.0,
        unit="mm",
        source=PRACTICE,
        remedy=f"Trim {bar} by {40.0 - free:.1f} mm, to leave 40 mm.",
    )


def _part(joint: Joint, table: Table, h: Hung, s: Striker) -> Part:
    p = joint.plate(table)
    pose = shifted(h.frame, -p.thickness / 2.0)
    tangent = s.stop_v - p.radius
    flank = table.flank or max(2.0 * h.bar.radius, 30.0)
    low = -(h.bar.radius + 5.0 * p.thickness)
    beside = box(-flank, low, s.stop_u[1], 0.0)
    out = box(s.stop_u[0], low, s.stop_u[1], tangent)
    b = blank(p, largest(beside | out), pose)
    deep = _latch_gap(joint, table) + p.thickness + table.flange - p.radius
    start, end = (s.stop_u[1], tangent), (s.stop_u[0], tangent)
    b = flange(b, start, end, reach=deep, angle=s.far * math.pi / 2.0)
    b = cut(
        b, following(near(line_body(h.bar), np.array(h.end.origin), 3.0 * flank), joint.gap(table))
    )
    turn = math.pi / 2.0
    b = bored(b, slot((s.reach, 0.0), s.bolt + 0.5, s.bolt + 0.5 + s.adjust, turn))
    part = part_of(b, s.name, keep=(s.reach, low + 2.0), rides=h.motion.leaf)
    return eased(part, p.thickness if table.corner is None else table.corner)


def pin_body(h: Hung, s: Striker, name: str, thickness: float) -> Body:
    """The striker's bolt: from its head on the gusset to past the carrier's far face."""
    lo = -s.far * (thickness + s.bolt * 0.7)
    hi = s.far * (s.near_face + thickness + 3.0)
    a, b = (point(h.frame.points((s.reach, 0.0, w))) for w in (lo, hi))
    return Body(name=name, solids=(Rod(start=a, end=b, radius=s.bolt / 2.0),))


def _bolt(joint: Joint, h: Hung, s: Striker) -> Hardware:
    t = joint.plate(joint.read(Table)).thickness
    body = pin_body(h, s, f"{joint.name}.bolt", t)
    rod = body.solids[0]
    assert isinstance(rod, Rod)  # noqa: S101
    return Hardware(
        name=body.name,
        what=f"striker bolt, {s.bolt:.2f} mm",
        dims=(
            ("od", s.bolt),
            ("length", math.dist(rod.start, rod.end)),
            ("arm", 0.5 * (s.near_face - s.thickness / 2.0)),  # to the middle of the latch
        ),
        body=body,
        rides=h.motion.leaf,
    )


def _findings(joint: Joint, table: Table, h: Hung, s: Striker) -> tuple[Finding, ...]:
    post, _free, at = room(joint, table.on, h)
    left = math.hypot(*(np.array(at) - [s.stop_u[1], 0.0])) - post.radius
    if left >= 5.0:
        return ()
    return (
        Finding(
            code="plates.striker-room",
            level=Level.MUST if left <= 0.0 else Level.LOOK,
            subject=s.name,
            says=f"The striker's plate ends {left:.1f} mm from {post.name}.",
            measured=left,
            allowed=5.0,
            unit="mm",
            source=PRACTICE,
            remedy=f"Set reach to {max(s.reach - 5.0 + left, 1.0):.1f} mm, or trim "
            f"{h.bar.name} by {5.0 - left:.1f} mm.",
        ),
    )


__all__ = ["Table", "pin_body", "placed", "room", "striker_gusset"]
