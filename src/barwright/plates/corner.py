"""The corner between two tubes that a gusset fills: its frame, its angle, its edges.

The frame's origin is the node, x runs out along the first tube, y lies in the corner's plane
toward the second.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Point as Dot
from shapely.geometry import Polygon

from barwright.geometry.path import Arc, Straight
from barwright.geometry.pose import Pose, frame
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats, Point, angle_between, point, rotation, unit
from barwright.job.plate_schema import FittingTable
from barwright.job.quantities import PositiveLength
from barwright.plates.joint import Joint, line_body, nearest_on
from barwright.plates.shadow import near
from barwright.tubes.bars import BuiltBar


class CornerTable(FittingTable):
    """Which corner a gusset fills; None is worked out.

    Attributes:
        bars: the two tubes, or one tube bent at the corner.
        at: a mark near the corner; needed where the two meet more than once, or at a bend.
        toward: for each tube, a mark on the side of the node the gusset goes along; None takes
            the tube's longer side.
        leg: how far the gusset runs along each tube from the node [mm]; None takes twice the
            larger tube's diameter beyond where the two tubes touch.
        toe: height of the gusset's blunt ends above the tube [mm]; None takes twice the thickness.
    """

    bars: tuple[str, ...]
    at: str | None = None
    toward: tuple[str, ...] | None = None
    leg: PositiveLength | None = None
    toe: PositiveLength | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Corner:
    """A corner between two tubes.

    Attributes:
        frame: origin on the node, x out along the first tube, y toward the second.
        ways: unit directions of the two tubes in that frame's x and y, shape (2, 2).
        radii: of the two tubes [mm].
        tubes: what of them stands near, to cut against.
        opening: angle between them [rad].
        inner: where the tubes' inner flanks meet, in x and y [mm].
        leg: along each tube from the node [mm].
        toe: height of the blunt ends [mm].
        names: of the two tubes.
    """

    frame: Pose
    ways: Floats
    radii: tuple[float, float]
    tubes: Body
    opening: float
    inner: Floats
    leg: float
    toe: float
    names: tuple[str, str]

    def toes(self) -> tuple[Floats, Floats]:
        """The gusset's outer corners above the two tubes' flanks [mm]."""
        (d, e), (r, s) = self.ways, self.radii
        n, m = _toward(d, e), _toward(e, d)
        return self.leg * d + (r + self.toe) * n, self.leg * e + (s + self.toe) * m

    def outline(self) -> Polygon:
        """From the node out along both tubes, straight across from toe to toe."""
        d, e = self.ways
        a, b = self.toes()
        return Polygon([(0.0, 0.0), self.leg * d, a, b, self.leg * e])

    def clear(self, radius: float) -> Polygon:
        """The room at the inside corner: round, where the weld of the tubes themselves runs."""
        return Dot(self.inner).buffer(radius, quad_segs=64)


def corner_of(joint: Joint, table: CornerTable, thickness: float) -> Corner:
    """The corner a gusset is asked for.

    Raises:
        BadInput: the tubes are not there, run in line, or do not meet.
    """
    (one, two), node, ways = _meeting(joint, table)
    opening = angle_between(*ways)
    if not math.radians(15.0) < opening < math.radians(165.0):
        raise joint.bad(
            "bars",
            " ".join(table.bars),
            f"two tubes at 15° to 165°; these stand at {math.degrees(opening):.0f}°",
            do="name other tubes, or `toward` marks on the sides the gusset goes",
        )
    placed = frame(node, ways[0], ways[1])
    flat = np.array([[1.0, 0.0], [math.cos(opening), math.sin(opening)]])
    radii = (one.radius, two.radius)
    inner = _inner(radii, opening)
    touch = max(float(inner @ flat[0]), float(inner @ flat[1]), 0.0)
    leg = table.leg or touch + 4.0 * max(radii)
    if leg <= touch + thickness:
        raise joint.bad(
            "leg", f"{leg:.1f} mm", f"more than {touch + thickness:.1f} mm", do="make it longer"
        )
    own = {s for b in (one, two) for s in near(line_body(b), node, 2.0 * leg).solids}
    around = joint.around(point(node), 2.0 * leg, one.name, two.name)
    solids = (*sorted(own, key=repr), *around.solids)
    return Corner(
        frame=placed,
        ways=flat,
        radii=radii,
        tubes=Body(name="+".join(table.bars), solids=solids),
        opening=opening,
        inner=inner,
        leg=leg,
        toe=table.toe or 2.0 * thickness,
        names=(one.name, two.name),
    )


def _meeting(
    joint: Joint, table: CornerTable
) -> tuple[tuple[BuiltBar, BuiltBar], Floats, tuple[Floats, Floats]]:
    """The two tubes, the node, and the directions out of it."""
    names = tuple(b.name for b in joint.bars.bars)
    for name in table.bars:
        if name not in names:
            raise joint.bad("bars", name, "a bar of the job", names)
    if len(table.bars) == 1:
        return _at_bend(joint, joint.bars.named(table.bars[0]), joint.place("at", table.at))
    if len(table.bars) != 2:
        raise joint.bad("bars", " ".join(table.bars), "two bars, or one that is bent")
    one, two = (joint.bars.named(n) for n in table.bars)
    near_ = joint.place("at", table.at) if table.at else None
    node, apart = _node(one, two, near_)
    if apart > one.radius + two.radius:
        reach = one.radius + two.radius
        raise joint.bad(
            "bars",
            " ".join(table.bars),
            f"tubes that meet; these pass {apart - reach:.1f} mm apart",
        )
    marks = [joint.place("toward", n) for n in table.toward or ()]
    ways = tuple(
        _way(bar, node, marks[i] if i < len(marks) else None) for i, bar in enumerate((one, two))
    )
    return (one, two), node, (ways[0], ways[1])


def _at_bend(
    joint: Joint, bar: BuiltBar, at: Point
) -> tuple[tuple[BuiltBar, BuiltBar], Floats, tuple[Floats, Floats]]:
    """A tube's bend nearest a mark: where its straights would meet, and the ways along them."""
    pieces = bar.centreline.pieces
    bends = [i for i, p in enumerate(pieces) if isinstance(p, Arc)]
    if not bends:
        raise joint.bad("bars", bar.name, "two bars, or one that is bent")
    i = min(bends, key=lambda k: math.dist(_corner(pieces[k]), at))
    node = np.array(_corner(pieces[i]))
    bend = pieces[i]
    assert isinstance(bend, Arc)  # noqa: S101 - chosen so
    centre, start = np.array(bend.centre), np.array(bend.start)
    last = centre + rotation(bend.axis, bend.angle) @ (start - centre)
    return (bar, bar), node, (unit(start - node), unit(last - node))


