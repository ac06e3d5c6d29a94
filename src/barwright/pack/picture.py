"""A picture of tubes and plates from one side, as filled shapes drawn from far to near."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from barwright.geometry.path import Arc, Centreline, Straight
from barwright.geometry.pose import Pose
from barwright.geometry.vectors import UP, Floats, Point, point, rotation, unit
from barwright.pack.drawing import NOTE, XY, Drawing, Line, Loop, Primitive, Style, Text

PIECE = 120.0
"""Longest run of tube [mm] drawn in one go: short, so that far and near sort well."""


@dataclass(frozen=True, kw_only=True)
class Tube:
    """A tube to be drawn: points along its centreline [mm], outside radius [mm], colour."""

    points: tuple[Point, ...]
    radius: float
    colour: str


@dataclass(frozen=True, kw_only=True)
class Hull:
    """A convex piece to be drawn: its corners [mm] and colour."""

    corners: tuple[Point, ...]
    colour: str


@dataclass(frozen=True, kw_only=True)
class Face:
    """A flat face of any outline: anticlockwise as seen from outside [mm]; `edge` for a rim."""

    corners: tuple[Point, ...]
    colour: str
    holes: tuple[tuple[Point, ...], ...] = ()
    edge: bool = False


@dataclass(frozen=True, kw_only=True)
class Label:
    """A name beside a point [mm]."""

    text: str
    at: Point


@dataclass(frozen=True, kw_only=True)
class View:
    """Where the eye is: degrees round from forward to left, and above level."""

    azimuth: float = 38.0
    elevation: float = 24.0

    def axes(self) -> tuple[Floats, Floats, Floats]:
        """To the right, up the page, and toward the eye: unit vectors."""
        a, e = math.radians(self.azimuth), math.radians(self.elevation)
        eye = np.array([math.cos(e) * math.cos(a), math.cos(e) * math.sin(a), math.sin(e)])
        right = unit(np.cross(UP, eye))
        return right, np.cross(eye, right), eye


Shape = Tube | Hull | Face


def picture(
    shapes: Iterable[Shape],
    box: tuple[float, float, float, float],
    *,
    labels: Iterable[Label] = (),
    view: View | None = None,
    reach: Iterable[Shape] = (),
) -> Drawing:
    """Shapes as seen from the view, fitted into a box on the sheet.

    Args:
        shapes: what to draw.
        box: (x0, y0, x1, y1) on the sheet [mm].
        labels: names beside points, over everything.
        view: from where; ahead, left and above by default.
        reach: shapes that must fit in too, so that several pictures share one scale.
    """
    shapes = list(shapes)
    right, up, toward = (view or View()).axes()
    eye = point(toward)
    everything = [*shapes, *reach]
    if not everything:
        return ()
    place, scale = _fitted(everything, box, right, up)
    pieces = sorted((p for s in shapes for p in _pieces(s, eye)), key=lambda p: p[0])
    drawn = [item for _, piece in pieces for item in _drawn(piece, place, scale)]
    named = _labels(labels, place)
    return (*drawn, *(back for back, *_ in named), *(i for _, *rest in named for i in rest))


def tube_of(centreline: Centreline, radius: float, colour: str, pose: Pose | None = None) -> Tube:
    """A bar's centreline as a tube to draw, moved by a pose."""
    points = np.vstack([_along(piece) for piece in centreline.pieces])
    if pose is not None:
        points = pose.points(points)
    rows = [tuple(map(float, p)) for p in points]
    kept = [rows[0], *(b for a, b in itertools.pairwise(rows) if math.dist(a, b) > 1e-6)]
    return Tube(points=tuple((p[0], p[1], p[2]) for p in kept), radius=radius, colour=colour)


def _along(piece: Straight | Arc) -> Floats:
    if isinstance(piece, Straight):
        a, b = np.array(piece.start), np.array(piece.end)
        n = max(1, math.ceil(float(np.linalg.norm(b - a)) / PIECE))
        return np.asarray(a + np.linspace(0.0, 1.0, n + 1)[:, None] * (b - a))
    n = max(2, math.ceil(math.degrees(piece.angle) / 6.0))
    centre, start = np.array(piece.centre), np.array(piece.start)
    turns = [rotation(piece.axis, piece.angle * k / n) for k in range(n + 1)]
    return np.array([centre + t @ (start - centre) for t in turns])


