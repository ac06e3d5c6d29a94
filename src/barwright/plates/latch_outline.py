"""The bought latch on its carrier: where its outline, its holes and its mouth come to lie.

Everything in the frame at the leaf's end: u outward, v the way the leaf opens, w the axis. The
striker comes in against v, and its line on the drawing is laid on that way, its seat where the
striker stands. Reversed, the latch lies on its other face: mirrored in the striker's line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Dot
from shapely.geometry.base import BaseGeometry

from barwright.findings import Finding, Level
from barwright.geometry.solids import Body
from barwright.job.drawings import Drawing, Ring, mirrored, round_hole, sampled
from barwright.job.errors import BadInput, Fault
from barwright.job.plate_schema import Bought
from barwright.job.schema import Job
from barwright.plates.hinged import Hung, shifted
from barwright.plates.joint import Joint
from barwright.plates.outline import moved
from barwright.plates.part import Flat, Hardware, Loop, Part
from barwright.plates.shadow import shadow
from barwright.plates.solids import body_of
from barwright.plates.striker import Striker

PRACTICE = "common practice, no source"
SPARE = 3.0
"""Room beside the latch, between carrier and striker gusset, in all [mm]; no source."""
FARTHEST = 60.0
"""Shifts beyond this [mm] are not offered."""


@dataclass(frozen=True, kw_only=True)
class Latch:
    """A bought latch where it is mounted.

    Attributes:
        name: of the part; "side.latch.latch".
        outline: its outer edge, in u and v [mm].
        fixing: centre and diameter of each hole that fixes it [mm].
        depth: from its mouth's edge to the striker's seat [mm].
        width: of its mouth across the striker's way [mm]; None where the drawing shows none.
        thickness: from the carrier's face out [mm].
        reversed: whether it lies on its other face.
        notes: what reading the drawing left to be said.
    """

    name: str
    outline: Loop
    fixing: tuple[tuple[Flat, float], ...]
    depth: float
    width: float | None
    thickness: float
    reversed: bool
    notes: tuple[str, ...] = ()

    def polygon(self) -> Polygon:
        """The outline as a polygon in u and v."""
        return Polygon(sampled(self.outline.vertices))


def bought_named(joint: Joint, name: str) -> Bought:
    """The table of a bought part.

    Raises:
        BadInput: there is none.
    """
    if name not in joint.job.bought:
        raise joint.bad("part", name, "a [bought] part of the job", tuple(joint.job.bought))
    return joint.job.bought[name]


def latch_gap_for(job: Job, leaf: str) -> float | None:
    """Room a leaf's bought latch needs between the two plates [mm]; None where none is named."""
    latch = job.leaf[leaf].latch if leaf in job.leaf else None
    part = (latch.model_extra or {}).get("part") if latch is not None else None
    table = job.bought.get(part) if isinstance(part, str) else None
    return None if table is None or table.thickness is None else table.thickness + SPARE


def mounted(joint: Joint, part: str, s: Striker, *, turned_over: bool, room: float) -> Latch | None:
    """The latch where it is mounted; None where its drawing was not read.

    Args:
        joint: names the latch.
        part: of the [bought] tables.
        s: where the striker stands.
        turned_over: whether it is mounted reversed.
        room: between the two plates [mm]: its thickness where none is given.

    Raises:
        BadInput: no such part, or none with a striker line.
    """
    table = bought_named(joint, part)
    if table.striker is None or math.dist(*table.striker) < 0.1:
        raise _no_line(part)
    drawing = joint.job.drawing(table.outline)
    if drawing is None:
        return None
    lay = _Lay(table.striker, s, turned_over != (s.far > 0.0))
    outline = lay.ring(drawing.outline)
    return Latch(
        name=f"{joint.name}.{part}",
        outline=outline,
        fixing=tuple(_fixing(part, table, drawing, lay)),
        depth=math.dist(*table.striker),
        width=_mouth_width(outline, s.reach, math.dist(*table.striker)),
        thickness=table.thickness or room,
        reversed=turned_over,
        notes=drawing.notes,
    )


@dataclass(frozen=True)
class _Lay:
    """How the drawing is laid on the carrier."""

    line: tuple[Flat, Flat]
    s: Striker
    over: bool

    def ring(self, ring: Ring) -> Loop:
        """A ring of the drawing in u and v."""
        (ax, ay), (bx, by) = self.line
        way = math.atan2(by - ay, bx - ax)
        at_seat = moved(Loop(vertices=ring), shift=(-bx, -by))
        inward = moved(at_seat, turn=-math.pi / 2.0 - way)
        laid = Loop(vertices=mirrored(inward.vertices)) if self.over else inward
        return moved(laid, shift=(self.s.reach, 0.0))


