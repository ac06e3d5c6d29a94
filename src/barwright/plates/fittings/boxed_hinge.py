"""boxed-hinge: two cheeks square to the axis, folded back into a wall with the bar's mouth in it.

The bar ends in a bushing across its end. A cheek stands above it and one below, welded to the
standing tube. Each is folded over toward the other; the two folds meet in the middle and close
the box across the bar. The mouth in that wall is what the bar sweeps and a clearance, open the
way the leaf opens; its closed end is a stop. A gusset stands between the cheeks, behind the
bushing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from pydantic import Field
from shapely.affinity import affine_transform
from shapely.geometry import MultiPoint, Polygon, box
from shapely.geometry import Point as Dot
from shapely.geometry.base import BaseGeometry

from barwright.findings import Finding, Level
from barwright.geometry.pose import Pose, pose_of
from barwright.geometry.solids import Body, Rod
from barwright.geometry.vectors import Floats, point
from barwright.job.plate_schema import FittingTable
from barwright.job.quantities import PositiveLength, SomeLength
from barwright.plates.against import Shadow, cut, following
from barwright.plates.blank import Blank, blank, bored, flange, part_of
from barwright.plates.hinged import Hung, hung, shifted, where_crossed
from barwright.plates.joint import CannotMake, Joint, Made, line_body
from barwright.plates.outline import circle
from barwright.plates.part import Hardware, Part
from barwright.plates.shadow import near
from barwright.plates.shapes import largest, polygons
from barwright.plates.slots import Tab, slot_for, with_tab
from barwright.swing.mouth import mouth

PRACTICE = "common practice, no source"


class Table(FittingTable):
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
    """

    on: str | None = None
    bolt: PositiveLength | None = None
    hole: PositiveLength | None = None
    spacer_od: PositiveLength | None = None
    bushing_od: PositiveLength | None = None
    bushing: PositiveLength | None = None
    end_float: SomeLength = 0.508
    clearance: SomeLength = 2.0
    stop_gap: SomeLength = 0.25
    edge: PositiveLength | None = None
    lip: PositiveLength | None = None
    gusset: bool = Field(default=True)


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


def boxed_hinge(joint: Joint) -> Made:
    """A boxed hinge for a leaf's axis.

    Raises:
        BadInput: a parameter cannot be used.
    """
    table, h = joint.read(Table), hung(joint, far=False)
    box_ = _Box(joint, table, h)
    box_.must_have_room()
    parts = box_.parts()
    return Made(
        parts=parts,
        hardware=box_.hardware(),
        findings=box_.findings(parts),
        intended=box_.intended(),
        knows={"stack": box_.stack},
    )


