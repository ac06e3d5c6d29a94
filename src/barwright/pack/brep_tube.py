"""A bar as a hollow solid with coped ends: exact cylinders and tori, cut by its receivers."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax2, gp_Circ
from OCP.TopoDS import TopoDS_Shape, TopoDS_Wire

from barwright.geometry.path import Arc, Straight, arc_end
from barwright.geometry.pose import Pose
from barwright.geometry.vectors import Floats, Point, point, rotation, square_to, unit
from barwright.pack import brep
from barwright.pack.ends import is_square
from barwright.tubes.bars import BuiltBar, Bushing, End

LAND = 0.02
"""What is taken off the sharp tips of a cope [mm]: a tube sawn to its cut length only just holds
them, and the kernel does not like what only just touches."""
COARSER = 0.05
"""Cuts are made at this scale: the kernel fits curves to where surfaces cross within 1e-7 of its
own unit, whatever the scale. That is 2e-6 mm here, which moves no volume by more than 1e-7, for
two thirds of the work.
"""

Receiver = BuiltBar | Bushing
Ends = tuple[tuple[Receiver, ...], tuple[Receiver, ...]]
Plane = tuple[Point, Point]
"""A point of a plate's face [mm], and its normal toward the tube."""


def tube_solid(
    bar: BuiltBar,
    receivers: Ends,
    gap: float,
    faces: tuple[Plane | None, Plane | None] = (None, None),
) -> TopoDS_Shape:
    """A bar's solid [mm] where it stands.

    The tube is made to its cut length, then cut by what each receiver would sweep were it drawn
    off over the tube's end: what can be pushed on, no tongues left. So it is cut as a hole saw
    cuts, along the receiver's surface; a template's cut, square to the wall, lies within it.

    Args:
        bar: the bar.
        receivers: what its `from` and its `to` end are coped against.
        gap: root gap [mm], measured along the bar.
        faces: the plate's face each end lands on; None for none.

    Raises:
        ValueError: the kernel could not make it.
    """
    whole = _tube(_extended(bar), bar.radius, bar.radius - bar.wall)
    tools = [
        tool
        for end, others, face in zip((bar.start, bar.finish), receivers, faces, strict=True)
        for tool in _end_tools(end, bar.radius, others, face, gap)
    ]
    if not tools:
        return whole
    whole = brep.scaled(whole, COARSER)
    for tool in tools:  # one by one: together the kernel would also cut the tools by each other
        whole = brep.largest(brep.cut(whole, [brep.scaled(tool, COARSER)]))
    return brep.scaled(whole, 1.0 / COARSER)


def _end_tools(
    end: End, tube: float, others: tuple[Receiver, ...], face: Plane | None, gap: float
) -> Iterator[TopoDS_Shape]:
    """All that is taken off one end."""
    shift = Pose(shift=point((gap + end.trim) * np.array(end.along)))
    for other in others:
        yield from (brep.placed(tool, shift) for tool in _tools(end, tube, other))
    if face is not None:
        yield brep.placed(_beyond(end, tube, face), shift)


