"""corner-gusset: a plate in the corner between two tubes, or inside a tube's bend.

Its edges follow both tubes; its ends are blunt, a toe above the tube; the inside corner is
cleared for the weld that the tubes themselves have there.
"""

from __future__ import annotations

import math

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.vectors import Floats
from barwright.job.quantities import Length, PositiveLength
from barwright.plates.against import cut, following
from barwright.plates.blank import Plate, blank, bored, part_of
from barwright.plates.corner import Corner, CornerTable, corner_of
from barwright.plates.hinged import shifted
from barwright.plates.joint import Joint, Made
from barwright.plates.outline import circle
from barwright.plates.part import Part
from barwright.plates.shapes import largest

PRACTICE = "common practice, no source"


class Table(CornerTable):
    """Parameters of a corner gusset; None is worked out from the joint.

    Attributes:
        room: radius cleared at the inside corner [mm]; None takes three thicknesses.
        hole: diameter of a lightening hole [mm]; None for no hole.
        offset: of the plate's middle out of the tubes' plane [mm].
    """

    room: PositiveLength | None = None
    hole: PositiveLength | None = None
    offset: Length = 0.0


def corner_gusset(joint: Joint) -> Made:
    """A gusset plate between two tubes.

    Raises:
        BadInput: a parameter cannot be used.
    """
    table = joint.read(Table)
    plate = joint.plate(table)
    corner = corner_of(joint, table, plate.thickness)
    try:
        part = _part(joint, table, plate, corner)
    except ValueError:
        raise joint.bad(
            "leg", f"{corner.leg:.1f} mm", "legs that leave some plate", do="make them longer"
        ) from None
    joins = frozenset((part.name, tube) for tube in corner.names)
    return Made(parts=(part,), findings=findings(part, corner), joins=joins)


def _part(joint: Joint, table: Table, plate: Plate, corner: Corner) -> Part:
    room = table.room or 3.0 * plate.thickness
    shape = largest(corner.outline() - corner.clear(room))
    b = blank(plate, shape, shifted(corner.frame, table.offset - plate.thickness / 2.0))
    b = cut(b, following(corner.tubes, joint.gap(table)))
    keep = middle(corner)
    if table.hole is not None:
        b = bored(b, circle((float(keep[0]), float(keep[1])), table.hole / 2.0, hole=True))
    return part_of(b, joint.name, keep=(float(keep[0]), float(keep[1])))


def middle(corner: Corner) -> Floats:
    """A point well inside the gusset: between its toes and the inside corner."""
    a, b = corner.toes()
    return np.asarray((a + b) / 3.0 + corner.inner / 3.0)


def findings(part: Part, corner: Corner) -> tuple[Finding, ...]:
    """Whether a welder gets at the inside: the corner's angle."""
    angle = math.degrees(corner.opening)
    if angle >= 30.0:
        return ()
    return (
        Finding(
            code="plates.weld-access",
            level=Level.LOOK,
            subject=part.name,
            says=f"{corner.names[0]} and {corner.names[1]} stand at {angle:.0f}°: "
            "a torch hardly gets in.",
            measured=angle,
            allowed=30.0,
            unit="deg",
            source=PRACTICE,
            remedy="Weld the tubes first, then the gusset from its open side.",
        ),
    )


__all__ = ["Table", "corner_gusset", "findings", "middle"]
