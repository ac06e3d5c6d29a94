"""box-gusset: two plates beside a corner of tubes and a third that closes the box between them.

The sides stand the same way off the tubes' plane, each following both tubes. The face lies
across from toe to toe, between the sides, tabbed into both; its ends follow the tubes.
"""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
from shapely.geometry import box

from barwright.findings import Finding, Level
from barwright.geometry.pose import Pose, pose_of
from barwright.job.quantities import PositiveLength
from barwright.plates.against import cut, following
from barwright.plates.blank import Blank, Plate, blank, bored, part_of
from barwright.plates.corner import Corner, CornerTable, corner_of
from barwright.plates.fittings.corner_gusset import findings, middle
from barwright.plates.hinged import shifted
from barwright.plates.joint import Joint, Made
from barwright.plates.part import Part
from barwright.plates.shapes import largest, polygons
from barwright.plates.slots import Tab, slot_for, with_tab

PRACTICE = "common practice, no source"


class Table(CornerTable):
    """Parameters of a box gusset; None is worked out from the joint.

    Attributes:
        width: of the box over both sides [mm]; None takes 0.7 of the smaller tube's diameter.
        room: radius cleared at the inside corner [mm]; None takes three thicknesses.
        inset: of the face behind the sides' edges, which leaves a step for the weld [mm]; None
            takes 1.5 thicknesses.
    """

    width: PositiveLength | None = None
    room: PositiveLength | None = None
    inset: PositiveLength | None = None


def box_gusset(joint: Joint) -> Made:
    """A box of plates in a corner of tubes.

    Raises:
        BadInput: a parameter cannot be used.
    """
    table = joint.read(Table)
    plate = joint.plate(table)
    corner = corner_of(joint, table, plate.thickness)
    width = table.width or 1.4 * min(corner.radii)
    if width < 6.0 * plate.thickness:
        least = 6.0 * plate.thickness
        raise joint.bad(
            "width", f"{width:.1f} mm", f"{least:.1f} mm or more", do="take thinner plate"
        )
    if width > 2.0 * min(corner.radii):
        most = 2.0 * min(corner.radii)
        raise joint.bad("width", f"{width:.1f} mm", f"the tube's diameter, {most:.1f} mm, or less")
    try:
        parts = _parts(joint, table, plate, corner, width)
    except ValueError:
        raise joint.bad(
            "leg", f"{corner.leg:.1f} mm", "legs that leave some plate", do="make them longer"
        ) from None
    names = [p.name for p in parts]
    joins = {(n, tube) for n in names for tube in corner.names} | {*combinations(names, 2)}
    found = (*findings(parts[0], corner), *_access(joint, width, plate))
    return Made(parts=parts, findings=found, joins=frozenset(joins))


def _parts(
    joint: Joint, table: Table, plate: Plate, corner: Corner, width: float
) -> tuple[Part, ...]:
    room = table.room or 3.0 * plate.thickness
    inset = table.inset or 1.5 * plate.thickness
    face, tabs, pose = _face(joint, table, plate, corner, width, inset)
    made = []
    for sign, name in ((1.0, "side-1"), (-1.0, "side-2")):
        low = width / 2.0 - plate.thickness if sign > 0.0 else -width / 2.0
        b: Blank = blank(
            plate, largest(corner.outline() - corner.clear(room)), shifted(corner.frame, low)
        )
        b = cut(b, following(corner.tubes, joint.gap(table)))
        holes = [
            slot_for(
                tab,
                thickness=plate.thickness,
                tabbed=pose,
                slotted=b.regions[0].pose,
                clearance=table.slot_clearance,
            )
            for tab in tabs
            if tab.out[1] * sign > 0.0
        ]
        keep = middle(corner)
        made.append(
            part_of(bored(b, *holes), f"{joint.name}.{name}", keep=(float(keep[0]), float(keep[1])))
        )
    return (*made, face)


def _face(  # noqa: PLR0917 - what the box is made from
    joint: Joint, table: Table, plate: Plate, corner: Corner, width: float, inset: float
) -> tuple[Part, list[Tab], Pose]:
    """The plate across: local x from toe to toe, y out of the tubes' plane, z outward."""
    pose, long = _face_pose(corner, plate.thickness, inset)
    half = width / 2.0 - plate.thickness
    b = cut(
        blank(plate, box(-long, -half, 2.0 * long, half), pose),
        following(corner.tubes, joint.gap(table)),
    )
    shape = min(polygons(b.shape()), key=lambda p: abs(p.representative_point().x - long / 2.0))
    x0, x1 = _both_edges(shape, half)
    tab = min(8.0 * plate.thickness, 0.4 * (x1 - x0))
    if tab < 2.0 * plate.thickness:
        raise ValueError("no room for the tabs")
    tabs = [
        Tab(
            foot=((x0 + x1) / 2.0, s * half),
            along=(1.0, 0.0),
            out=(0.0, s),
            width=tab,
            height=plate.thickness + table.proud,
        )
        for s in (1.0, -1.0)
    ]
    for t in tabs:
        shape = largest(with_tab(shape, t))
    keep = shape.representative_point()
    part = part_of(blank(plate, shape, pose), f"{joint.name}.face", keep=(keep.x, keep.y))
    return part, tabs, pose


def _face_pose(corner: Corner, thickness: float, inset: float) -> tuple[Pose, float]:
    a, b = corner.toes()
    long = float(np.hypot(*(b - a)))
    x = np.array([*((b - a) / long), 0.0])
    z = np.array([0.0, 0.0, 1.0])
    out = np.cross(x, z)
    out = out if out[:2] @ a > 0.0 else -out
    origin = np.array([*a, 0.0]) - (inset + thickness) * out
    y = np.cross(out, x)
    return corner.frame.after(pose_of(np.column_stack([x, y, out]), origin)), long


def _both_edges(shape: object, half: float) -> tuple[float, float]:
    """The x range the face has along both its long edges."""
    spans = [
        (shape & band).bounds  # type: ignore[operator]
        for band in (box(-1e4, half - 0.5, 1e4, half), box(-1e4, -half, 1e4, 0.5 - half))
    ]
    if any(math.isnan(s[0]) for s in spans):
        raise ValueError("the face does not reach its sides")
    return max(s[0] for s in spans), min(s[2] for s in spans)


def _access(joint: Joint, width: float, plate: Plate) -> tuple[Finding, ...]:
    return (
        Finding(
            code="plates.weld-access",
            level=Level.GOOD,
            subject=joint.name,
            says=f"The box is {width - 2.0 * plate.thickness:.1f} mm wide inside, closed: weld it "
            "from outside; vent it with a 3 mm hole before galvanising or stress relief.",
            measured=width - 2.0 * plate.thickness,
            unit="mm",
            source=PRACTICE,
        ),
    )


__all__ = ["Table", "box_gusset"]
