"""tube-tab: a tab with a hole on a tube, or a pair of them to take something between."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from shapely.geometry import MultiPoint
from shapely.geometry import Point as Dot

from barwright.findings import Finding, Level
from barwright.geometry.pose import Pose, frame
from barwright.geometry.vectors import FORWARD, LEFT, UP, Floats, unit
from barwright.job.plate_schema import FittingTable
from barwright.job.quantities import PositiveLength
from barwright.plates.against import cut, following
from barwright.plates.blank import Plate, blank, bored, part_of
from barwright.plates.hinged import shifted
from barwright.plates.joint import Joint, Made, line_body, nearest_on
from barwright.plates.outline import circle
from barwright.plates.part import Part
from barwright.plates.shadow import near
from barwright.plates.shapes import largest

PRACTICE = "common practice, no source"
WAYS: dict[str, Floats] = {
    "up": np.array(UP),
    "down": -np.array(UP),
    "left": np.array(LEFT),
    "right": -np.array(LEFT),
    "forward": np.array(FORWARD),
    "back": -np.array(FORWARD),
}


class Table(FittingTable):
    """Parameters of a tab on a tube; None is worked out.

    Attributes:
        bar: the tube.
        at: a mark on it or beside it: the tab stands nearest to it.
        toward: up, down, left, right, forward, back, or a mark: the way the tab points.
        lies: along the tube (plate and tube in line) or across it.
        hole: diameter of the hole [mm].
        reach: from the tube's surface to the hole's centre [mm]; None takes what the edge and
            1.5 thicknesses for the weld need.
        edge: from the hole's centre to the tab's end [mm]; None takes 1.5 of the hole.
        base: width on the tube [mm]; None takes three of the edge along a tube, the tube's
            diameter across it.
        pair: gap between two tabs [mm]; None for a single one.
    """

    bar: str
    at: str
    toward: str = "up"
    lies: Literal["along", "across"] = "along"
    hole: PositiveLength
    reach: PositiveLength | None = None
    edge: PositiveLength | None = None
    base: PositiveLength | None = None
    pair: PositiveLength | None = None


def tube_tab(joint: Joint) -> Made:
    """A tab on a tube, or a pair.

    Raises:
        BadInput: a parameter cannot be used.
    """
    table = joint.read(Table)
    plate = joint.plate(table)
    names = tuple(b.name for b in joint.bars.bars)
    if table.bar not in names:
        raise joint.bad("bar", table.bar, "a bar of the job", names)
    placed = _frame(joint, table)
    lows: tuple[float, ...] = (-plate.thickness / 2.0,)
    if table.pair is not None:
        lows = (table.pair / 2.0, -table.pair / 2.0 - plate.thickness)
    parts = tuple(
        _tab(
            joint,
            table,
            plate,
            shifted(placed, low),
            f"{joint.name}.{i + 1}" if table.pair else joint.name,
        )
        for i, low in enumerate(lows)
    )
    joins = frozenset((p.name, table.bar) for p in parts)
    return Made(
        parts=parts,
        joins=joins,
        findings=(*_edge_finding(joint, table), *_end_finding(joint, table)),
    )


def _frame(joint: Joint, table: Table) -> Pose:
    """Origin on the tube's centreline, x the way the tab points, y in the plate."""
    bar = joint.bars.named(table.bar)
    at, _, d = nearest_on(bar, joint.place("at", table.at))
    along = np.array(d)
    way = WAYS.get(table.toward)
    if way is None:
        way = np.array(joint.place("toward", table.toward)) - at
    square = way - (way @ along) * along
    if np.linalg.norm(square) < 0.1 * np.linalg.norm(way):
        raise joint.bad("toward", table.toward, f"a way across {table.bar}; this one runs along it")
    x = unit(square)
    return frame(at, x, along if table.lies == "along" else np.cross(along, x))


def _tab(joint: Joint, table: Table, plate: Plate, pose: Pose, name: str) -> Part:
    bar = joint.bars.named(table.bar)
    edge = table.edge or 1.5 * table.hole
    reach = table.reach or edge + 1.5 * plate.thickness
    base = table.base or (3.0 * edge if table.lies == "along" else 2.0 * bar.radius)
    x = bar.radius + reach
    ring = Dot(x, 0.0).buffer(edge, quad_segs=128)
    foot = bar.radius * math.sqrt(0.5) if table.lies == "across" else 0.0
    corners = [(foot, -base / 2.0), (foot, base / 2.0)]
    shape = largest(MultiPoint([*corners, *ring.exterior.coords]).convex_hull)
    b = blank(plate, shape, pose)
    tube = near(line_body(bar), np.array(pose.shift), 4.0 * (x + base))
    others = joint.around(pose.shift, 2.0 * (x + base), bar.name)
    b = cut(b, following(tube, joint.gap(table)), following(others, joint.gap(table)))
    b = bored(b, circle((x, 0.0), table.hole / 2.0, hole=True))
    return part_of(b, name, keep=(x + 0.9 * edge, 0.0))


def _edge_finding(joint: Joint, table: Table) -> tuple[Finding, ...]:
    edge = table.edge or 1.5 * table.hole
    if edge >= 1.5 * table.hole - 1e-9:
        return ()
    return (
        Finding(
            code="plates.tab-edge",
            level=Level.LOOK,
            subject=joint.name,
            says=f"The hole's centre is {edge:.1f} mm from the tab's end: the bolt may tear out.",
            measured=edge,
            allowed=1.5 * table.hole,
            unit="mm",
            source=PRACTICE,
            remedy=f"Set edge to {1.5 * table.hole:.1f} mm, and check the lug's strength.",
        ),
    )


def _end_finding(joint: Joint, table: Table) -> tuple[Finding, ...]:
    """Whether the tab hangs over the tube's end."""
    bar = joint.bars.named(table.bar)
    at = nearest_on(bar, joint.place("at", table.at))[0]
    room = min(math.dist(at, e.origin) for e in (bar.start, bar.finish))
    edge = table.edge or 1.5 * table.hole
    half = (table.base or 3.0 * edge) / 2.0 if table.lies == "along" else 0.0
    if room >= half:
        return ()
    return (
        Finding(
            code="plates.tab-end",
            level=Level.MUST,
            subject=joint.name,
            says=f"The tab stands {room:.1f} mm from the end of {table.bar} and hangs over it.",
            measured=room,
            allowed=half,
            unit="mm",
            remedy=f"Move {table.at} {half - room:.1f} mm in from the tube's end.",
        ),
    )


__all__ = ["Table", "tube_tab"]