def _fitted(
    shapes: list[Shape], box: tuple[float, float, float, float], right: Floats, up: Floats
) -> tuple[Callable[[Point], XY], float]:
    """What puts a point of space on the sheet, and the scale."""
    reach = [(p, s.radius if isinstance(s, Tube) else 0.0) for s in shapes for p in _points(s)]
    xyz, r = np.array([p for p, _ in reach]), np.array([r for _, r in reach])
    u, v = xyz @ right, xyz @ up
    (u0, u1), (v0, v1) = ((u - r).min(), (u + r).max()), ((v - r).min(), (v + r).max())
    x0, y0, x1, y1 = box
    scale = min((x1 - x0) / max(u1 - u0, 1e-9), (y1 - y0) / max(v1 - v0, 1e-9))
    cx, cy = (x0 + x1) / 2.0 - scale * (u0 + u1) / 2.0, (y0 + y1) / 2.0 - scale * (v0 + v1) / 2.0

    (a, b, c), (d, e, f) = (scale * right).tolist(), (scale * up).tolist()
    x, y = float(cx), float(cy)

    def place(p: Point) -> XY:
        return (x + a * p[0] + b * p[1] + c * p[2], y + d * p[0] + e * p[1] + f * p[2])

    return place, float(scale)


def _points(shape: Shape) -> tuple[Point, ...]:
    return shape.points if isinstance(shape, Tube) else shape.corners


def _pieces(shape: Shape, eye: Point) -> list[tuple[float, Shape]]:
    """Pieces with their depth toward the eye."""
    if isinstance(shape, Hull):
        return [(_depth(shape.corners, eye), shape)]
    if isinstance(shape, Face):
        return _seen(shape, eye)
    runs = itertools.pairwise(shape.points)
    return [
        (_depth((a, b), eye), Tube(points=(a, b), radius=shape.radius, colour=shape.colour))
        for a, b in runs
    ]


def _depth(points: tuple[Point, ...], eye: Point) -> float:
    """How far toward the eye some points lie on average [mm]; in plain numbers, for speed."""
    a, b, c = eye
    return sum(a * x + b * y + c * z for x, y, z in points) / len(points)


def _seen(face: Face, eye: Point) -> list[tuple[float, Shape]]:
    """A face with its depth, if it is turned to the eye."""
    u, v, w = _normal(face.corners)
    size = math.sqrt(u * u + v * v + w * w)
    lit = (u * eye[0] + v * eye[1] + w * eye[2]) / size if size > 1e-9 else 0.0
    if lit <= 1e-6:
        return []
    toned = shade(face.colour, 0.25 * (lit - 0.6))
    depth = _depth(face.corners, eye) + (0.05 if face.holes else 0.0)
    return [(depth, Face(corners=face.corners, colour=toned, holes=face.holes, edge=face.edge))]


def _normal(corners: tuple[Point, ...]) -> Point:
    """Twice a plane outline's area, along its normal: the sum of its corners' cross products."""
    u = v = w = 0.0
    a, b, c = corners[-1]
    for x, y, z in corners:
        u, v, w = u + b * z - c * y, v + c * x - a * z, w + a * y - b * x
        a, b, c = x, y, z
    return (u, v, w)


def _drawn(piece: Shape, place: Callable[[Point], XY], scale: float) -> list[Primitive]:
    if isinstance(piece, Hull):
        return _hull(piece, place)
    if isinstance(piece, Face):
        return _face(piece, place)
    return _run(place(piece.points[0]), place(piece.points[1]), piece.radius * scale, piece.colour)


def _face(piece: Face, place: Callable[[Point], XY]) -> list[Primitive]:
    """The face filled, its holes dark; the rim's short edges go without lines."""
    line = Style(colour=shade(piece.colour, -0.5), width=0.12, fill=piece.colour)
    style = replace(line, colour=piece.colour) if piece.edge else line
    dark = replace(line, fill=shade(piece.colour, -0.6))
    rings = [(piece.corners, style), *((hole, dark) for hole in piece.holes)]
    return [
        Loop(vertices=tuple((*place(p), 0.0) for p in ring), layer=NOTE, style=look)
        for ring, look in rings
    ]


