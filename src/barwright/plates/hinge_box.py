"""What a boxed hinge is worked out from: its parameters, its stack of hardware, its measures."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.solids import Body, Rod
from barwright.geometry.vectors import Floats, point
from barwright.job.plate_schema import FittingTable
from barwright.job.quantities import PositiveLength, SomeLength
from barwright.plates.blank import Plate
from barwright.plates.hinged import Hung, where_crossed
from barwright.plates.joint import Joint, line_body
from barwright.plates.part import Hardware
from barwright.plates.shadow import near
from barwright.tubes.bars import BuiltBar
from barwright.tubes.bushing import hinge_diameters


class HingeTable(FittingTable):
    """Parameters of a boxed hinge; None is worked out from the joint.

    Attributes:
        on: the standing bar it is welded to; None takes the nearest to the axis.
        bolt: diameter of the pivot bolt [mm]; None takes 1/2 in or 12 mm.
        hole: diameter of the pivot holes [mm]; None takes the bolt and 0.25 mm.
        spacer_od: outside diameter of the sleeve on the bolt [mm].
        bushing_od: outside diameter of the bushing [mm].
        bushing: its length [mm]; None leaves room for the mouth's arms beside the bends.
        end_float: how much longer the two spacers are together than the bushing [mm].
        clearance: round the swept bar [mm].
        stop_gap: between bar and stop when closed [mm].
        edge: from the pivot's centre to the cheek's edge [mm]; None takes twice the bolt.
        lip: plate beyond the closed end of the mouth [mm]; None takes three thicknesses.
        gusset: whether there is one between the cheeks.
        corner: radius of the cheeks' outside corners [mm]; None takes one thickness.
    """

    on: str | None = None
    bolt: PositiveLength | None = None
    hole: PositiveLength | None = None
    spacer_od: PositiveLength | None = None
    bushing_od: PositiveLength | None = None
    bushing: PositiveLength | None = None
    end_float: SomeLength = 0.508
    clearance: SomeLength = 2.0
    stop_gap: SomeLength = 0.4
    edge: PositiveLength | None = None
    lip: PositiveLength | None = None
    gusset: bool = True
    corner: SomeLength | None = None


@dataclass(frozen=True, kw_only=True)
class HingeStack:
    """What turns on what, all on one axis [mm].

    Attributes:
        bolt, hole: diameters of the pivot bolt and of the holes in the cheeks.
        spacer_od: of the sleeves, pressed in from both sides and meeting in the middle; also the
            bushing's bore, the running fit aside.
        spacer: length of each of the two sleeves.
        bushing, bushing_od: length and outside diameter of the bushing on the bar's end.
        gap: between the cheeks' inner faces: the two sleeves' length.
    """

    bolt: float
    hole: float
    spacer_od: float
    spacer: float
    bushing: float
    bushing_od: float
    gap: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Box:
    """The hinge of one joint and its measures.

    Attributes:
        joint, table: what is asked for.
        h: the leaf's end on the axis, and the frame all is drawn in.
        plate: what it is cut from.
        post: the tube it is welded to.
        at_post: where that tube passes the frame's x-y plane [mm].
        stack: the hardware on the axis.
        edge: from the axis to the cheeks' edge [mm].
        wall: from the axis to the wall's inner face, out along the leaf [mm].
        bar, tube, others: what of the leaf's bar, of the post and of other standing bars lies
            near.
    """

    joint: Joint
    table: HingeTable
    h: Hung
    plate: Plate
    post: BuiltBar
    at_post: tuple[float, float]
    stack: HingeStack
    edge: float
    wall: float
    bar: Body
    tube: Body
    others: Body

    @property
    def along(self) -> Floats:
        """The bar's direction in the frame."""
        return self.h.frame.inverse().directions(self.h.end.along)

    @property
    def to_post(self) -> float:
        """How far the tube's centre stands from the axis [mm]."""
        return float(np.hypot(*self.at_post))

    @property
    def wall_span(self) -> tuple[float, float]:
        """How far the wall reaches to the closed side and to the open side (y) [mm]."""
        lip = self.table.lip or 3.0 * self.plate.thickness
        return -(self.h.bar.radius + self.table.stop_gap + lip), self.h.bar.radius

    @property
    def gap(self) -> float:
        """The weld gap [mm]."""
        return self.joint.gap(self.table)


