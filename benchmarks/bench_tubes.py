"""Copes against the boolean of a B-rep kernel, in the same run."""

from __future__ import annotations

from importlib.metadata import version
from typing import Any

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeTorus
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

from barwright.geometry.bending import from_corners
from barwright.geometry.cope import Tip, cylinder_cope
from barwright.geometry.cope_bent import run_cope
from barwright.geometry.path import Arc, Centreline, Straight, arc_radius
from barwright.geometry.vectors import unit
from benchmarks.timing import Row, compare

LIBRARY = f"cadquery-ocp-novtk {version('cadquery-ocp-novtk')}: boolean cut of the same tube"
STATIONS = 2.0 * np.pi * np.arange(720) / 720
TIP = Tip(origin=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), zero=(1.0, 0.0, 0.0), inner=16.5, outer=19)
ONE = ((0.0, 2.0, 0.0), unit((1.0, 0.0, 0.5)), 22.5)
TWO = ((0.0, -1.0, 5.0), unit((0.3, 1.0, 0.4)), 20.0)
BENT = from_corners([(-300, 0, 0), (40, 0, 0), (240, 250, 60)], 114.0)


def rows() -> list[Row]:
    """One row a kind of joint."""
    tube = BRepAlgoAPI_Cut(_cylinder((0, 0, -100), (0, 0, 1), 19.0, 300.0), _bore()).Shape()
    first, second = (_endless(*joint) for joint in (ONE, TWO))
    bent = _bent(BENT, 22.5)
    return [
        compare(
            "cope on one tube, whole wall, 720 stations",
            LIBRARY,
            lambda: cylinder_cope(TIP, *ONE, STATIONS),
            lambda: BRepAlgoAPI_Cut(tube, first).Shape(),
            agree="edges to 1e-7 mm, volumes to 1e-9 (tests/outside/test_occt_copes.py)",
        ),
        compare(
            "cope on two tubes, whole wall, 720 stations",
            LIBRARY,
            lambda: np.maximum(
                cylinder_cope(TIP, *ONE, STATIONS), cylinder_cope(TIP, *TWO, STATIONS)
            ),
            lambda: BRepAlgoAPI_Cut(BRepAlgoAPI_Cut(tube, first).Shape(), second).Shape(),
            agree="as above; ours also takes off the tongue a boolean may leave",
        ),
        compare(
            "cope on a bent tube, whole wall, 360 stations",
            LIBRARY,
            lambda: run_cope(TIP, BENT, 22.5, near=100.0, behind=100.0),
            lambda: BRepAlgoAPI_Cut(tube, bent).Shape(),
            agree="edges to 1e-5 mm, volumes to 1e-8",
        ),
    ]


def _cylinder(start: Any, way: Any, radius: float, long: float) -> Any:  # noqa: ANN401 - OCP
    frame = gp_Ax2(gp_Pnt(*map(float, start)), gp_Dir(*map(float, way)))
    return BRepPrimAPI_MakeCylinder(frame, radius, long).Shape()


def _bore() -> Any:  # noqa: ANN401 - OCP
    return _cylinder((0, 0, -100), (0, 0, 1), 16.5, 300.0)


def _endless(through: Any, way: Any, radius: float) -> Any:  # noqa: ANN401 - OCP
    return _cylinder(np.array(through) - 300.0 * way, way, radius, 600.0)


def _bent(line: Centreline, radius: float) -> Any:  # noqa: ANN401 - OCP
    whole = None
    for piece in line.pieces:
        part = _straight(piece, radius) if isinstance(piece, Straight) else _arc(piece, radius)
        whole = part if whole is None else BRepAlgoAPI_Fuse(whole, part).Shape()
    return whole


def _straight(piece: Straight, radius: float) -> Any:  # noqa: ANN401 - OCP
    run = np.subtract(piece.end, piece.start)
    return _cylinder(piece.start, unit(run), radius, float(np.linalg.norm(run)))


def _arc(arc: Arc, radius: float) -> Any:  # noqa: ANN401 - OCP
    out = unit(np.subtract(arc.start, arc.centre))
    frame = gp_Ax2(gp_Pnt(*arc.centre), gp_Dir(*arc.axis), gp_Dir(*map(float, out)))
    return BRepPrimAPI_MakeTorus(frame, arc_radius(arc), radius, arc.angle).Shape()
