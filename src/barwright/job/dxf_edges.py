"""What the entities of a DXF file are: edges, closed rings, lines that are only marked, in mm."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from barwright.job.drawings import DrawnLine, Ring, Spot

SMOOTH = 0.02
"""How far a straight that stands for part of a spline may lie off it [mm]."""
MOST = 20_000
"""Edges in a file; a bought part has some hundred."""
FARTHEST = 1e6
"""From the drawing's origin [mm]."""
DEEPEST = 4
"""Blocks within blocks."""

MARKED = re.compile(r"etch|note|mark|engrav|cent(re|er)|dim|text|hidden|defpoints", re.IGNORECASE)
"""Layers that are not cut."""
IGNORED = frozenset(
    {
        *("TEXT", "MTEXT", "DIMENSION", "POINT", "HATCH", "LEADER", "MULTILEADER", "ATTDEF"),
        *("ATTRIB", "VIEWPORT", "IMAGE", "XLINE", "RAY", "TOLERANCE", "SOLID"),
    }
)
"""Kinds of entities that are no edge of a part."""


@dataclass(frozen=True)
class Edge:
    """From one point to another along a straight or an arc."""

    a: Spot
    b: Spot
    bulge: float = 0.0

    def turned(self) -> Edge:
        """The same edge run the other way."""
        return Edge(self.b, self.a, -self.bulge)


@dataclass
class Sheet:
    """What a file holds, in millimetres, as it is gathered.

    Attributes:
        scale: millimetres to one unit of the file.
        edges: straights and arcs, in no order.
        rings: what closes by itself.
        lines: marked, not cut.
        odd: kinds of entities that were left out.
        smoothed: how far straights may lie off the curves they stand for.
        taken: entities so far, those of blocks too.
    """

    scale: float
    edges: list[Edge] = field(default_factory=list)
    rings: list[Ring] = field(default_factory=list)
    lines: list[DrawnLine] = field(default_factory=list)
    odd: set[str] = field(default_factory=set)
    smoothed: float = 0.0
    taken: int = 0


def take(read: Sheet, entity: Any, depth: int) -> None:  # noqa: ANN401
    """Add one entity's edges, rings or lines to a sheet.

    Raises:
        ValueError: it stands out of the drawing's plane, or has too many pieces.
    """
    kind = entity.dxftype()
    read.taken += 1
    if read.taken > MOST:
        raise ValueError(f"more than {MOST} pieces, blocks within blocks counted")
    if kind == "INSERT" and depth < DEEPEST:
        for inner in entity.virtual_entities():
            take(read, inner, depth + 1)
        return
    if kind in IGNORED:
        return
    edges, closed = _edges_of(read, entity, kind)
    if MARKED.search(str(entity.dxf.get("layer", "0"))):
        read.lines += [
            DrawnLine(name=f"line-{len(read.lines) + i + 1}", a=e.a, b=e.b)
            for i, e in enumerate(e for e in edges if not closed and not e.bulge)
        ]
    elif closed:
        read.rings.append(tuple((*e.a, e.bulge) for e in edges))
    else:
        read.edges += [e for e in edges if math.dist(e.a, e.b) > 1e-6]


def _edges_of(read: Sheet, entity: Any, kind: str) -> tuple[list[Edge], bool]:  # noqa: ANN401
    """The edges of an entity in mm, and whether they close by themselves."""
    if kind == "LINE":
        return [Edge(_flat(read, entity.dxf.start), _flat(read, entity.dxf.end))], False
    if kind in {"CIRCLE", "ARC"}:
        return _round(read, entity, whole=kind == "CIRCLE")
    if kind in {"LWPOLYLINE", "POLYLINE"}:
        return _polyline(read, entity, kind)
    if kind in {"SPLINE", "ELLIPSE"}:
        return _curve(read, entity)
    read.odd.add(kind)
    return [], False


def _flat(read: Sheet, p: Any) -> Spot:  # noqa: ANN401
    x, y = float(p[0]) * read.scale, float(p[1]) * read.scale
    if not max(abs(x), abs(y)) <= FARTHEST:
        raise ValueError(f"a point at x {x:g}, y {y:g} mm")
    return (x, y)


def _turn(entity: Any) -> float:  # noqa: ANN401
    """+1 for an entity drawn from above, -1 from below: its x and its arcs are mirrored."""
    z = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    if abs(abs(float(z[2])) - 1.0) > 1e-6:
        raise ValueError("an edge that stands out of the drawing's plane")
    return math.copysign(1.0, float(z[2]))


def _round(read: Sheet, entity: Any, *, whole: bool) -> tuple[list[Edge], bool]:  # noqa: ANN401
    (cx, cy), way = _flat(read, entity.dxf.center), _turn(entity)
    r = float(entity.dxf.radius) * read.scale
    if not abs(r) <= FARTHEST:
        raise ValueError(f"a radius of {r:g} mm")
    if whole:
        cx *= way
        left, right = (cx - r, cy), (cx + r, cy)
        return [Edge(left, right, 1.0), Edge(right, left, 1.0)], True
    a, b = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
    sweep = (b - a) % (2.0 * math.pi) or 2.0 * math.pi
    points = [
        (way * (cx + r * math.cos(t)), cy + r * math.sin(t)) for t in (a, a + sweep / 2, a + sweep)
    ]
    bulge = way * math.tan(sweep / 8.0)
    return [Edge(points[0], points[1], bulge), Edge(points[1], points[2], bulge)], False


def _polyline(read: Sheet, entity: Any, kind: str) -> tuple[list[Edge], bool]:  # noqa: ANN401
    way = _turn(entity)
    if kind == "LWPOLYLINE":
        rows, closed = list(entity.get_points("xyb")), bool(entity.closed)
    else:
        if entity.is_3d_polyline or entity.is_poly_face_mesh or entity.is_polygon_mesh:
            raise ValueError("a polyline in space")
        spots = [(v.dxf.location, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
        rows, closed = [(p[0], p[1], b) for p, b in spots], bool(entity.is_closed)
    at = [(*_flat(read, (way * x, y)), way * float(b)) for x, y, b in rows]
    ends = zip(at, (*at[1:], at[0]), strict=True) if closed else pairwise(at)
    edges = [Edge(a[:2], b[:2], a[2]) for a, b in ends if math.dist(a[:2], b[:2]) > 1e-6]
    return edges, closed and len(edges) > 1


def _curve(read: Sheet, entity: Any) -> tuple[list[Edge], bool]:  # noqa: ANN401
    """A spline or an ellipse as short straights within SMOOTH."""
    at = [_flat(read, p) for p in entity.flattening(SMOOTH / read.scale)]
    if len(at) > MOST:
        raise ValueError("a curve of too many pieces")
    read.smoothed = SMOOTH
    edges = [Edge(a, b) for a, b in pairwise(at) if math.dist(a, b) > 1e-6]
    closed = len(edges) > 2 and math.dist(at[0], at[-1]) <= 1e-6
    return edges, closed
