"""boxed-hinge: two cheeks square to the axis, folded back into a wall with the bar's mouth in it.

The bar ends in a bushing across its end. A cheek stands above it and one below, welded to the
standing tube. Each is folded over toward the other; the two folds meet in the middle and close
the box across the bar. The mouth in that wall is what the bar sweeps and a clearance, open the
way the leaf opens; its closed end is a stop. A gusset stands between the cheeks, behind the
bushing.
"""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
from shapely.geometry import MultiPoint, Polygon, box
from shapely.geometry import Point as Dot

from barwright.findings import Finding, Level
from barwright.geometry.pose import Pose, pose_of
from barwright.plates.against import Shadow, cut, following
from barwright.plates.blank import Blank, blank, bored, flange, part_of
from barwright.plates.ease import eased
from barwright.plates.hinge_box import Box, HingeStack, HingeTable, box_of, hardware, intended
from barwright.plates.hinge_mouth import HingeMouth
from barwright.plates.hinged import hung, shifted
from barwright.plates.joint import CannotMake, Joint, Made
from barwright.plates.outline import circle
from barwright.plates.part import Loop, Part
from barwright.plates.shapes import largest, polygons
from barwright.plates.slots import Tab, slot_for, with_tab

PRACTICE = "common practice, no source"
NOZZLE = 20.0
"""Least gap a torch gets into [mm]; common practice, no source."""
CLEAR = 1.0
"""How much more than the weld gap a plate keeps off tubes it is not welded to [mm]."""


def boxed_hinge(joint: Joint) -> Made:
    """A boxed hinge for a leaf's axis.

    Raises:
        BadInput: a parameter cannot be used.
        CannotMake: the axis stands too near the tube.
    """
    hinge = box_of(joint, joint.read(HingeTable), hung(joint, far=False))
    _must_have_room(hinge)
    parts = _parts(hinge)
    return Made(
        parts=parts,
        hardware=hardware(hinge),
        findings=_findings(hinge, parts),
        intended=intended(hinge),
        rests=frozenset((hinge.h.bar.name, p.name) for p in parts[:2]),
        joins=_joins(hinge, parts),
        knows={"stack": hinge.stack},
    )


def _joins(hinge: Box, parts: tuple[Part, ...]) -> frozenset[tuple[str, str]]:
    """Every plate to the tube, the plates to one another, the bushing to the bar."""
    names = [p.name for p in parts]
    bushing = (f"{hinge.joint.name}.bushing", hinge.h.bar.name)
    return frozenset([*((n, hinge.post.name) for n in names), *combinations(names, 2), bushing])


def _parts(hinge: Box) -> tuple[Part, ...]:
    """Both cheeks, and the gusset between them where there is room."""
    opening = HingeMouth(box=hinge)
    gusset = _gusset(hinge, opening) if hinge.table.gusset else None
    cheeks = []
    for sign, name in hinge.h.sides():
        b = _cheek(hinge, opening, sign)
        if gusset is not None:
            b = bored(b, _slot(hinge, b, gusset[1][sign]))
        cheek = part_of(b, f"{hinge.joint.name}.cheek-{name}", keep=(0.0, 0.0))
        corner = hinge.table.corner
        cheeks.append(eased(cheek, hinge.plate.thickness if corner is None else corner))
    return (*cheeks, *(() if gusset is None else (gusset[0],)))


def _cheek(hinge: Box, opening: HingeMouth, sign: float) -> Blank:
    """A cheek on one side of the bushing: base, folded wall, pivot hole, cuts."""
    p, half = hinge.plate, hinge.stack.gap / 2.0
    placed = shifted(hinge.h.frame, half if sign > 0.0 else -half - p.thickness)
    low, high = hinge.wall_span
    tangent = hinge.wall - p.radius
    b = blank(p, _base(hinge, tangent, low, high), placed)
    reach = half - p.radius - hinge.gap / 2.0
    b = flange(b, (tangent, low), (tangent, high), reach=reach, angle=-sign * math.pi / 2.0)
    b = cut(b, *_tubes(hinge), opening.closed())
    return bored(b, circle((0.0, 0.0), hinge.stack.hole / 2.0, hole=True))


