"""foot-plate: a plate under a tube's end, to weld or bolt to what it stands on."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from shapely.geometry import Polygon

from barwright.findings import Finding, Level
from barwright.geometry.pose import Pose, frame
from barwright.geometry.vectors import UP, Floats, angle_between, square_to, unit
from barwright.job.plate_schema import FittingTable
from barwright.job.quantities import PositiveLength, SomeLength
from barwright.plates.blank import Plate, blank, bored, part_of
from barwright.plates.hinged import shifted
from barwright.plates.joint import Joint, Made
from barwright.plates.outline import circle, points, rounded
from barwright.plates.part import Loop
from barwright.tubes.bars import BuiltBar, End

PRACTICE = "common practice, no source"


class Table(FittingTable):
    """Parameters of a foot plate; None is worked out.

    Attributes:
        bar: the tube.
        end: which end of it stands on the plate.
        face: level, or square to the tube; None takes level where the tube leans 45° or less.
        length: of the plate, the way the tube leans [mm]; None takes the tube's footprint, and
            room for bolts.
        width: across that [mm].
        corner: radius at the plate's corners [mm].
        bolts: 0, 2 or 4 holes.
        hole: their diameter [mm]; None takes 10.5 mm or 13/32 in.
        drain: diameter of a hole inside the tube [mm]; 0 for none.
    """

    bar: str
    end: Literal["from", "to"] = "from"
    face: Literal["level", "square"] | None = None
    length: PositiveLength | None = None
    width: PositiveLength | None = None
    corner: SomeLength = 10.0
    bolts: Literal[0, 2, 4] = 4
    hole: PositiveLength | None = None
    drain: SomeLength = 6.0


def foot_plate(joint: Joint) -> Made:
    """A plate under a tube's end.

    Raises:
        BadInput: a parameter cannot be used.
    """
    table = joint.read(Table)
    plate = joint.plate(table)
    names = tuple(b.name for b in joint.bars.bars)
    if table.bar not in names:
        raise joint.bad("bar", table.bar, "a bar of the job", names)
    bar = joint.bars.named(table.bar)
    end = bar.start if table.end == "from" else bar.finish
    pose, lean = _frame(table, end)
    foot = bar.radius / math.cos(lean)  # half the footprint the way it leans
    hole = table.hole or (10.3 if joint.inches else 10.5)
    margin = 2.0 * hole + 1.5 * hole if table.bolts else max(3.0 * plate.thickness, 10.0)
    length = table.length or 2.0 * (foot + margin)
    width = table.width or 2.0 * (
        bar.radius + (margin if table.bolts == 4 else 3.0 * plate.thickness)
    )
    _fits(joint, bar, foot, length, width)
    shape = Polygon(points(rounded(_box(length, width), table.corner)))
    b = blank(plate, shape, shifted(pose, -plate.thickness))
    holes = _bolts(table, length, width, hole)
    drain = (circle((0.0, 0.0), table.drain / 2.0, hole=True),) if table.drain else ()
    part = part_of(bored(b, *holes, *drain), joint.name, keep=(0.0, 0.0))
    joins = frozenset({(part.name, bar.name)})
    return Made(parts=(part,), joins=joins, findings=_findings(joint, table, bar, holes, foot))


def _frame(table: Table, end: End) -> tuple[Pose, float]:
    """Origin where the tube ends, z into the tube's side of the plate, x the way it leans."""
    along = np.array(end.along)
    up = np.array(UP) if along[2] >= 0.0 else -np.array(UP)
    level = table.face == "level" or (
        table.face is None and angle_between(along, up) <= math.radians(45.0)
    )
    z: Floats = up if level else along
    side = along - (along @ z) * z
    x = unit(side) if np.linalg.norm(side) > 1e-6 else square_to(z)
    return frame(end.origin, x, np.cross(z, x)), angle_between(along, z)


def _box(length: float, width: float) -> Floats:
    x, y = length / 2.0, width / 2.0
    return np.array([(-x, -y), (x, -y), (x, y), (-x, y)])


def _bolts(table: Table, length: float, width: float, hole: float) -> tuple[Loop, ...]:
    x, y = length / 2.0 - 1.75 * hole, width / 2.0 - 1.75 * hole
    spots = {0: (), 2: ((-x, 0.0), (x, 0.0)), 4: ((-x, -y), (x, -y), (x, y), (-x, y))}[table.bolts]
    return tuple(circle(s, hole / 2.0, hole=True) for s in spots)


def _fits(joint: Joint, bar: BuiltBar, foot: float, length: float, width: float) -> None:
    if length < 2.0 * foot or width < 2.0 * bar.radius:
        short = "length" if length < 2.0 * foot else "width"
        need = 2.0 * (foot if short == "length" else bar.radius)
        have = length if short == "length" else width
        raise joint.bad(short, f"{have:.1f} mm", f"the tube's footprint, {need:.1f} mm, or more")


def _findings(
    joint: Joint, table: Table, bar: BuiltBar, holes: tuple[Loop, ...], foot: float
) -> tuple[Finding, ...]:
    """Room for a washer and a spanner between each bolt and the tube."""
    if not holes:
        return ()
    rooms = []
    for h in holes:
        (x, y, _), (x1, _, _) = h.vertices
        d = x1 - x
        c = np.array([(x + x1) / 2.0, y])
        rooms.append(float(np.hypot(c[0] * bar.radius / foot, c[1])) - bar.radius - d)
    least = min(rooms)
    if least >= 3.0:
        return ()
    return (
        Finding(
            code="plates.foot-bolts",
            level=Level.LOOK,
            subject=joint.name,
            says=f"A washer on the nearest bolt comes within {least:.1f} mm of "
            f"{table.bar}: no room for the weld.",
            measured=least,
            allowed=3.0,
            unit="mm",
            source=PRACTICE,
            remedy=f"Make the plate {2.0 * (3.0 - least):.1f} mm longer and wider.",
        ),
    )


__all__ = ["Plate", "Table", "foot_plate"]
