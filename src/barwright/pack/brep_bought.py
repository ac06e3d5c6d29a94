"""Bought and turned things as solids: round ones hollow where they have a bore."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2
from OCP.TopoDS import TopoDS_Shape
from scipy.spatial import ConvexHull

from barwright.geometry.solids import Block, Rod
from barwright.geometry.vectors import unit
from barwright.pack import brep
from barwright.plates.part import Hardware


def bought_solids(item: Hardware) -> Iterator[TopoDS_Shape]:
    """The solids of a bought thing [mm] where it stands closed.

    A thing with a bore in its dimensions is drilled through where it is wider than the bore.
    """
    bore = dict(item.dims).get("bore", 0.0) / 2.0
    for solid in item.body.solids:
        if isinstance(solid, Rod):
            yield _round(solid, bore if bore < solid.radius else 0.0)
        elif isinstance(solid, Block):
            yield _hull(solid)


def _round(rod: Rod, bore: float) -> TopoDS_Shape:
    axes = gp_Ax2(brep.pnt(rod.start), brep.way(np.subtract(rod.end, rod.start)))
    length = math.dist(rod.start, rod.end)
    outer = BRepPrimAPI_MakeCylinder(axes, rod.radius, length).Shape()
    if not bore:
        return brep.largest(outer)
    return brep.largest(brep.cut(outer, [BRepPrimAPI_MakeCylinder(axes, bore, length).Shape()]))


def _hull(block: Block) -> TopoDS_Shape:
    points = np.array(block.corners)
    hull = ConvexHull(points)
    faces = [
        brep.face_of(brep.polygon_wire(points[_outward(points, t, hull)]))
        for t in range(len(hull.simplices))
    ]
    return brep.fused(brep.sewn(faces), [])


def _outward(points: np.ndarray, t: int, hull: ConvexHull) -> np.ndarray:
    """A facet's corners, anticlockwise from outside."""
    a, b, c = hull.simplices[t]
    normal = np.cross(points[b] - points[a], points[c] - points[a])
    return np.array([a, b, c] if unit(normal) @ hull.equations[t][:3] > 0.0 else [a, c, b])