def _tubes(hinge: Box) -> tuple[Shadow, Shadow]:
    """The tube the box stands on, and what else stands about: edges follow both."""
    return following(hinge.tube, hinge.gap), following(hinge.others, hinge.gap + CLEAR)


def _base(hinge: Box, tangent: float, low: float, high: float) -> Polygon:
    """The cheek's base: round the pivot, along the wall's bend, out to the tube's sides."""
    at = np.array(hinge.at_post)
    side = np.array([-at[1], at[0]]) / hinge.to_post * hinge.post.radius
    corners = np.array([(tangent, low), (tangent, high), at - side, at + side])
    ring = Dot(0.0, 0.0).buffer(hinge.edge, quad_segs=128)
    hull = MultiPoint(np.vstack([corners, np.array(ring.exterior.coords)])).convex_hull
    return largest(hull & box(-1e4, -1e4, tangent, 1e4))


# ---- the gusset between the cheeks --------------------------------------------------------------


def _gusset(hinge: Box, opening: HingeMouth) -> tuple[Part, dict[float, Tab]] | None:
    """The plate from the tube to behind the bushing, with its tabs; None without room."""
    p, half = hinge.plate, hinge.stack.gap / 2.0
    pose, behind = _gusset_pose(hinge), _leaf_stays_away(hinge)
    start = hinge.stack.bushing_od / 2.0 + 3.0
    start = max(start, hinge.h.bar.radius + hinge.table.clearance) if behind else start
    if start >= hinge.to_post:
        return None
    b = cut(blank(p, box(start, -half, hinge.to_post, half), pose), *_tubes(hinge))
    pieces = polygons((b if behind else cut(b, opening.swept())).shape())
    x0, x1 = _level_span(pieces[0], half) if pieces else (0.0, 0.0)
    if x1 - x0 < 4.0 * p.thickness:
        return None
    tabs = _tabs(hinge, x0, x1)
    shape = pieces[0]
    for tab in tabs.values():
        shape = largest(with_tab(shape, tab))
    keep = ((x0 + x1) / 2.0, 0.0)
    return part_of(blank(p, shape, pose), f"{hinge.joint.name}.gusset", keep=keep), tabs


def _tabs(hinge: Box, x0: float, x1: float) -> dict[float, Tab]:
    """A tab into each cheek, by its side."""
    p, half = hinge.plate, hinge.stack.gap / 2.0
    return {
        s: Tab(
            foot=((x0 + x1) / 2.0, s * half),
            along=(1.0, 0.0),
            out=(0.0, s),
            width=min(0.5 * (x1 - x0), 8.0 * p.thickness),
            height=p.thickness + hinge.table.proud,
        )
        for s in (1.0, -1.0)
    }


def _level_span(body: Polygon, half: float) -> tuple[float, float]:
    """The x range that the plate has on both its edges, where the tabs stand."""
    bands = (box(-1e4, half - 1.0, 1e4, half), box(-1e4, -half, 1e4, 1.0 - half))
    pieces = [polygons(body & band) for band in bands]
    if not all(pieces):
        return (0.0, 0.0)
    spans = [found[0].bounds for found in pieces]
    return max(s[0] for s in spans), min(s[2] for s in spans)


def _leaf_stays_away(hinge: Box) -> bool:
    """Whether the bar keeps a right angle or more off the gusset all the way open.

    Then only its square end, no further from the axis than its radius, comes near.
    """
    to = math.atan2(hinge.at_post[1], hinge.at_post[0]) % (2.0 * math.pi)
    return math.pi / 2.0 + hinge.h.sweep <= to <= 1.5 * math.pi


