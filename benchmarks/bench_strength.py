"""The frame solver against Pynite: 150 nodes, 300 members, 10 load cases, in one run."""

from __future__ import annotations

import importlib.metadata
from dataclasses import dataclass

import numpy as np
from Pynite import FEModel3D

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Answer, Bools, Frame, Ints, Loads, frame
from barwright.strength.solve import solve
from barwright.tubes.section import Section
from benchmarks.timing import Row, compare

CASES = 10
E, G_ = 210000.0, 210000.0 / 2.6
TUBE = Section(od=38.0, wall=2.5)
DIRECTIONS = ("FX", "FY", "FZ", "MX", "MY", "MZ")


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """A braced tower of tubes: 5 x 5 nodes on each of 6 floors, 300 members."""

    nodes: Floats
    ends: Ints
    held: Bools
    nodal: Floats


def scene() -> Scene:
    """150 nodes, 300 members, 10 cases of random forces and moments; the same every time."""
    grid = [(x, y, z) for z in range(6) for y in range(5) for x in range(5)]
    number = {p: i for i, p in enumerate(grid)}
    steps = ((0, 0, 1), (1, 0, 0), (0, 1, 0))
    pairs = [
        (number[p], number[q])
        for d in steps
        for p in grid
        if (q := (p[0] + d[0], p[1] + d[1], p[2] + d[2])) in number
    ]
    rng = np.random.default_rng(3)
    nodes = 400.0 * np.array(grid, dtype=float) + rng.uniform(-60.0, 60.0, (len(grid), 3))
    held = np.zeros((len(grid), 6), dtype=bool)
    held[:25] = True
    nodal = rng.uniform(-1.0, 1.0, (CASES, len(grid), 6)) * np.array([1e3] * 3 + [1e5] * 3)
    return Scene(nodes=nodes, ends=np.array(pairs[:300]), held=held, nodal=nodal)


def ours(s: Scene) -> Answer:
    """From raw arrays to movements, member forces and reactions."""
    made: Frame = frame(
        s.nodes,
        s.ends,
        EA=E * TUBE.area,
        EIy=E * TUBE.inertia,
        EIz=E * TUBE.inertia,
        GJ=G_ * TUBE.polar,
        held=s.held,
    )
    return solve(made, Loads(nodal=s.nodal))


def built(s: Scene) -> FEModel3D:
    """The same frame as a Pynite model, not yet analysed."""
    made = FEModel3D()
    made.add_material("steel", E, G_, 0.3, 7.85e-6)
    made.add_section("tube", TUBE.area, TUBE.inertia, TUBE.inertia, TUBE.polar)
    for i, (x, y, z) in enumerate(s.nodes):
        made.add_node(f"N{i}", x, y, z)
        if s.held[i].any():
            made.def_support(f"N{i}", *map(bool, s.held[i]))
    for m, (i, j) in enumerate(s.ends):
        made.add_member(f"M{m}", f"N{i}", f"N{j}", "steel", "tube")
    for k in range(CASES):
        made.add_load_combo(f"C{k}", {f"case{k}": 1.0})
        for i in range(len(s.nodes)):
            for d, name in enumerate(DIRECTIONS):
                made.add_node_load(f"N{i}", name, float(s.nodal[k, i, d]), case=f"case{k}")
    return made


def theirs(model: FEModel3D) -> FEModel3D:
    """Pynite's linear analysis, sparse solver, of a model that stands ready."""
    model.analyze_linear(log=False, check_stability=False, sparse=True)
    return model


def moved(s: Scene, model: FEModel3D) -> Floats:
    """Pynite's movements as an array like ours."""
    names = ("DX", "DY", "DZ", "RX", "RY", "RZ")
    return np.array(
        [
            [
                [getattr(model.nodes[f"N{i}"], a)[f"C{k}"] for a in names]
                for i in range(len(s.nodes))
            ]
            for k in range(CASES)
        ],
        dtype=float,
    )


def rows() -> list[Row]:
    """One row: only Pynite's analysis is timed, building its model is not; ours is timed whole."""
    s = scene()
    model = built(s)
    a, b = ours(s).moves, moved(s, theirs(model))
    off = max(
        float(np.abs(a[..., p] - b[..., p]).max() / np.abs(b[..., p]).max())
        for p in (slice(0, 3), slice(3, 6))
    )
    return [
        compare(
            f"space frame, {len(s.nodes)} nodes, {len(s.ends)} members, {CASES} cases",
            f"Pynite {importlib.metadata.version('pynitefea')}",
            lambda: ours(s),
            lambda: theirs(model),
            agree=f"{off:.0e} of the largest",
        )
    ]
