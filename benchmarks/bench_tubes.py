"""Copes and bend tables against a B-rep kernel, saw plans against a solver, in the same run."""

from __future__ import annotations

from importlib.metadata import version
from itertools import pairwise
from typing import Any

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeTorus
from OCP.ChFi2d import ChFi2d_FilletAPI
from OCP.GCPnts import GCPnts_AbscissaPoint
from OCP.gp import gp_Ax2, gp_Dir, gp_Pln, gp_Pnt, gp_Vec
from scipy.optimize import Bounds, LinearConstraint, milp

from barwright.geometry.bending import from_corners, table_of
from barwright.geometry.cope import Tip, cylinder_cope
from barwright.geometry.cope_bent import run_cope
from barwright.geometry.path import Arc, Centreline, Straight, arc_radius
from barwright.geometry.vectors import unit
from barwright.tubes.nesting import Piece, nest
from benchmarks.timing import Row, compare

LIBRARY = f"cadquery-ocp-novtk {version('cadquery-ocp-novtk')}: boolean cut of the same tube"
STATIONS = 2.0 * np.pi * np.arange(720) / 720
TIP = Tip(origin=(0.0, 0.0, 0.0), along=(0.0, 0.0, 1.0), zero=(1.0, 0.0, 0.0), inner=16.5, outer=19)
ONE = ((0.0, 2.0, 0.0), unit((1.0, 0.0, 0.5)), 22.5)
TWO = ((0.0, -1.0, 5.0), unit((0.3, 1.0, 0.4)), 20.0)
CORNERS = ((0.0, 0.0, 0.0), (0.0, 0.0, 900.0), (700.0, 150.0, 1300.0), (1500.0, 900.0, 1200.0))
CLR = 114.0
BAR, KERF = 6000.0, 2.0
LENGTHS = tuple(map(float, np.random.default_rng(5).integers(400, 2400, 14)))
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
        _table(),
        _nesting(),
    ]


def _table() -> Row:
    """Corners to straights, bends and turns; the kernel fillets the corners and is measured."""
    ours, theirs = table_of(from_corners(CORNERS, CLR)), _filleted()
    apart = np.abs(np.subtract([*ours.straights, *ours.bends, *ours.turns], theirs)).max()
    return compare(
        f"bend table of a bar with {len(CORNERS) - 2} bends",
        f"cadquery-ocp-novtk {version('cadquery-ocp-novtk')}: fillets, lengths, angles",
        lambda: table_of(from_corners(CORNERS, CLR)),
        _filleted,
        agree=f"to {apart:.0e} mm or rad" if apart else "to the last bit",
    )


def _filleted() -> list[float]:
    """Straights, bends and turns of the filleted polyline."""
    points = [gp_Pnt(*c) for c in CORNERS]
    ways = [gp_Vec(a, b) for a, b in pairwise(points)]
    axes = [a.Crossed(b) for a, b in pairwise(ways)]
    edges = [BRepBuilderAPI_MakeEdge(a, b).Edge() for a, b in pairwise(points)]
    for k, axis in enumerate(axes):
        api = ChFi2d_FilletAPI(edges[k], edges[k + 1], gp_Pln(points[k + 1], gp_Dir(axis)))
        api.Perform(CLR)
        api.Result(points[k + 1], edges[k], edges[k + 1])
    straights = [GCPnts_AbscissaPoint.Length_s(BRepAdaptor_Curve(e)) for e in edges]
    bends = [a.Angle(b) for a, b in pairwise(ways)]
    turns = [a.AngleWithRef(b, w) for (a, b), w in zip(pairwise(axes), ways[1:-1], strict=True)]
    return [*straights, *bends, *turns]


def _nesting() -> Row:
    """Which piece out of which bar, as a whole-number program of its own."""
    pieces = tuple(Piece(name=str(k), length=length) for k, length in enumerate(LENGTHS))
    ours, theirs = len(nest(pieces, BAR, kerf=KERF).bars), _assigned()
    return compare(
        f"{len(LENGTHS)} pieces out of {BAR / 1000:g} m bars, as few as can be",
        f"scipy {version('scipy')} milp, each piece to a bar",
        lambda: nest(pieces, BAR, kerf=KERF),
        _assigned,
        pairs=3,
        agree=f"{ours} bars, {theirs} by the library, both proven",
    )


def _assigned() -> int:
    """The fewest bars: piece i in bar j is a yes or no, and so is whether bar j is begun."""
    n, most = len(LENGTHS), len(LENGTHS) // 2
    once = np.hstack([np.kron(np.eye(n), np.ones(most)), np.zeros((n, most))])
    room = np.hstack(
        [np.kron(np.array(LENGTHS) + KERF, np.eye(most)), -(BAR + KERF) * np.eye(most)]
    )
    found = milp(
        np.append(np.zeros(n * most), np.ones(most)),
        integrality=np.ones((n + 1) * most),
        bounds=Bounds(0, 1),
        constraints=[LinearConstraint(once, 1, 1), LinearConstraint(room, -np.inf, 0)],
    )
    return round(found.fun)


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