def _gusset_pose(hinge: Box) -> Pose:
    """Local x from the axis to the tube, y along the axis, the plate's middle on the axis."""
    x = np.array([*hinge.at_post, 0.0]) / hinge.to_post
    y = np.array([0.0, 0.0, 1.0])
    z = np.cross(x, y)
    middle = -z * hinge.plate.thickness / 2.0
    return hinge.h.frame.after(pose_of(np.column_stack([x, y, z]), middle))


def _slot(hinge: Box, b: Blank, tab: Tab) -> Loop:
    return slot_for(
        tab,
        thickness=hinge.plate.thickness,
        tabbed=_gusset_pose(hinge),
        slotted=b.regions[0].pose,
        clearance=hinge.table.slot_clearance,
    )


# ---- findings -----------------------------------------------------------------------------------


def _must_have_room(hinge: Box) -> None:
    """The tube must stand clear of the bar that turns on the axis.

    Raises:
        CannotMake: it does not.
    """
    body = max(hinge.h.bar.radius, hinge.stack.bushing_od / 2.0)
    need = hinge.post.radius + body + hinge.table.clearance
    if hinge.to_post >= need:
        return
    raise CannotMake(
        Finding(
            code="plates.hinge-room",
            level=Level.MUST,
            subject=f"leaf.{hinge.h.motion.leaf}",
            says=f"The hinge axis stands {hinge.to_post:.1f} mm from the centre of "
            f"{hinge.post.name}; the bar turning there needs {need:.1f} mm.",
            measured=hinge.to_post,
            allowed=need,
            unit="mm",
            remedy=f"Move the axis {need - hinge.to_post:.1f} mm away from {hinge.post.name}.",
        )
    )


def _findings(hinge: Box, parts: tuple[Part, ...]) -> tuple[Finding, ...]:
    """How far the stop lets the leaf on, whether a gusset fits, whether a torch gets in."""
    found = [_stops(hinge), _access(hinge)]
    if hinge.table.gusset and len(parts) < 3:
        found.append(_no_gusset(hinge))
    return tuple(found)


def _stops(hinge: Box) -> Finding:
    far = hung(hinge.joint, far=True)
    arm = float(np.hypot(*hinge.h.frame.inverse().points(far.end.origin)[:2]))
    gap = hinge.table.stop_gap
    over = gap / hinge.wall * arm
    return Finding(
        code="plates.hinge-stop",
        level=Level.GOOD if over <= 15.0 else Level.LOOK,
        subject=f"{hinge.joint.name}.cheek-upper",
        says=f"The closed end of the mouth stops the leaf: with {gap:.2f} mm there, "
        f"{hinge.wall:.1f} mm from the axis, its far end can go {over:.1f} mm past closed. "
        "It is the second stop; the striker's flange is the first.",
        measured=over,
        allowed=15.0,
        unit="mm",
        source=PRACTICE,
        remedy="" if over <= 15.0 else f"Set stop_gap to {gap * 15.0 / over:.2f} mm.",
    )


def _access(hinge: Box) -> Finding:
    """Inside the box, between the cheeks: room for a torch beside the gusset."""
    gap = hinge.stack.gap
    return Finding(
        code="plates.weld-access",
        level=Level.GOOD if gap >= NOZZLE else Level.LOOK,
        subject=hinge.joint.name,
        says=f"The cheeks stand {gap:.1f} mm apart inside; a torch wants {NOZZLE:.0f} mm.",
        measured=gap,
        allowed=NOZZLE,
        unit="mm",
        source=PRACTICE,
        remedy="" if gap >= NOZZLE else "Weld the cheeks to the tube from outside only.",
    )


def _no_gusset(hinge: Box) -> Finding:
    return Finding(
        code="plates.hinge-gusset",
        level=Level.LOOK,
        subject=hinge.joint.name,
        says="There is no room for a gusset between the bushing and the tube.",
        measured=hinge.to_post,
        unit="mm",
        source=PRACTICE,
        remedy="Move the axis further from the tube, or accept a box without a gusset.",
    )


__all__ = ["HingeStack", "HingeTable", "boxed_hinge"]