def _corner(piece: Straight | Arc) -> Point:
    """Where the straights on either side of a bend would meet."""
    assert isinstance(piece, Arc)  # noqa: S101
    c, s = np.array(piece.centre), np.array(piece.start)
    r = s - c
    t = unit(np.cross(piece.axis, r)) * float(np.linalg.norm(r)) * math.tan(piece.angle / 2.0)
    return point(s + t)


def _node(one: BuiltBar, two: BuiltBar, at: Point | None) -> tuple[Floats, float]:
    """Midway between the two centrelines where they pass closest (nearest a mark)."""
    p: Point = at or two.start.origin
    if at is None and nearest_on(one, two.finish.origin)[1] < nearest_on(one, p)[1]:
        p = two.finish.origin
    if at is None:
        ends = (one.start.origin, one.finish.origin, two.start.origin, two.finish.origin)
        p = min(ends, key=lambda e: nearest_on(one, e)[1] + nearest_on(two, e)[1])
    for _ in range(200):  # walk from one to the other: the gap never grows
        a = nearest_on(one, p)[0]
        b = nearest_on(two, a)[0]
        if math.dist(b, p) < 1e-6:
            break
        p = b
    return (np.array(a) + np.array(b)) / 2.0, math.dist(a, b)


def _way(bar: BuiltBar, node: Floats, mark: Point | None) -> Floats:
    """The direction along a bar out of the node: toward a mark, or its longer side."""
    d = np.array(nearest_on(bar, point(node))[2])
    if mark is not None:
        return d if (np.array(mark) - node) @ d >= 0.0 else -d
    ends = [float((np.array(e.origin) - node) @ d) for e in (bar.start, bar.finish)]
    return d if abs(max(ends)) >= abs(min(ends)) else -d


def _toward(d: Floats, other: Floats) -> Floats:
    """Square to d, on the side of the other direction."""
    n = other - (other @ d) * d
    return np.asarray(n / np.hypot(*n))


def _inner(radii: tuple[float, float], opening: float) -> Floats:
    """Where the two tubes' inner flanks meet: lines at the radii from the two axes."""
    (r, s), c = radii, math.cos(opening)
    return np.array([(s + r * c) / math.sin(opening), r])