def _hull(piece: Hull, place: Callable[[Point], XY]) -> list[Primitive]:
    from shapely.geometry import MultiPoint, Polygon

    shape = MultiPoint([place(p) for p in piece.corners]).convex_hull
    if not isinstance(shape, Polygon):
        return []
    vertices = tuple((float(x), float(y), 0.0) for x, y in list(shape.exterior.coords)[:-1])
    style = Style(colour=shade(piece.colour, -0.45), width=0.12, fill=piece.colour)
    return [Loop(vertices=vertices, layer=NOTE, style=style)]


def _run(a: XY, b: XY, r: float, colour: str) -> list[Primitive]:
    """A short run of tube: its body, a light along its middle, its two edges."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    if length < 1e-6:
        return []
    nx, ny = -dy / length * r, dx / length * r
    ox, oy = dx / length * 0.25 * r, dy / length * 0.25 * r
    a, b = (a[0] - ox, a[1] - oy), (b[0] + ox, b[1] + oy)

    def strip(low: float, high: float, fill: str) -> Loop:
        ring = ((a, low), (b, low), (b, high), (a, high))
        vertices = tuple((p[0] + k * nx, p[1] + k * ny, 0.0) for p, k in ring)
        return Loop(vertices=vertices, layer=NOTE, style=Style(width=0.0, fill=fill))

    edge = Style(colour=shade(colour, -0.5), width=min(0.18, 0.3 * r))
    edges = [
        Line(
            start=(a[0] + k * nx, a[1] + k * ny),
            end=(b[0] + k * nx, b[1] + k * ny),
            layer=NOTE,
            style=edge,
        )
        for k in (-1.0, 1.0)
    ]
    return [strip(-1.0, 1.0, colour), strip(0.05, 0.55, shade(colour, 0.35)), *edges]


def _labels(labels: Iterable[Label], place: Callable[[Point], XY]) -> list[list[Primitive]]:
    """Each name beside its dot: to the right, or where else it covers no other name."""
    made, taken = list[list[Primitive]](), list[tuple[float, float, float, float]]()
    for label in labels:
        at, wide = place(label.at), _width_of(label)
        ways = [(0.9, -0.5), (-0.9 - wide, -0.5), (-wide / 2.0, 1.4), (-wide / 2.0, -4.1)]
        boxes = [(at[0] + u, at[1] + v, at[0] + u + wide, at[1] + v + 2.7) for u, v in ways]
        box = next((b for b in boxes if not any(_cover(b, t) for t in taken)), boxes[0])
        taken += [box, (at[0] - 0.9, at[1] - 0.9, at[0] + 0.9, at[1] + 0.9)]
        made.append(_label(label, at, box))
    return made


def _width_of(label: Label) -> float:
    from barwright.pack.paper import text_width

    return text_width(label.text, 1.7, bold=True) + 0.8


def _cover(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _label(label: Label, at: XY, box: tuple[float, float, float, float]) -> list[Primitive]:
    """White behind the name first, then its dot and its letters."""
    (x, y), (x0, y0, x1, y1) = at, box
    d = 0.9
    ring = ((x - d, y, 0.0), (x, y - d, 0.0), (x + d, y, 0.0), (x, y + d, 0.0))
    dot = Style(colour="#ffffff", width=0.2, fill="#b3261e")
    halo = Style(width=0.0, fill="#ffffff")
    back = ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
    return [
        Loop(vertices=back, layer=NOTE, style=halo),
        Loop(vertices=ring, layer=NOTE, style=dot),
        Text(text=label.text, at=(x0 + 0.4, y0 + 0.5), height=1.7, bold=True),
    ]


@lru_cache(1024)
def shade(colour: str, by: float) -> str:
    """A colour made lighter (by > 0, toward white) or darker (by < 0, toward black).

    >>> shade("#808080", 0.5), shade("#808080", -0.5)
    ('#c0c0c0', '#404040')
    """
    parts = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
    mixed = [round(c + (255 - c) * by) if by > 0 else round(c * (1.0 + by)) for c in parts]
    return "#" + "".join(f"{c:02x}" for c in mixed)