def _fixing(part: str, table: Bought, drawing: Drawing, lay: _Lay) -> list[tuple[Flat, float]]:
    """Centre in u, v and diameter of the holes that fix it.

    Raises:
        BadInput: a hole is asked for where the drawing has none.
    """
    found = [(ring, hole) for ring in drawing.holes if (hole := round_hole(ring)) is not None]
    kept = []
    for ring, (centre, _) in found:
        wanted = table.holes is None or any(math.dist(centre, at) < 0.5 for at in table.holes)
        hole = round_hole(lay.ring(ring).vertices) if wanted else None
        kept += [hole] if hole is not None else []
    for at in table.holes or ():
        if not any(math.dist(centre, at) < 0.5 for _, (centre, _) in found):
            raise _no_hole(part, at)
    return kept


def _mouth_width(outline: Loop, u: float, depth: float) -> float | None:
    """How wide the notch is halfway in, across the striker's way [mm]; None without a notch."""
    whole = Polygon(sampled(outline.vertices))
    x0, _, x1, _ = whole.bounds
    half = depth / 2.0
    if whole.contains(Dot(u, half)):
        return None
    across = LineString([(x0 - 1.0, half), (x1 + 1.0, half)]) & whole
    ends = np.array([c for g in getattr(across, "geoms", [across]) for c in g.coords])
    if not len(ends):
        return None
    left, right = ends[ends[:, 0] < u], ends[ends[:, 0] > u]
    if not len(left) or not len(right):
        return None
    return float(right[:, 0].min() - left[:, 0].max())


# ---- what comes of it ---------------------------------------------------------------------------


def mouth_cut(latch: Latch, s: Striker, clearance: float) -> BaseGeometry:
    """The slot along the striker's line, in u and v: out of the carrier's front."""
    far = max(latch.depth, s.stop_v) + 2.0 * s.bolt
    low = -s.adjust / 2.0
    return LineString([(s.reach, low), (s.reach, far)]).buffer(s.bolt / 2.0 + clearance)


def pads(latch: Latch, thickness: float) -> BaseGeometry:
    """Plate that its holes need round them: two thicknesses."""
    return shapely.union_all([Dot(at).buffer(d / 2.0 + 2.0 * thickness) for at, d in latch.fixing])


def as_hardware(latch: Latch, h: Hung, s: Striker) -> Hardware:
    """The latch as a body on the carrier's face: holes filled, mouth open."""
    body = body_of(_solid(latch, h, s))
    x0, y0, x1, y1 = latch.polygon().bounds
    what = f"{latch.name.rpartition('.')[2]}, {x1 - x0:.0f} x {y1 - y0:.0f} mm, bought"
    over = ", mounted reversed" if latch.reversed else ""
    return Hardware(
        name=latch.name,
        what=f"{what}{over}",
        dims=(("thickness", latch.thickness),),
        body=Body(name=latch.name, solids=body.solids),
    )


def _solid(latch: Latch, h: Hung, s: Striker) -> Part:
    return Part(
        name=latch.name,
        thickness=latch.thickness,
        material="",
        outline=latch.outline,
        placed=shifted(h.frame, _low(latch, s)),
    )


def _low(latch: Latch, s: Striker) -> float:
    """W of the latch's lower face: it lies against the carrier's near face."""
    return s.near_face - latch.thickness if s.far > 0.0 else -s.near_face


def latch_findings(
    latch: Latch, h: Hung, s: Striker, *, plate: BaseGeometry, thickness: float, tubes: Body
) -> tuple[Finding, ...]:
    """Whether the latch can be fixed to the carrier, and whether a tube stands in its way.

    Args:
        latch: where it is mounted.
        h: the leaf's end.
        s: where the striker stands.
        plate: the carrier's face in u and v, mouth cut, not yet bored.
        thickness: of the carrier [mm].
        tubes: what stands near.
    """
    return (_fits(latch, plate, thickness), _clears(latch, h, s, tubes))


