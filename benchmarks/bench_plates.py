"""Plates against the B-rep kernel: folding a hinge cheek, and an edge that follows a tube."""

from __future__ import annotations

import importlib.metadata
import math
from dataclasses import replace

from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from shapely.geometry import box

from barwright.geometry.pose import UNMOVED
from barwright.geometry.solids import Body, Rod
from barwright.geometry.vectors import point, unit
from barwright.pack import brep
from barwright.pack.brep_plate import plate_solid
from barwright.plates import folded as folding
from barwright.plates import solids
from barwright.plates.blank import Plate, blank, bored, flange, part_of
from barwright.plates.outline import circle
from barwright.plates.part import Loop, Part
from barwright.plates.shadow import shadow
from benchmarks.timing import Row, compare

KERNEL = f"cadquery-ocp-novtk {importlib.metadata.version('cadquery-ocp-novtk')}"
WAY = unit([0.05, -0.12, 1.0])
RADIUS, THICK = 22.225, 3.175


def rows() -> list[Row]:
    """Each plate question beside the kernel's answer to it."""
    return [_fold(), _edge()]


def bracket() -> Part:
    """Three bends, both ways, a flange on a flange, and two holes."""
    b = blank(Plate(thickness=THICK, radius=THICK), box(0, 0, 80, 60), UNMOVED)
    b = flange(b, (80, 0), (80, 60), reach=40, angle=math.pi / 2.0)
    x = float(b.regions[2].shape.bounds[2])
    b = flange(b, (x, 0), (x, 60), reach=30, angle=-1.0, on=2)
    b = flange(b, (0, 60), (0, 0), reach=35, angle=-math.pi / 2.0)
    holes = [circle((c, 30.0), 6.0, hole=True) for c in (20.0, 60.0)]
    return part_of(bored(b, *holes), "bracket", keep=(40, 10))


def _fold() -> Row:
    part = bracket()
    theirs = brep.volume(plate_solid(part))
    off = abs(folding.folded_volume(part) / theirs - 1.0)
    turn = iter(range(10**9))

    def ours() -> object:
        fresh = _wider(part, 1e-9 * next(turn))  # nothing remembered
        folding.folded_volume(fresh)
        return solids.body_of(fresh)

    return compare(
        "fold a plate with 3 bends: volume and blocks",
        KERNEL,
        ours,
        lambda: brep.volume(plate_solid(part)),
        agree=f"volume to {off:.0e}",
    )


def _wider(part: Part, by: float) -> Part:
    """The part with its outline and holes a hair larger: another shape, as after an edit."""

    def wider(loop: Loop) -> Loop:
        return Loop(vertices=tuple((x * (1.0 + by), y, bulge) for x, y, bulge in loop.vertices))

    return replace(part, outline=wider(part.outline), holes=tuple(map(wider, part.holes)))


def _edge() -> Row:
    rod = Rod(start=point(-120.0 * WAY), end=point(120.0 * WAY), radius=RADIUS)
    body = Body(name="tube", solids=(rod,))
    area = shadow(body, UNMOVED, (0.0, THICK)).area
    long = RADIUS / WAY[2]
    exact = math.pi * RADIUS * long + 2.0 * RADIUS * THICK * math.hypot(*WAY[:2]) / WAY[2]
    return compare(
        "edge of a plate that follows a leaning tube",
        KERNEL,
        lambda: shadow(body, UNMOVED, (0.0, THICK)),
        _section,
        agree=f"area {1e6 * (area / exact - 1.0):+.0f} ppm of the closed form, never under",
    )


def _section() -> object:
    """The piece of the tube within the plate, whose outline the edge would be."""
    start = gp_Pnt(*(float(v) for v in -120.0 * WAY))
    tube = BRepPrimAPI_MakeCylinder(
        gp_Ax2(start, gp_Dir(*(float(v) for v in WAY))), RADIUS, 240.0
    ).Shape()
    slab = BRepPrimAPI_MakeBox(gp_Pnt(-90, -90, 0), gp_Pnt(90, 90, THICK)).Shape()
    return BRepAlgoAPI_Common(slab, tube).Shape()