def _beyond(end: End, tube: float, face: Plane) -> TopoDS_Shape:
    """A block on the far side of a plate's face, wide enough for the tube's slant."""
    through, normal = np.array(face[0]), unit(face[1])
    along = np.array(end.along)
    middle = (
        np.array(end.origin)
        + float(normal @ (through - end.origin)) / float(normal @ along) * along
    )
    u = square_to(normal)
    v = np.cross(normal, u)
    half = 2.0 * tube + float(np.ptp(end.cope)) + 50.0
    corners = [middle + half * (i * u + j * v) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    square = brep.face_of(brep.polygon_wire(corners))
    return BRepPrimAPI_MakePrism(square, brep.vec(-4.0 * half * normal)).Shape()


def _extended(bar: BuiltBar) -> list[Straight | Arc]:
    """The centreline from longest point to longest point, tips taken off."""
    pieces = list(bar.centreline.pieces)
    first, last = pieces[0], pieces[-1]
    if isinstance(first, Straight):
        pieces[0] = Straight(start=_tip(bar.start), end=first.end)
    else:
        pieces.insert(0, Straight(start=_tip(bar.start), end=bar.start.origin))
    if isinstance(last, Straight):
        begun = pieces[-1]
        start = begun.start if isinstance(begun, Straight) else last.start
        pieces[-1] = Straight(start=start, end=_tip(bar.finish))
    else:
        pieces.append(Straight(start=bar.finish.origin, end=_tip(bar.finish)))
    return [
        p
        for p in pieces
        if isinstance(p, Arc) or np.linalg.norm(np.subtract(p.end, p.start)) > 1e-9
    ]


def _tip(end: End) -> tuple[float, float, float]:
    land = 0.0 if is_square(end) else LAND
    return point(np.array(end.origin) + (float(end.cope.min()) + land) * np.array(end.along))


def _tube(pieces: list[Straight | Arc], outer: float, inner: float) -> TopoDS_Shape:
    """A hollow tube along pieces that meet in line, sewn from exact faces."""
    sides: list[TopoDS_Shape] = []
    start, along = _start(pieces[0])
    seam = square_to(along)
    first = brep.face_of(
        brep.ring_wire(start, along, seam, outer), [brep.ring_wire(start, along, seam, inner)]
    )
    for piece in pieces:
        start, along = _start(piece)
        sides += [_side(brep.ring_wire(start, along, seam, r), piece) for r in (outer, inner)]
        start, along, seam = _next(piece, along, seam)
    last = brep.face_of(
        brep.ring_wire(start, along, seam, outer), [brep.ring_wire(start, along, seam, inner)]
    )
    return brep.sewn([*sides, first, last])


def _start(piece: Straight | Arc) -> tuple[Floats, Floats]:
    """Where a piece begins, and which way it goes there."""
    if isinstance(piece, Straight):
        return np.array(piece.start), unit(np.subtract(piece.end, piece.start))
    return np.array(piece.start), unit(np.cross(piece.axis, np.subtract(piece.start, piece.centre)))


def _next(piece: Straight | Arc, along: Floats, seam: Floats) -> tuple[Floats, Floats, Floats]:
    """Where a piece ends, which way it goes there, and where the seam has come to."""
    if isinstance(piece, Straight):
        return np.array(piece.end), along, seam
    turn = rotation(piece.axis, piece.angle)
    return np.array(arc_end(piece)), turn @ along, turn @ seam


def _side(ring: TopoDS_Wire, piece: Straight | Arc) -> TopoDS_Shape:
    if isinstance(piece, Straight):
        return BRepPrimAPI_MakePrism(ring, brep.vec(np.subtract(piece.end, piece.start))).Shape()
    return BRepPrimAPI_MakeRevol(ring, brep.axis(piece.centre, piece.axis), piece.angle).Shape()


def _tools(end: End, tube: float, other: Receiver) -> Iterator[TopoDS_Shape]:
    """What a receiver takes off a tube's end."""
    near = [p for p in _endless(other) if _near(p, end, other.radius + tube + 1.0)]
    bent = any(isinstance(p, Arc) for p in near)
    yield from (_taken(piece, end, other.radius, drawn_off=not bent) for piece in near)


def _taken(piece: Straight | Arc, end: End, radius: float, *, drawn_off: bool) -> TopoDS_Shape:
    if isinstance(piece, Straight) and drawn_off:
        return _drawn_off(piece, end, radius)
    start, along = _start(piece)
    disc = brep.face_of(brep.ring_wire(start, along, square_to(along), radius))
    if isinstance(piece, Straight):
        return BRepPrimAPI_MakePrism(disc, brep.vec(np.subtract(piece.end, piece.start))).Shape()
    return BRepPrimAPI_MakeRevol(disc, brep.axis(piece.centre, piece.axis), piece.angle).Shape()


def _endless(other: Receiver) -> list[Straight | Arc]:
    """The receiver's pieces, its first and last straight carried on past the joint."""
    pieces = list(other.centreline.pieces)
    first, last = pieces[0], pieces[-1]
    more = 40.0 * other.radius
    if isinstance(first, Straight):
        d = unit(np.subtract(first.end, first.start))
        pieces[0] = Straight(start=point(np.array(first.start) - more * d), end=first.end)
    if isinstance(last, Straight):
        d = unit(np.subtract(last.end, last.start))
        start = pieces[-1].start if isinstance(pieces[-1], Straight) else last.start
        pieces[-1] = Straight(start=start, end=point(np.array(last.end) + more * d))
    return pieces


def _near(piece: Straight | Arc, end: End, reach: float) -> bool:
    """Whether a piece comes near the stretch of tube that may be cut."""
    low, high = float(end.cope.min()), float(end.cope.max())
    stations = np.linspace(low, high, 9)[:, None]
    tube = np.array(end.origin) + stations * np.array(end.along)
    along = _points(piece)
    gaps = np.linalg.norm(tube[:, None, :] - along[None, :, :], axis=2)
    return bool(gaps.min() <= reach)


def _points(piece: Straight | Arc) -> Floats:
    t = np.linspace(0.0, 1.0, 400)[:, None]
    if isinstance(piece, Straight):
        return np.asarray(np.array(piece.start) + t * np.subtract(piece.end, piece.start))
    arm = np.subtract(piece.start, piece.centre)
    return np.array([piece.centre + rotation(piece.axis, piece.angle * k) @ arm for k in t[::5, 0]])


def _drawn_off(piece: Straight, end: End, radius: float) -> TopoDS_Shape:
    """What a round bar sweeps when drawn off over the tube's end: a U-shaped prism.

    Across the receiver's axis the swept area is half a circle toward the tube and two sides that
    run off outward.
    """
    start, along = _start(piece)
    out = -np.array(end.along)
    out = unit(out - (out @ along) * along)
    side = np.cross(along, out)
    far = 6.0 * radius + 2.0 * float(np.ptp(end.cope)) + 200.0
    a, b = start + radius * side, start - radius * side
    circle = gp_Circ(gp_Ax2(brep.pnt(start), brep.way(along), brep.way(side)), radius)
    arc = BRepBuilderAPI_MakeEdge(circle, brep.pnt(a), brep.pnt(b)).Edge()
    corners = [b, b + far * out, a + far * out, a]
    wire = BRepBuilderAPI_MakeWire(arc)
    for p, q in itertools.pairwise(corners):
        wire.Add(BRepBuilderAPI_MakeEdge(brep.pnt(p), brep.pnt(q)).Edge())
    face = brep.face_of(wire.Wire())
    return BRepPrimAPI_MakePrism(face, brep.vec(np.subtract(piece.end, piece.start))).Shape()