def _fits(latch: Latch, plate: BaseGeometry, thickness: float) -> Finding:
    """Each fixing hole wants a plate's thickness of plate round it."""
    edge, at = min(((_edge(plate, at, d), at) for at, d in latch.fixing), default=(0.0, (0.0, 0.0)))
    good = bool(latch.fixing) and edge >= thickness - 1e-6
    notes = "".join(f" On its drawing: {n}." for n in latch.notes)
    holes = f"{len(latch.fixing)} fixing holes of its drawing are bored"
    says = (
        f"{latch.name}: {holes}; the one at u {at[0]:.1f}, v {at[1]:.1f} mm has {edge:.1f} mm of "
        f"plate beside it.{notes}"
        if latch.fixing
        else f"{latch.name}: its drawing has no round hole to fix it by.{notes}"
    )
    return Finding(
        code="plates.latch-fit",
        level=Level.GOOD if good else Level.MUST if edge <= 0.0 else Level.LOOK,
        subject=latch.name,
        says=says,
        measured=edge,
        allowed=thickness,
        unit="mm",
        source=PRACTICE,
        remedy="" if good else _more_plate(latch, thickness - edge),
    )


def _more_plate(latch: Latch, short: float) -> str:
    if not latch.fixing:
        return "draw its fixing holes as circles, or weld a nut plate and name `holes`"
    turn = "mount it the other way round (reversed), " if not latch.reversed else ""
    return f"{turn}move the striker's reach by {short:.1f} mm, or name other `holes`"


def _edge(plate: BaseGeometry, at: Flat, d: float) -> float:
    """Plate beside a hole [mm]; below 0 where the hole runs out of the plate."""
    dot = Dot(at)
    off = float(dot.distance(plate.boundary))
    return (off if plate.contains(dot) else -off) - d / 2.0


def _clears(latch: Latch, h: Hung, s: Striker, tubes: Body) -> Finding:
    """Whether the latch stands in a tube."""
    dark = shadow(tubes, shifted(h.frame, _low(latch, s)), (0.0, latch.thickness))
    own = latch.polygon()
    gap = float(own.distance(dark)) if not dark.is_empty else math.inf
    into = _into(own, dark) if gap <= 0.0 else 0.0
    clash = gap <= 0.0
    return Finding(
        code="plates.latch-clash",
        level=Level.MUST if clash else Level.GOOD,
        subject=latch.name,
        says=f"{latch.name} stands {into:.1f} mm in the tube beside it."
        if clash
        else f"{latch.name} clears the tubes beside it.",
        measured=-into if clash else (gap if math.isfinite(gap) else None),
        allowed=0.0,
        unit="mm",
        source="plane geometry",
        remedy=_room_for(latch, s, own, dark, into) if clash else "",
    )


def _into(own: Polygon, dark: BaseGeometry) -> float:
    """How far the latch has to draw back toward the leaf to come out of a shadow [mm]."""
    low, high = 0.0, FARTHEST
    if shapely.affinity.translate(own, -high).intersects(dark):
        return high
    while high - low > 0.05:
        middle = 0.5 * (low + high)
        if shapely.affinity.translate(own, -middle).intersects(dark):
            low = middle
        else:
            high = middle
    return high


def _room_for(latch: Latch, s: Striker, own: Polygon, dark: BaseGeometry, into: float) -> str:
    over = shapely.affinity.scale(own, xfact=-1.0, yfact=1.0, origin=(s.reach, 0.0))
    words = [] if over.intersects(dark) else [f"set reversed = {str(not latch.reversed).lower()}"]
    if s.reach - into > 0.0:
        words.append(f"set the striker's reach to {s.reach - into:.1f} mm")
    else:
        words.append(f"trim the leaf's end by {into:.1f} mm")
    return ", or ".join(words)


def not_read(joint: Joint, part: str) -> Finding:
    """The finding for a drawing that was not at hand."""
    return Finding(
        code="plates.latch-fit",
        level=Level.LOOK,
        subject=f"{joint.name}.{part}",
        says=f"The drawing of {part} was not read here: its holes and mouth are not checked.",
        remedy="check the job from its folder",
    )


def _no_line(part: str) -> BadInput:
    return BadInput(
        Fault(
            file="job.toml",
            entry=f"bought.{part}.striker",
            read="no line" if part else "",
            expected="the line its striker comes in by: [[x, y], [x, y]], mouth's edge to seat",
            do="take both points off its drawing",
        )
    )


def _no_hole(part: str, at: Flat) -> BadInput:
    return BadInput(
        Fault(
            file="job.toml",
            entry=f"bought.{part}.holes",
            read=f"x {at[0]:.2f}, y {at[1]:.2f} mm",
            expected="the centre of a round hole of its drawing, within 0.5 mm",
            do="take it off the drawing, or leave holes out for all of them",
        )
    )
