"""latch-carrier: a folded plate on the standing tube that carries the bought latch.

A plate square to the axis, out from the tube to the striker, folded over along the side the leaf
closes to; both legs follow the tube. Its front edge is what the striker's stop flange comes to
rest on. Two gussets stand in the corner of the fold, tabbed into both legs, their own corner cut
off clear of the bend's radius. The striker's way in is what it sweeps and a clearance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon, box
from shapely.geometry import Point as Dot
from shapely.geometry.base import BaseGeometry

from barwright.findings import Finding, Level
from barwright.geometry.pose import Pose, pose_of
from barwright.geometry.silhouettes import Window
from barwright.geometry.solids import Body, Rod
from barwright.geometry.vectors import Bools, Floats
from barwright.job.plate_schema import FittingTable, FlatLength
from barwright.job.quantities import PositiveLength, SomeLength
from barwright.plates.against import Shadow, cut, following
from barwright.plates.blank import Blank, Plate, blank, bored, flange, part_of
from barwright.plates.fittings.striker_gusset import Table as StrikerTable
from barwright.plates.fittings.striker_gusset import pin_body, placed, room
from barwright.plates.hinged import Hung, hung, shifted
from barwright.plates.joint import Joint, Made, line_body
from barwright.plates.latch_outline import (
    SPARE,
    Latch,
    as_hardware,
    latch_findings,
    mounted,
    mouth_cut,
    not_read,
    pads,
)
from barwright.plates.latching import Closing, bearing_of, closing_findings, doubt_along
from barwright.plates.outline import circle
from barwright.plates.part import Flat, Loop, Part
from barwright.plates.shadow import near
from barwright.plates.shapes import largest
from barwright.plates.slots import Tab, slot_for, with_tab
from barwright.plates.solids import body_of
from barwright.plates.striker import Striker
from barwright.swing.mouth import mouth

PRACTICE = "common practice, no source"


class Table(FittingTable):
    """Parameters of a latch carrier; None is worked out from the joint.

    Attributes:
        on: the standing bar it is welded to; None takes the nearest to the leaf's end.
        part: the latch, a [bought] part: its round holes are bored, its striker line is the way
            in; instead of `holes`.
        holes: centres of the latch's fixing holes, from the striker's centre: outward, and the
            way the leaf opens [mm]; None takes two beside the mouth.
        hole: their diameter [mm].
        reversed: whether the latch is mounted the other way round: on its other face, holes
            inward for outward.
        clearance: round the swept striker [mm].
        depth: of the folded leg, outside [mm]; None takes what the gussets need.
        gussets: how many stand in the fold: 0, 1 or 2.
    """

    on: str | None = None
    part: str | None = None
    holes: tuple[FlatLength, ...] | None = None
    hole: PositiveLength = 6.6
    reversed: bool = False
    clearance: SomeLength = 2.0
    depth: PositiveLength | None = None
    gussets: int = 2


def latch_carrier(joint: Joint) -> Made:
    """A latch carrier at a leaf's free end.

    Raises:
        BadInput: a parameter cannot be used.
    """
    table, h = joint.read(Table), hung(joint, far=True)
    made = joint.made.get("striker")
    s = made.knows["striker"] if made else placed(joint, StrikerTable(), h)
    c = _Carrier(joint, table, h, s)
    parts = c.parts()
    latch = () if c.latch is None else (as_hardware(c.latch, h, s),)
    bolt = s.name.rpartition(".")[0] + ".bolt"
    joins = [(parts[0].name, c.post.name), *((g.name, parts[0].name) for g in parts[1:])]
    return Made(
        parts=parts,
        hardware=latch,
        findings=c.findings(),
        intended=frozenset((bolt, item.name) for item in latch),
        rests=frozenset({(c.s.name, parts[0].name)}),
        joins=frozenset(joins),
    )


@dataclass(frozen=True, kw_only=True)
class _Edges:
    """The plate's edges in the frame at the leaf's end [mm]."""

    inner: float
    front: float
    back: float


class _Carrier:
    """The carrier of one joint: what its plates are worked out from."""

    def __init__(self, joint: Joint, table: Table, h: Hung, s: Striker) -> None:
        self.joint, self.table, self.h, self.s = joint, table, h, s
        self.plate: Plate = joint.plate(table)
        self.latch: Latch | None = None
        if table.part is not None:
            room_ = s.near_face - s.thickness / 2.0 - SPARE
            self.latch = mounted(joint, table.part, s, turned_over=table.reversed, room=room_)
        self.face: BaseGeometry = Polygon()
        self.fixing: tuple[Loop, ...] = ()
        self.made: tuple[Part, ...] = ()
        self.post, self.free, self.at = room(joint, table.on, h)
        reach = 3.0 * self.free + 150.0
        self.tube = near(line_body(self.post), np.array(h.end.origin), reach)
        self.others = joint.around(h.end.origin, reach, self.post.name)
        t, r = self.plate.thickness, self.plate.radius
        self.tab = 2.4 * t  # a tab's width
        self.foot = r + 2.0 * t + self.tab / 2.0 + 0.3  # its middle, from the fold's corner
        self.leg = self.foot + self.tab / 2.0 + 1.5 * t  # a gusset's legs, along either plate
        self.depth = table.depth or self.leg + t + 4.0
        mouth_end = s.bolt / 2.0 + s.adjust / 2.0 + table.clearance
        back = -(mouth_end + 2.0 * self.plate.thickness + self.leg)
        self.edges = _Edges(
            inner=max(4.0, s.reach - s.bolt - table.clearance - 3.0 * self.plate.thickness),
            front=s.stop_v - s.stop_gap,
            back=min(back, self.at[1] - 0.5 * self.post.radius),
        )

    def parts(self) -> tuple[Part, ...]:
        """The folded plate and its gussets."""
        b = self._plate()
        made = []
        for i, u in enumerate(self._stations()):
            pose, shape, tabs = self._gusset(u)
            name = f"{self.joint.name}.gusset-{i + 1}"
            for region, tab in tabs:
                shape = largest(with_tab(shape, tab))
                b = bored(b, self._slot(b, pose, region, tab))
            keep = shape.representative_point()
            made.append(part_of(blank(self.plate, shape, pose), name, keep=(keep.x, keep.y)))
        keep_at = (self.edges.inner + 1.0, self.edges.back + 2.0)
        plate = part_of(b, f"{self.joint.name}.plate", keep=keep_at)
        self.made = (plate, *made)
        return self.made

    def _plate(self) -> Blank:
        p, s, e = self.plate, self.s, self.edges
        low = s.near_face if s.far > 0.0 else -s.near_face - p.thickness
        b = blank(p, self._base(), shifted(self.h.frame, low))
        end = max(self.at[0], e.inner + 10.0)
        b = flange(
            b,
            (e.inner, e.back),
            (end, e.back),
            reach=self.depth - p.radius - p.thickness,
            angle=s.far * math.pi / 2.0,
        )
        gap = self.joint.gap(self.table)
        b = cut(b, following(self.tube, gap), following(self.others, gap + 1.0), self._mouth())
        if self.latch is not None:
            b = replace(b, relief=(*b.relief, mouth_cut(self.latch, self.s, self.table.clearance)))
        self.face = b.regions[0].shape.difference(shapely.union_all(b.relief))
        self.fixing = self._holes(self.face)
        return bored(b, *self.fixing)

    def _base(self) -> Polygon:
        """From beside the striker out to the tube's sides; straight along the stop and the fold."""
        e, (u, v) = self.edges, self.at
        u1 = self.s.stop_u[1] + 2.0
        near_ = box(e.inner, e.back, u1, e.front)
        far_v = max(v + self.post.radius, e.front)
        outer = MultiPoint([(u1, e.back), (u1, e.front), (u, e.back), (u, far_v)]).convex_hull
        whole = near_.union(outer)
        if self.latch is not None:
            lane = box(-1e4, e.back, 1e4, e.front)
            whole = whole.union(pads(self.latch, self.plate.thickness) & lane)
        return largest(whole)

    def _holes(self, shape: BaseGeometry) -> tuple[Loop, ...]:
        """The latch's fixing holes: as asked for, or two where there is room beside the mouth."""
        if self.latch is not None and self.table.holes is None:
            return tuple(circle(at, d / 2.0, hole=True) for at, d in self.latch.fixing)
        rows, reach = self.table.holes, self.s.reach
        way = -1.0 if self.table.reversed else 1.0
        asked = [(reach + way * u, v) for u, v in rows or ()]
        spots = self._beside(shape) if rows is None else asked
        return tuple(circle(spot, self.table.hole / 2.0, hole=True) for spot in spots)

    def _beside(self, shape: BaseGeometry) -> list[Flat]:
        """Two spots toward the tube, or toward the leaf where the tube is too near; else none."""
        edge = self.table.hole / 2.0 + self.plate.thickness
        off = self.s.bolt / 2.0 + self.table.clearance + edge
        for out in (*np.arange(max(16.0, off), off - 0.5, -1.0), -off):
            spots = [(self.s.reach + float(out), v) for v in (-12.0, 8.0)]
            if all(shape.contains(Dot(spot).buffer(edge - 0.01)) for spot in spots):
                return spots
        return []

    def _mouth(self) -> Shadow:
        """What the striker sweeps at either end of its slot, and a clearance."""
        pins = self._pins()

        def cast(plane: Pose, z: tuple[float, float], _window: Window) -> BaseGeometry:
            way = (self.edges.front + 2.0 * self.s.bolt + self.s.adjust) / self._arm()
            angles = (0.0, min(self.h.sweep, way))
            swept = mouth(self.h.motion, pins, plane, z, angles, self.table.clearance, within=0.4)
            return swept.convex_hull

        return Shadow(cast=cast, near=self._near_pins, relief=self.plate.thickness / 2.0)

    def _arm(self) -> float:
        """How far the striker is from the axis [mm]."""
        m = self.h.motion
        return float(np.linalg.norm(np.cross(np.subtract(self.h.end.origin, m.through), m.along)))

    def _near_pins(self, boxes: Floats) -> Bools:
        """Which boxes reach the striker's way in: as far back as its closed end."""
        p = self.h.frame.inverse().points(boxes)
        low, high = p.min(axis=1), p.max(axis=1)
        reach = self.s.bolt / 2.0 + self.table.clearance + 1.0
        back = -reach - self.s.adjust / 2.0
        u = self.s.reach
        return np.asarray((high[:, 1] > back) & (low[:, 0] < u + reach) & (high[:, 0] > u - reach))

    def _pins(self) -> Body:
        rod = pin_body(self.h, self.s, "striker", self.plate.thickness).solids[0]
        assert isinstance(rod, Rod)  # noqa: S101
        off = self.h.frame.directions((0.0, self.s.adjust / 2.0, 0.0))
        ends = [
            Rod(
                start=tuple(np.array(rod.start) + k * off),
                end=tuple(np.array(rod.end) + k * off),
                radius=rod.radius,
            )
            for k in (-1.0, 1.0)
        ]
        return Body(name="striker", solids=tuple(ends))

    def _stations(self) -> tuple[float, ...]:
        """Where along the fold the gussets stand (their near face)."""
        e, t = self.edges, self.plate.thickness
        first = e.inner + 2.0 * t
        last = first + max(0.5 * (self.free - first), 0.0)
        both = (first, last) if last - first > 6.0 * t else (first,)
        return both[: max(0, min(self.table.gussets, 2))]

    def _gusset(self, u: float) -> tuple[Pose, Polygon, list[tuple[int, Tab]]]:
        """A right triangle in the fold's corner at u: local x along v, y away from the plate."""
        p, s, e = self.plate, self.s, self.edges
        face = s.near_face + p.thickness
        corner = np.array([u, e.back - p.radius, s.far * face])
        x, y = np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, s.far])
        z = np.cross(x, y)
        if z[0] < 0.0:
            corner = corner + np.array([p.thickness, 0.0, 0.0])
        pose = self.h.frame.after(pose_of(np.column_stack([x, y, z]), corner))
        clear = p.radius + 1.0
        down = min(self.leg, self.depth - p.thickness - 1.0)
        shape = Polygon([(clear, 0.0), (self.leg, 0.0), (0.0, down), (0.0, clear)])
        high = p.thickness + self.table.proud
        foot = min(self.foot, down - self.tab / 2.0 - 0.5)
        tabs = [
            (0, self._tab((self.foot, 0.0), (1.0, 0.0), (0.0, -1.0), high)),
            (2, self._tab((0.0, foot), (0.0, 1.0), (-1.0, 0.0), high)),
        ]
        return pose, shape, tabs

    def _tab(self, foot: Flat, along: Flat, out: Flat, high: float) -> Tab:
        return Tab(foot=foot, along=along, out=out, width=self.tab, height=high)

    def _slot(self, b: Blank, pose: Pose, region: int, tab: Tab) -> Loop:
        return slot_for(
            tab,
            thickness=self.plate.thickness,
            tabbed=pose,
            slotted=b.regions[region].pose,
            clearance=self.table.slot_clearance,
        )

    def findings(self) -> tuple[Finding, ...]:
        """How striker and stop meet the carrier, and whether the latch can be fixed on."""
        if self.latch is not None:
            return (*self._latch_findings(self.latch), *closing_findings(self._closing()))
        none = [] if self.fixing or self.table.holes == () else [self._no_holes()]
        lost = [not_read(self.joint, self.table.part)] if self.table.part else []
        return (*lost, *none, *closing_findings(self._closing()))

    def _latch_findings(self, latch: Latch) -> tuple[Finding, ...]:
        tubes = Body(name="tubes", solids=(*self.tube.solids, *self.others.solids))
        return latch_findings(
            latch, self.h, self.s, plate=self.face, thickness=self.plate.thickness, tubes=tubes
        )

    def _closing(self) -> Closing:
        """The striker's gusset comes to the plate; without one, the bar to the hinge's cheeks."""
        s, t = self.s, self.table
        striker, hinge = (self.joint.made.get(place) for place in ("striker", "hinge"))
        way = self.h.frame.directions((0.0, 1.0, 0.0))
        latch = self.latch
        width = s.bolt + 2.0 * t.clearance
        if latch is not None and latch.width is not None:
            width = min(width, latch.width)
        still = (*self.made[:1], *(hinge.parts[:2] if hinge else ()))
        return Closing(
            h=self.h,
            s=s,
            depth=latch.depth if latch is not None else self.edges.front,
            width=width,
            doubt=doubt_along(self.joint.covariance(self.h.end.mark), way),
            bearing=bearing_of(
                hinge.knows.get("stack") if hinge else None, hung(self.joint, far=False)
            ),
            movers=tuple(body_of(p) for p in striker.parts)
            if striker is not None
            else (line_body(self.h.bar),),
            standing=tuple(body_of(p) for p in still),
        )

    def _no_holes(self) -> Finding:
        return Finding(
            code="plates.latch-holes",
            level=Level.LOOK,
            subject=f"{self.joint.name}.plate",
            says="There is no room beside the mouth for the latch's fixing holes; none are made.",
            measured=self.free,
            unit="mm",
            source=PRACTICE,
            remedy=f"Give `holes` where the latch has them, or trim {self.h.bar.name} by 10.0 mm.",
        )


__all__ = ["Table", "latch_carrier"]
