"""Interference and removal against mesh booleans by manifold3d, in the same run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from importlib.metadata import version
from itertools import pairwise

import manifold3d
import numpy as np

from barwright.buildup.apart import take_apart
from barwright.buildup.blocking import candidates
from barwright.buildup.differences import depths, near_pairs
from barwright.buildup.hulls import Hulls, hulls_of
from barwright.buildup.results import Way
from barwright.buildup.service import Scene, scene
from barwright.buildup.sliding import in_the_way
from barwright.buildup.things import things
from barwright.buildup.trapped import freed
from barwright.buildup.ways import SLACK
from barwright.geometry.convex import Bools
from barwright.geometry.solids import Block, Body, Rod
from barwright.geometry.vectors import Floats
from barwright.plates.part import Hardware, Parts
from barwright.tubes.bars import Bars
from benchmarks.timing import Row, compare

LIBRARY = f"manifold3d {version('manifold3d')}: boolean of every pair whose boxes meet"
SWEEPS = f"manifold3d {version('manifold3d')}: the same sweeps as hulls, one boolean a pair"
PEELED = f"manifold3d {version('manifold3d')}: part after part swept along x, y and z"
SIDES = 32
WAYS = 6


def rows() -> list[Row]:
    """100 parts against one another; 40 parts each way; 40 parts taken apart, to the last one."""
    many, few = hulls_of(_parts(100)), hulls_of(_parts(40))
    chest = scene(things(Bars(bars=()), Parts(hardware=_chest(19)), ()))
    ways = candidates(few)[:WAYS]
    met, free = _ours(many), _free(few, ways)
    return [
        compare(
            f"interference of 100 parts, {len(many)} pieces",
            LIBRARY,
            lambda: _ours(many),
            lambda: _theirs(many),
            pairs=3,
            agree=f"{len(met ^ _theirs(many))} pairs differ of {len(met)} that meet",
        ),
        compare(
            f"who is in whose way, 40 strewn parts, {WAYS} directions each",
            SWEEPS,
            lambda: _free(few, ways),
            lambda: _swept_free(few, ways),
            pairs=1,
            agree=f"{int((free != _swept_free(few, ways)).sum())} of {free.size} answers differ",
        ),
        compare(
            f"removal of 40 parts: locked chest, {len(chest.hulls)} pieces, searches and trims",
            PEELED,
            lambda: _apart(chest),
            lambda: _peeled(chest.hulls),
            pairs=1,
            agree=f"{len(_apart(chest))} come out, {len(_peeled(chest.hulls))} by the library",
        ),
    ]


def _apart(s: Scene) -> list[Way]:
    """The whole removal analysis of the build-up stage; those that come out."""
    ways = take_apart(s)
    freed(s, ways)
    return [w for w in ways if w.comes_out]


def _chest(n: int) -> tuple[Hardware, ...]:
    """A lid in rails over n pins, each of which locks a drawer; the frame."""
    lid = [(0, 0, 40, 70, 60 * n, 50)]
    frame = [(0, 0, 0, 70, 60 * n, 10), (0, 0, 10, 10, 60 * n, 30), (-10, 0, 30, 0, 60 * n, 60)]
    frame += [(0, 0, 50, 10, 60 * n, 60), (70, 0, 40, 80, 60 * n, 60), (60, 0, 50, 70, 60 * n, 60)]
    pins, drawers = [], []
    for y in range(0, 60 * n, 60):
        frame += [(10, y, 10, 70, y + 10, 30), (10, y + 40, 10, 70, y + 60, 30)]
        frame += [(0, y, 30, 35, y + 60, 40), (45, y, 30, 70, y + 60, 40)]
        frame += [(35, y, 30, 45, y + 20, 40), (35, y + 30, 30, 45, y + 60, 40)]
        pins.append([(35, y + 20, 20, 45, y + 30, 40)])
        drawer = [(10, y + 10, 10, 70, y + 40, 20), (10, y + 10, 20, 35, y + 40, 30)]
        drawer += [(45, y + 10, 20, 70, y + 40, 30), (35, y + 10, 20, 45, y + 20, 30)]
        drawers.append([*drawer, (35, y + 30, 20, 45, y + 40, 30)])
    every = [lid, *pins, *drawers, frame]
    return tuple(_boxes(str(k), boxes) for k, boxes in enumerate(every))


def _boxes(name: str, boxes: Sequence[tuple[int, int, int, int, int, int]]) -> Hardware:
    solids = []
    for x, y, z, u, v, w in boxes:
        flat = ((x, y), (u, y), (u, v), (x, v))
        corners = tuple((float(p), float(q), float(r)) for r in (z, w) for p, q in flat)
        solids.append(Block(corners=corners))
    return Hardware(name=name, what="", dims=(), body=Body(name=name, solids=tuple(solids)))


def _peeled(h: Hulls) -> list[int]:
    """One part after another that sweeps out clear along x, y or z, and what remains."""
    out, left, progress = list[int](), set(h.owner.tolist()), True
    axes = np.vstack([np.eye(3), -np.eye(3)])
    while progress:
        progress = False
        for k in sorted(left):
            rows = h.take(np.isin(h.owner, sorted(left)))
            if len(left) > 1 and _swept_free(rows, axes, only=k).any():
                left.discard(k)
                out.append(k)
                progress = True
    return [*out, *left]


def _parts(n: int) -> list[Body]:
    """Tubes of three runs and plates of four blocks, strewn as on a frame; seed 1."""
    rng = np.random.default_rng(1)
    return [_tube(k, rng) if k % 2 else _plate(k, rng) for k in range(n)]


def _tube(k: int, rng: np.random.Generator) -> Body:
    at, points = rng.uniform(-500.0, 500.0, 3), []
    for _ in range(4):
        points.append(tuple(at))
        at = at + rng.normal(0.0, 180.0, 3)
    rods = [Rod(start=a, end=b, radius=19.0) for a, b in pairwise(points)]
    return Body(name=str(k), solids=tuple(rods))


def _plate(k: int, rng: np.random.Generator) -> Body:
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    at = rng.uniform(-500.0, 500.0, 3)
    blocks = [_block(turn, at, x, y) for x in (0.0, 60.0) for y in (0.0, 60.0)]
    return Body(name=str(k), solids=tuple(blocks))


def _block(turn: Floats, at: Floats, x: float, y: float) -> Block:
    flat = [(x, y), (x + 60.0, y), (x + 60.0, y + 60.0), (x, y + 60.0)]
    corners = np.array([(u, v, z) for z in (0.0, 4.0) for u, v in flat]) @ turn.T + at
    return Block(corners=tuple((float(p[0]), float(p[1]), float(p[2])) for p in corners))


def _ours(h: Hulls) -> set[tuple[int, int]]:
    i, j = near_pairs(h, h)
    once = h.owner[i] < h.owner[j]
    i, j = i[once], j[once]
    hit = depths(h, h, i, j).depth > 0.0
    return {(int(a), int(b)) for a, b in zip(h.owner[i[hit]], h.owner[j[hit]], strict=True)}


def _theirs(h: Hulls) -> set[tuple[int, int]]:
    solids = [manifold3d.Manifold.hull_points(_points(h, k)) for k in range(len(h))]
    i, j = near_pairs(h, h)
    once = h.owner[i] < h.owner[j]
    return {
        (int(h.owner[a]), int(h.owner[b]))
        for a, b in zip(i[once], j[once], strict=True)
        if (solids[a] ^ solids[b]).volume() > 0.0
    }


def _points(h: Hulls, k: int) -> Floats:
    corners, r = h.corners[k, : h.sizes[k, 0]], float(h.radius[k])
    if r == 0.0:
        return corners
    axis = h.axis[k]
    x = np.cross(axis, (0.36, 0.48, 0.8))
    x /= np.linalg.norm(x)
    turn = 2.0 * np.pi * np.arange(SIDES) / SIDES
    ring = r * (np.cos(turn)[:, None] * x + np.sin(turn)[:, None] * np.cross(axis, x))
    return np.vstack([corners[0] + ring, corners[1] + ring])


def _free(h: Hulls, ways: Floats) -> Bools:
    """For each part and direction, whether it slides right out; those that overlap do not."""
    n = int(h.owner.max()) + 1
    all_ways, of = np.tile(ways, (n, 1)), np.repeat(np.arange(n), len(ways))
    met = in_the_way(h, h, all_ways, of, slack=SLACK, may=~np.eye(n, dtype=bool))
    return np.asarray(~met.any(axis=1).reshape(n, -1))


def _swept_free(h: Hulls, ways: Floats, only: int | None = None) -> Bools:
    far = 4000.0
    points = [_points(h, k) for k in range(len(h))]
    solids = [manifold3d.Manifold.hull_points(p) for p in points]
    free = np.ones((int(h.owner.max()) + 1, len(ways)), dtype=bool)
    for k in [k for k in range(len(h)) if only in {None, h.owner[k]}]:
        for w, way in enumerate(ways):
            sweep = manifold3d.Manifold.hull_points(np.vstack([points[k], points[k] + far * way]))
            low, high = np.split(np.array(sweep.bounding_box()), 2)
            near = ((h.low < high) & (h.high > low)).all(axis=1) & (h.owner != h.owner[k])
            if any((sweep ^ solids[j]).volume() > math.ulp(1.0) for j in np.nonzero(near)[0]):
                free[h.owner[k], w] = False
    return free if only is None else free[only]
