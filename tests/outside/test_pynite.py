"""Pynite (an independent open-source frame library) as second opinion on space frames."""

import numpy as np
import pytest
from Pynite import FEModel3D

from barwright.strength.frame import Loads, frame
from barwright.strength.solve import solve

DIRECTIONS = ("FX", "FY", "FZ", "MX", "MY", "MZ")
MOVES = ("DX", "DY", "DZ", "RX", "RY", "RZ")
REACTIONS = ("RxnFX", "RxnFY", "RxnFZ", "RxnMX", "RxnMY", "RxnMZ")


def _scene(seed: int):
    """A connected random space frame in N and mm with bars of tube-like and other sections."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(4, 14))
    nodes = rng.uniform(0, 2000, (n, 3))
    pairs = {(i - 1, i) for i in range(1, n)}
    while len(pairs) < n + 3 and len(pairs) < n * (n - 1) // 2:
        i, j = sorted(rng.choice(n, 2, replace=False))
        pairs.add((int(i), int(j)))
    ends = np.array(sorted(pairs))
    A, Iy, Iz, J = rng.uniform([150, 1e4, 1e4, 2e4], [600, 2e5, 2e5, 4e5], (len(ends), 4)).T
    held = np.zeros((n, 6), dtype=bool)
    held[0] = True
    held[n - 1, :3] = True
    released = np.zeros((len(ends), 12), dtype=bool)
    released[1, 10:] = rng.random() < 0.5
    nodal = rng.uniform(-1, 1, (2, n, 6)) * np.array([5e3] * 3 + [2e5] * 3)
    return nodes, ends, (A, Iy, Iz, J), held, released, nodal


def _ours(scene):
    nodes, ends, section, held, released, nodal = scene
    A, Iy, Iz, J = section
    # In Pynite local y stands up (its Y) for any bar that does not run exactly upright.
    toward = np.tile([0.0, 1.0, 0.0], (len(ends), 1))
    made = frame(
        nodes,
        ends,
        EA=2.1e5 * A,
        EIy=2.1e5 * Iy,
        EIz=2.1e5 * Iz,
        GJ=8.1e4 * J,
        held=held,
        toward=toward,
        released=released,
    )
    return solve(made, Loads(nodal=nodal))


def _theirs(scene):
    nodes, ends, section, held, released, nodal = scene
    model = FEModel3D()
    model.add_material("steel", 2.1e5, 8.1e4, 0.3, 0.0)
    for i, (x, y, z) in enumerate(nodes):
        model.add_node(f"N{i}", x, y, z)
        if held[i].any():
            model.def_support(f"N{i}", *map(bool, held[i]))
    for m, (i, j) in enumerate(ends):
        model.add_section(f"S{m}", *(float(p[m]) for p in section))
        model.add_member(f"M{m}", f"N{i}", f"N{j}", "steel", f"S{m}")
        if released[m].any():
            model.def_releases(f"M{m}", *map(bool, released[m]))
    for k in range(len(nodal)):
        model.add_load_combo(f"C{k}", {f"case{k}": 1.0})
        for i in range(len(nodes)):
            for d, name in enumerate(DIRECTIONS):
                model.add_node_load(f"N{i}", name, float(nodal[k, i, d]), case=f"case{k}")
    model.analyze_linear(log=False)
    return model


@pytest.mark.parametrize("seed", range(50))
def test_random_space_frames_agree_to_1e9(seed):
    scene = _scene(seed)
    nodes, ends, _, held, _, nodal = scene
    ours, model = _ours(scene), _theirs(scene)
    for k in range(len(nodal)):
        combo = f"C{k}"
        moves = [
            [getattr(model.nodes[f"N{i}"], a)[combo] for a in MOVES] for i in range(len(nodes))
        ]
        forces = [model.members[f"M{m}"].f(combo).ravel() for m in range(len(ends))]
        reactions = [
            [getattr(model.nodes[f"N{i}"], a)[combo] for a in REACTIONS] for i in range(len(nodes))
        ]
        _close(ours.moves[k], moves, np.ones_like(held))
        _close(ours.forces[k], forces, np.ones((len(ends), 12), dtype=bool))
        _close(ours.reactions[k], reactions, held)


def _close(ours, theirs, where) -> None:
    theirs = np.asarray(theirs, dtype=float)
    for part in (slice(0, 3), slice(3, 6)):  # shifts and turns, forces and moments apart
        a = ours.reshape(-1, 6)[:, part][where.reshape(-1, 6)[:, part]]
        b = theirs.reshape(-1, 6)[:, part][where.reshape(-1, 6)[:, part]]
        assert np.abs(a - b).max() <= 1e-9 * np.abs(b).max()