def box_of(joint: Joint, table: HingeTable, h: Hung) -> Box:
    """The hinge's measures, worked out from the joint where they are not given.

    Raises:
        BadInput: the standing bar is not there.
    """
    plate = joint.plate(table)
    axis = h.frame.directions((0.0, 0.0, 1.0))
    post = joint.standing(table.on, h.frame.shift, beside=axis)
    at_post = where_crossed(post, h.frame)
    bolt, sleeve, bushing_od = hinge_diameters(
        inches=joint.inches,
        bolt=table.bolt,
        spacer_od=table.spacer_od,
        bushing_od=table.bushing_od,
    )
    edge = table.edge or max(2.0 * bolt, bushing_od / 2.0 + 3.0)
    wall = edge + plate.radius
    bushing = table.bushing or _bushing(joint, table, h, plate, wall)
    gap = bushing + table.end_float
    centre = np.array(h.frame.shift)
    reach = 2.0 * math.hypot(*at_post) + gap + 4.0 * wall
    return Box(
        joint=joint,
        table=table,
        h=h,
        plate=plate,
        post=post,
        at_post=at_post,
        stack=HingeStack(
            bolt=bolt,
            hole=table.hole or bolt + 0.25,
            spacer_od=sleeve,
            spacer=gap / 2.0,
            bushing=bushing,
            bushing_od=bushing_od,
            gap=gap,
        ),
        edge=edge,
        wall=wall,
        bar=near(line_body(h.bar), centre, 2.0 * wall),
        tube=near(line_body(post), centre, reach),
        others=joint.around(h.frame.shift, reach, post.name),
    )


def _bushing(joint: Joint, table: HingeTable, h: Hung, plate: Plate, wall: float) -> float:
    """Room above and below the bar for clearance, an arm of two thicknesses, and the bend."""
    along = h.frame.inverse().directions(h.end.along)
    lean = math.asin(min(abs(float(along[2])), 0.9))
    half = h.bar.radius / math.cos(lean) + (wall + plate.thickness) * math.tan(lean)
    half += table.clearance + 2.0 * plate.thickness + plate.radius
    step = 3.175 if joint.inches else 1.0
    return math.ceil((2.0 * half - table.end_float) / step - 1e-9) * step


def hardware(box: Box) -> tuple[Hardware, ...]:
    """Bushing, the two sleeves and the bolt, where they stand."""
    s, over = box.stack, box.plate.thickness
    half, leaf = s.bushing / 2.0, box.h.motion.leaf
    up = box.h.upward
    tube = f"bushing, od {s.bushing_od:.2f} mm, bore {s.spacer_od:.2f} mm, {s.bushing:.2f} mm long"
    sleeve = f"spacer, od {s.spacer_od:.2f} mm, bore {s.bolt:.2f} mm, {s.spacer:.3f} mm long"
    reach = s.gap / 2.0 + over
    bolt = f"bolt, {s.bolt:.2f} mm, grip {s.gap + 2.0 * over:.2f} mm"
    return (
        _round(box, "bushing", tube, s.bushing_od, -half, half, (("bore", s.spacer_od),), leaf),
        _round(box, "spacer-upper", sleeve, s.spacer_od, 0.0, up * s.spacer, (("bore", s.bolt),)),
        _round(box, "spacer-lower", sleeve, s.spacer_od, -up * s.spacer, 0.0, (("bore", s.bolt),)),
        _round(box, "bolt", bolt, s.bolt, -reach - s.bolt, reach + s.bolt, ()),
    )


def _round(  # noqa: PLR0917 - a row of the table above
    box: Box,
    what: str,
    words: str,
    od: float,
    low: float,
    high: float,
    dims: tuple[tuple[str, float], ...],
    rides: str = "",
) -> Hardware:
    a, b = (point(box.h.frame.points((0.0, 0.0, z))) for z in (low, high))
    name = f"{box.joint.name}.{what}"
    return Hardware(
        name=name,
        what=words,
        dims=(("od", od), ("length", abs(high - low)), *dims),
        body=Body(name=name, solids=(Rod(start=a, end=b, radius=od / 2.0),)),
        rides=rides,
    )


def intended(box: Box) -> frozenset[tuple[str, str]]:
    """The bushing turns on the bolt and its sleeves and runs between the cheeks."""
    n = box.joint.name
    movers = (box.h.bar.name, f"{n}.bushing")
    inside = [(m, f"{n}.{s}") for m in movers for s in ("bolt", "spacer-upper", "spacer-lower")]
    beside = [(f"{n}.bushing", f"{n}.cheek-{side}") for _, side in box.h.sides()]
    return frozenset([*inside, *beside])