class _Box:
    """The hinge of one joint: what its plates and hardware are worked out from."""

    def __init__(self, joint: Joint, table: Table, h: Hung) -> None:
        self.joint, self.table, self.h = joint, table, h
        self.plate = joint.plate(table)
        self.post = joint.standing(table.on, h.frame.shift)
        self.at_post = where_crossed(self.post, h.frame)
        self.edge = table.edge or self._edge()
        self.wall = self.edge + self.plate.radius  # inner face of the wall, from the axis
        self.stack = self._stack()
        centre = np.array(h.frame.shift)
        self.bar = near(line_body(h.bar), centre, 2.0 * self.wall)
        reach = 2.0 * float(np.hypot(*self.at_post)) + self.stack.gap + 4.0 * self.wall
        self.tube = near(line_body(self.post), centre, reach)

    def _edge(self) -> float:
        od = self.table.bushing_od or self._bushing_od()
        return max(2.0 * self._bolt(), od / 2.0 + 3.0)

    def _bolt(self) -> float:
        return self.table.bolt or (12.7 if self.joint.inches else 12.0)

    def _spacer_od(self) -> float:
        return self.table.spacer_od or self._bolt() + (6.35 if self.joint.inches else 6.0)

    def _bushing_od(self) -> float:
        return self.table.bushing_od or self._spacer_od() + (9.525 if self.joint.inches else 9.0)

    def _stack(self) -> HingeStack:
        bushing = self.table.bushing or self._bushing()
        gap = bushing + self.table.end_float
        return HingeStack(
            bolt=self._bolt(),
            hole=self.table.hole or self._bolt() + 0.25,
            spacer_od=self._spacer_od(),
            spacer=gap / 2.0,
            bushing=bushing,
            bushing_od=self._bushing_od(),
            gap=gap,
        )

    def _bushing(self) -> float:
        """Room above and below the bar for clearance, an arm of two thicknesses, and the bend."""
        p, bar = self.plate, self.h.bar
        lean = math.asin(min(abs(float(self._along()[2])), 0.9))
        half = bar.radius / math.cos(lean) + (self.wall + p.thickness) * math.tan(lean)
        half += self.table.clearance + 2.0 * p.thickness + p.radius
        step = 3.175 if self.joint.inches else 1.0
        return math.ceil((2.0 * half - self.table.end_float) / step - 1e-9) * step

    def _along(self) -> Floats:
        return self.h.frame.inverse().directions(self.h.end.along)

    # ---- plates -----------------------------------------------------------------------------

    def parts(self) -> tuple[Part, ...]:
        """Both cheeks, and the gusset between them where there is room."""
        blanks = {name: self._cheek(sign) for sign, name in self.h.sides()}
        gusset = self._gusset() if self.table.gusset else None
        if gusset is not None:
            g, tabs = gusset
            blanks = {n: self._slotted(b, tabs[self._sign(n)]) for n, b in blanks.items()}
        cheeks = tuple(
            part_of(b, f"{self.joint.name}.cheek-{n}", keep=(0.0, 0.0)) for n, b in blanks.items()
        )
        return cheeks if gusset is None else (*cheeks, g)

    def _sign(self, name: str) -> float:
        return next(s for s, n in self.h.sides() if n == name)

    def _cheek(self, sign: float) -> Blank:
        """A cheek on one side of the bushing: base, folded wall, pivot hole, cuts."""
        p, half = self.plate, self.stack.gap / 2.0
        placed = shifted(self.h.frame, half if sign > 0.0 else -half - p.thickness)
        low, high = self._wall_span()
        tangent = self.wall - p.radius
        b = blank(p, self._base(tangent, low, high), placed)
        reach = half - p.radius - self.joint.gap(self.table) / 2.0
        b = flange(b, (tangent, low), (tangent, high), reach=reach, angle=-sign * math.pi / 2.0)
        b = cut(b, following(self.tube, self.joint.gap(self.table)), self._mouth(closes=True))
        return bored(b, circle((0.0, 0.0), self.stack.hole / 2.0, hole=True))

    def _wall_span(self) -> tuple[float, float]:
        """How far the wall reaches to the closed side and to the open side (y)."""
        lip = self.table.lip or 3.0 * self.plate.thickness
        return -(self.h.bar.radius + self.table.stop_gap + lip), self.h.bar.radius

    def _base(self, tangent: float, low: float, high: float) -> Polygon:
        """The cheek's base: round the pivot, along the wall's bend, out to the tube's sides."""
        at = np.array(self.at_post)
        side = np.array([-at[1], at[0]]) / np.hypot(*at) * self.post.radius
        corners = [(tangent, low), (tangent, high), at - side, at + side]
        round_ = Dot(0.0, 0.0).buffer(self.edge, quad_segs=128)
        hull = MultiPoint([*corners, *round_.exterior.coords]).convex_hull
        return largest(hull & box(-1e4, -1e4, tangent, 1e4))

    def _mouth(self, *, closes: bool) -> Shadow:
        """What the bar sweeps with its clearance; where it closes, no further than the stop."""

        def cast(plane: Pose, z: tuple[float, float]) -> BaseGeometry:
            wide = self._swept(plane, z)
            return wide & self._before_stop(plane) if closes else wide

        return Shadow(cast=cast, near=self._near_bar)

    def _swept(self, plane: Pose, z: tuple[float, float]) -> BaseGeometry:
        """What the bar sweeps of a slab; both walls lie in one plane and share one answer."""
        to = plane.inverse().after(self.h.frame)
        if abs(abs(to.matrix[2][0]) - 1.0) > 1e-12:
            return self._sweep(plane, z)
        (a, _, _), low = to.matrix[2], to.shift[2]
        x0, x1 = sorted((h - low) / a for h in z)
        if abs(x0 - self.wall) > 1e-6 or abs(x1 - x0 - self.plate.thickness) > 1e-6:
            return self._sweep(plane, z)
        (_, p, q), (_, r, s) = to.matrix[0], to.matrix[1]
        shift = (to.shift[0] + to.matrix[0][0] * x0, to.shift[1] + to.matrix[1][0] * x0)
        return affine_transform(self._wall_mouth, (p, q, r, s, *shift))

    @cached_property
    def _wall_mouth(self) -> BaseGeometry:
        """The mouth in the wall, in the frame's y and z."""
        upright = pose_of([(0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)])
        return self._sweep(
            self.h.frame.after(upright), (self.wall, self.wall + self.plate.thickness)
        )

    def _sweep(self, plane: Pose, z: tuple[float, float]) -> BaseGeometry:
        h = self.h
        return mouth(h.motion, self.bar, plane, z, (0.0, h.sweep), self.table.clearance, within=0.6)

    def _near_bar(self, points: Floats) -> bool:
        """Whether the bar may come near a box as it swings: by height along the axis alone."""
        z = self.h.frame.inverse().points(points)[:, 2]
        lean = abs(float(self._along()[2])) * 3.0 * self.wall
        high = self.h.bar.radius + lean + self.table.clearance + 1.0
        return bool(z.min() < high and z.max() > -high)

    def _before_stop(self, plane: Pose) -> BaseGeometry:
        """The part of a plane on the open side of the bar's flank when it is closed."""
        back, f = plane.inverse(), self.h.frame
        way = back.directions(f.directions((0.0, 1.0, 0.0)))[:2]
        size = float(np.hypot(*way))
        if size < 0.1:  # the plate lies across the way the bar opens: nothing to stop on
            return box(-1e4, -1e4, 1e4, 1e4)
        flank = (self.wall, -self.h.bar.radius - self.table.stop_gap, 0.0)
        at, way = back.points(f.points(flank))[:2], way / size
        off = np.array([-way[1], way[0]]) * 1e3
        return Polygon([at - off, at + off, at + off + 1e3 * way, at - off + 1e3 * way])

    def _gusset(self) -> tuple[Part, dict[float, Tab]] | None:
        """The plate between the cheeks, from the tube to behind the bushing, with its tabs."""
        p, half = self.plate, self.stack.gap / 2.0
        pose = self._gusset_pose()
        far = float(np.hypot(*self.at_post))
        behind = self._leaf_stays_away()
        start = self.stack.bushing_od / 2.0 + 3.0
        start = max(start, self.h.bar.radius + self.table.clearance) if behind else start
        b = blank(p, box(start, -half, far, half), pose)
        b = cut(b, following(self.tube, self.joint.gap(self.table)))
        b = b if behind else cut(b, self._mouth(closes=False))
        pieces = polygons(b.shape())
        if not pieces:
            return None
        body = pieces[0]
        x0, _, x1, _ = _level_span(body, half)
        if x1 - x0 < 4.0 * p.thickness:
            return None
        width = min(0.5 * (x1 - x0), 8.0 * p.thickness)
        tabs = {
            s: Tab(
                foot=((x0 + x1) / 2.0, s * half),
                along=(1.0, 0.0),
                out=(0.0, s),
                width=width,
                height=p.thickness + self.table.proud,
            )
            for s in (1.0, -1.0)
        }
        for tab in tabs.values():
            body = largest(with_tab(body, tab))
        middle = ((x0 + x1) / 2.0, 0.0)
        part = part_of(blank(p, body, pose), f"{self.joint.name}.gusset", keep=middle)
        return part, tabs

    def _leaf_stays_away(self) -> bool:
        """Whether the bar keeps a right angle or more off the gusset all the way open.

        Then only its square end, no further from the axis than its radius, comes near.
        """
        to = math.atan2(self.at_post[1], self.at_post[0]) % (2.0 * math.pi)
        return math.pi / 2.0 + self.h.sweep <= to <= 1.5 * math.pi

    def _gusset_pose(self) -> Pose:
        """Local x from the axis to the tube, y along the axis, the plate's middle on the axis."""
        x = np.array([*self.at_post, 0.0]) / np.hypot(*self.at_post)
        y = np.array([0.0, 0.0, 1.0])
        z = np.cross(x, y)
        return self.h.frame.after(
            pose_of(np.column_stack([x, y, z]), -z * self.plate.thickness / 2)
        )

    def _slotted(self, b: Blank, tab: Tab) -> Blank:
        hole = slot_for(
            tab,
            thickness=self.plate.thickness,
            tabbed=self._gusset_pose(),
            slotted=b.regions[0].pose,
            clearance=self.table.slot_clearance,
        )
        return bored(b, hole)

    # ---- hardware ---------------------------------------------------------------------------

    def hardware(self) -> tuple[Hardware, ...]:
        """Bushing, the two sleeves and the bolt, where they stand."""
        s, over = self.stack, self.plate.thickness
        half, leaf = s.bushing / 2.0, self.h.motion.leaf
        up = self.h.upward
        tube = (
            f"bushing, od {s.bushing_od:.2f} mm, bore {s.spacer_od:.2f} mm, {s.bushing:.2f} mm long"
        )
        sleeve = f"spacer, od {s.spacer_od:.2f} mm, bore {s.bolt:.2f} mm, {s.spacer:.3f} mm long"
        reach = s.gap / 2.0 + over
        bolt = f"bolt, {s.bolt:.2f} mm, grip {s.gap + 2.0 * over:.2f} mm"
        return (
            self._round("bushing", tube, s.bushing_od, -half, half, (("bore", s.spacer_od),), leaf),
            self._round(
                "spacer-upper", sleeve, s.spacer_od, 0.0, up * s.spacer, (("bore", s.bolt),)
            ),
            self._round(
                "spacer-lower", sleeve, s.spacer_od, -up * s.spacer, 0.0, (("bore", s.bolt),)
            ),
            self._round("bolt", bolt, s.bolt, -reach - s.bolt, reach + s.bolt, ()),
        )

    def _round(  # noqa: PLR0917 - a row of the table above
        self,
        what: str,
        words: str,
        od: float,
        low: float,
        high: float,
        dims: tuple[tuple[str, float], ...],
        rides: str = "",
    ) -> Hardware:
        a, b = (point(self.h.frame.points((0.0, 0.0, z))) for z in (low, high))
        name = f"{self.joint.name}.{what}"
        return Hardware(
            name=name,
            what=words,
            dims=(("od", od), ("length", abs(high - low)), *dims),
            body=Body(name=name, solids=(Rod(start=a, end=b, radius=od / 2.0),)),
            rides=rides,
        )

    def intended(self) -> frozenset[tuple[str, str]]:
        """The bushing turns on the bolt and its sleeves and runs between the cheeks."""
        n = self.joint.name
        movers = (self.h.bar.name, f"{n}.bushing")
        inside = [(m, f"{n}.{s}") for m in movers for s in ("bolt", "spacer-upper", "spacer-lower")]
        beside = [(f"{n}.bushing", f"{n}.cheek-{side}") for _, side in self.h.sides()]
        return frozenset([*inside, *beside])

    # ---- findings ---------------------------------------------------------------------------

    def findings(self, parts: tuple[Part, ...]) -> tuple[Finding, ...]:
        """Where the tube stands, whether a gusset fits, how far the stop lets the leaf on."""
        found = [self._stops()]
        if self.table.gusset and len(parts) < 3:
            found.append(self._no_gusset())
        return tuple(found)

    def must_have_room(self) -> None:
        """The tube must stand clear of the bar that turns on the axis.

        Raises:
            CannotMake: it does not.
        """
        subject, far = f"leaf.{self.h.motion.leaf}", float(np.hypot(*self.at_post))
        need = (
            self.post.radius
            + max(self.h.bar.radius, self.stack.bushing_od / 2)
            + self.table.clearance
        )
        if far >= need:
            return
        raise CannotMake(
            Finding(
                code="plates.hinge-room",
                level=Level.MUST,
                subject=subject,
                says=f"The hinge axis stands {far:.1f} mm from the centre of "
                f"{self.post.name}; the bar turning there needs {need:.1f} mm.",
                measured=far,
                allowed=need,
                unit="mm",
                remedy=f"Move the axis {need - far:.1f} mm away from {self.post.name}.",
            )
        )

    def _stops(self) -> Finding:
        far = hung(self.joint, far=True)
        arm = float(np.hypot(*self.h.frame.inverse().points(far.end.origin)[:2]))
        over = self.table.stop_gap / self.wall * arm
        return Finding(
            code="plates.hinge-stop",
            level=Level.GOOD if over <= 15.0 else Level.LOOK,
            subject=f"{self.joint.name}.cheek-upper",
            says=f"The closed end of the mouth stops the leaf: with {self.table.stop_gap:.2f} mm "
            f"there, {self.wall:.1f} mm from the axis, its far end can go {over:.1f} mm past "
            "closed. It is the second stop; the striker's flange is the first.",
            measured=over,
            allowed=15.0,
            unit="mm",
            source=PRACTICE,
            remedy=""
            if over <= 15.0
            else f"Set stop_gap to {self.table.stop_gap * 15.0 / over:.2f} mm.",
        )

    def _no_gusset(self) -> Finding:
        return Finding(
            code="plates.hinge-gusset",
            level=Level.LOOK,
            subject=self.joint.name,
            says="There is no room for a gusset between the bushing and the tube.",
            measured=float(np.hypot(*self.at_post)),
            unit="mm",
            source=PRACTICE,
            remedy="Move the axis further from the tube, or accept a box without a gusset.",
        )


def _level_span(body: Polygon, half: float) -> tuple[float, float, float, float]:
    """The x range that the plate has on both its edges, where the tabs stand."""
    bands = (box(-1e4, half - 1.0, 1e4, half), box(-1e4, -half, 1e4, 1.0 - half))
    spans = [(body & band).bounds or (0.0, 0.0, 0.0, 0.0) for band in bands]
    return max(s[0] for s in spans), 0.0, min(s[2] for s in spans), 0.0


__all__ = ["HingeStack", "Table", "boxed_hinge"]
