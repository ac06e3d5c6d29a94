"""A plate part as a folded solid with its holes: exact planes, cylinders and true arcs."""

from __future__ import annotations

import math

import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax2, gp_Circ
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape, TopoDS_Wire

from barwright.pack import brep
from barwright.pack.drawing import Circle, bulge_arc, segments
from barwright.pack.outlines import cut_of
from barwright.plates.folded import Panel, Strip, folded, strip_region
from barwright.plates.part import Loop, Part

SQUARE = 1e-3
"""A bend strip whose area is this near [mm²] to its box's is a rectangle."""


def plate_solid(part: Part) -> TopoDS_Shape:
    """A part's folded solid [mm] where it stands; its placing must not mirror (`twins.as_cut`).

    The flat face, with its true arcs, is cut into panels where the bends are; each panel is
    given its thickness and its place, and the bends between them are turned.

    Raises:
        ValueError: a bend does not run square across its plate, or the kernel cannot join it.
    """
    flat = _flat_face(part)
    if not part.folds:
        return brep.placed(_thick(flat, part.thickness), part.placed)
    whole = folded(part)
    bands = [
        brep.face_of(
            brep.polygon_wire(
                [(x, y, 0.0) for x, y in strip_region(f, part.thickness).exterior.coords[:-1]]
            )
        )
        for f in part.folds
    ]
    panels = [
        brep.placed(_thick(face, part.thickness), _panel_of(face, whole.panels).pose)
        for face in brep.faces(brep.cut(flat, bands))
    ]
    strips = [_bent(strip) for strip in whole.strips]
    return brep.largest(brep.fused(panels[0], [*panels[1:], *strips]))


def _flat_face(part: Part) -> TopoDS_Face:
    return brep.face_of(_wire(part.outline), [_wire(hole) for hole in part.holes])


def _wire(loop: Loop) -> TopoDS_Wire:
    """A loop of straights and true arcs in the plane z = 0."""
    cut = cut_of(loop)
    up, right = (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)
    if isinstance(cut, Circle):
        return brep.ring_wire((*cut.centre, 0.0), up, right, cut.radius)
    wire = BRepBuilderAPI_MakeWire()
    for start, end, bulge in segments(cut):
        p, q = brep.pnt((*start, 0.0)), brep.pnt((*end, 0.0))
        if not bulge:
            wire.Add(BRepBuilderAPI_MakeEdge(p, q).Edge())
            continue
        centre, radius, *_ = bulge_arc(start, end, bulge)
        normal = up if bulge > 0.0 else (0.0, 0.0, -1.0)
        circle = gp_Circ(
            gp_Ax2(brep.pnt((*centre, 0.0)), brep.way(normal), brep.way(right)), radius
        )
        wire.Add(BRepBuilderAPI_MakeEdge(circle, p, q).Edge())
    return wire.Wire()


def _thick(face: TopoDS_Face, thickness: float) -> TopoDS_Shape:
    return BRepPrimAPI_MakePrism(face, brep.vec((0.0, 0.0, thickness))).Shape()


def _panel_of(face: TopoDS_Face, panels: tuple[Panel, ...]) -> Panel:
    """Which panel a face is: the nearest to its middle, by area among equals."""
    from shapely.geometry import Point

    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, properties, brep.EXACT)
    middle, area = properties.CentreOfMass(), abs(properties.Mass())
    at = Point(middle.X(), middle.Y())
    return min(
        panels, key=lambda p: p.shape.centroid.distance(at) + abs(p.shape.area - area) ** 0.5
    )


def _bent(strip: Strip) -> TopoDS_Shape:
    """A bend: its rectangular section at the nearer panel, turned about the bend's axis."""
    low, high = _along_bend(strip)
    fold, t = strip.fold, strip.thickness
    d = np.subtract(fold.end, fold.start)
    d = d / np.hypot(*d)
    out = np.array(strip.out)
    start = np.array(fold.start) - out * strip.width / 2.0
    a, b = start + low * d, start + high * d
    face = brep.face_of(brep.polygon_wire([(*a, 0.0), (*b, 0.0), (*b, t), (*a, t)]))
    height = t + fold.radius if fold.angle > 0.0 else -fold.radius
    turn = np.cross([*out, 0.0], [0.0, 0.0, 1.0]) * math.copysign(1.0, fold.angle)
    about = brep.axis((*start, height), turn)
    solid = BRepPrimAPI_MakeRevol(face, about, abs(fold.angle)).Shape()
    return brep.placed(solid, strip.pose)


def _along_bend(strip: Strip) -> tuple[float, float]:
    """From where to where the strip runs along its bend line [mm].

    Raises:
        ValueError: its ends are not square to the bend.
    """
    fold = strip.fold
    d = np.subtract(fold.end, fold.start)
    d = d / np.hypot(*d)
    s = (np.array(strip.shape.exterior.coords) - fold.start) @ d
    low, high = float(s.min()), float(s.max())
    if abs((high - low) * strip.width - strip.shape.area) > SQUARE * max(1.0, high - low):
        raise ValueError("a bend's ends are not square to it, so it has no simple bent solid")
    return low, high
