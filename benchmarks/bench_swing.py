"""The swing against a mesh library that steps through it a degree at a time.

The library's meshes are drawn inside the tubes (24 sides), and stepping proves nothing in between:
its clearance may be too large. Ours is proven, and finer.
"""

from __future__ import annotations

import importlib.metadata
import math
from collections.abc import Callable
from pathlib import Path

import fcl
import numpy as np
from scipy.spatial import ConvexHull

from barwright.geometry.path import Arc
from barwright.geometry.solids import Block, Body, Elbow, Rod, Solid
from barwright.geometry.vectors import Floats, point, rotation, square_to, unit
from barwright.job.load import load
from barwright.plates.solids import body_of as plate_body
from barwright.route import build
from barwright.swing.clearance import swing
from barwright.swing.motion import Motion
from barwright.tubes.bodies import body_of as bar_body
from benchmarks.timing import Row, compare

MESHES = f"python-fcl {importlib.metadata.version('python-fcl')}, 1° steps"
HERON = Path(__file__).parents[1] / "examples" / "heron"
SIDES = 24
Scene = tuple[Motion, tuple[Body, ...], tuple[Body, ...], frozenset[tuple[str, str]]]


def rows() -> list[Row]:
    """The Heron's own leaf, the same with a post in its way, and a made-up crowd of 70 parts."""
    heron, crowd = heron_leaf(), crowded()
    return [
        _row("Heron leaf, first contact and certified clearance", heron),
        _row("Heron leaf with a post in its way", with_post(heron, 62.0)),
        _row("bar with 2 bends among 70 parts, over 100°", crowd),
        _row("the same with a post in its way", with_post(crowd, 61.0)),
    ]


def _row(what: str, scene: Scene) -> Row:
    motion, movers, standing, allowed = scene
    found = swing(motion, movers, standing, allowed=allowed)
    steps = _steps(scene)
    least, first = steps()
    mine = found.first_contact
    agree = (
        f"least {found.least_clearance:.3f} mm proven, {least:.3f} mm stepped"
        if mine is None
        else f"first contact {math.degrees(mine):.4f}°, stepped {first:.0f}°"
    )
    ours = lambda: swing(motion, movers, standing, allowed=allowed)  # noqa: E731 - as called
    return compare(what, MESHES, ours, steps, agree=agree, pairs=5)


def heron_leaf() -> Scene:
    """The demo job's own leaf, with all that rides on it and all that stands."""
    made = build(load(HERON))
    motion = made.motions[0]
    bodies = [(bar_body(b), b.name in motion.bars) for b in made.bars.bars]
    bodies += [(plate_body(p), p.rides == motion.leaf) for p in made.parts.parts]
    bodies += [(h.body, h.rides == motion.leaf) for h in made.parts.hardware]
    movers = tuple(body for body, rides in bodies if rides)
    standing = tuple(body for body, rides in bodies if not rides)
    return motion, movers, standing, made.parts.intended


def with_post(scene: Scene, degrees: float) -> Scene:
    """The scene with an upright post where the leaf's far end comes by."""
    motion, movers, standing, allowed = scene
    last = movers[0].solids[-1]
    assert isinstance(last, Rod)
    at = motion.pose(math.radians(degrees) * math.copysign(1.0, motion.opens)).points(last.start)
    up = 300.0 * np.array(motion.along)
    post = Body(name="post", solids=(Rod(start=point(at - up), end=point(at + up), radius=16.0),))
    return motion, movers, (*standing, post), allowed


def crowded(seed: int = 0, count: int = 70) -> Scene:
    """A bar with two bends hung on the side of a frame of tubes and plates, none in its way."""
    rng = np.random.default_rng(seed)
    bar = Body(name="bar", solids=_tube([(0, 30, 0), (350, 30, 0), (700, 60, 40), (1000, 30, 30)]))
    standing = [_inside(rng, k) for k in range(count - 1)]
    motion = Motion(
        leaf="side",
        bars=("bar",),
        through=(-30.0, 45.0, 0.0),
        along=point(unit((0.02, 0.03, 1.0))),
        opens=math.radians(100.0),
    )
    return motion, (bar,), tuple(standing), frozenset()


def _inside(rng: np.random.Generator, k: int) -> Body:
    """A tube or every fifth a plate, on the frame's side of the closed bar."""
    middle, way = rng.uniform([-600, -900, -600], [1700, -80, 600]), unit(rng.normal(size=3))
    if k % 5 == 0:
        cube = np.array([(i, j, n) for i in (-1, 1) for j in (-1, 1) for n in (-1, 1)])
        corners = cube * (50.0, 30.0, 2.0) @ rotation(way, 1.0).T + middle
        corners[:, 1] -= max(0.0, corners[:, 1].max() + 20.0)
        return Body(name=f"plate-{k}", solids=(Block(corners=tuple(map(point, corners))),))
    ends = middle + np.outer((-1.0, 1.0), way * rng.uniform(150, 500))
    ends[:, 1] -= max(0.0, ends[:, 1].max() + 60.0)
    rod = Rod(start=point(ends[0]), end=point(ends[1]), radius=19.0)
    return Body(name=f"bar-{k}", solids=(rod,))


def _tube(corners: list[tuple[float, float, float]], radius: float = 22.2) -> tuple[Solid, ...]:
    """Rods and elbows (120 mm bends) along some corners."""
    at, bend = np.array(corners, dtype=float), 120.0
    start, made = at[0], []
    for before, here, after in zip(at, at[1:], at[2:], strict=False):
        u, w = unit(here - before), unit(after - here)
        angle = math.acos(float(u @ w))
        cut = bend * math.tan(0.5 * angle)
        axis, first = unit(np.cross(u, w)), here - cut * u
        centre = first + bend * np.cross(axis, u)
        arc = Arc(centre=point(centre), start=point(first), axis=point(axis), angle=angle)
        made += [Rod(start=point(start), end=arc.start, radius=radius)]
        made += [Elbow(arc=arc, radius=radius)]
        start = here + cut * w
    return (*made, Rod(start=point(start), end=point(at[-1]), radius=radius))


def _steps(scene: Scene) -> Callable[[], tuple[float, float]]:
    """The library's way: meshes once, then the least distance at every whole degree."""
    motion, movers, standing, allowed = scene
    moving = [(b.name, fcl.CollisionObject(_mesh(b))) for b in movers]
    still = [(b.name, fcl.CollisionObject(_mesh(b))) for b in standing]
    pairs = [(m, s) for a, m in moving for b, s in still if (a, b) not in allowed]
    degrees = np.arange(0.0, math.degrees(abs(motion.opens)) + 1e-9, 1.0)

    def run() -> tuple[float, float]:
        least, first = math.inf, math.inf
        for d in degrees:
            pose = motion.pose(math.copysign(math.radians(d), motion.opens))
            placed = fcl.Transform(np.array(pose.matrix), np.array(pose.shift))
            for _, obj in moving:
                obj.setTransform(placed)
            at = min(fcl.distance(m, s) for m, s in pairs)
            least = min(least, at)
            first = min(first, float(d)) if at <= 0.0 else first
        return least, first

    return run


def _mesh(body: Body) -> fcl.BVHModel:
    parts = [_triangles(s) for s in body.solids]
    model = fcl.BVHModel()
    model.beginModel(sum(len(v) for v, _ in parts), sum(len(t) for _, t in parts))
    for corners, faces in parts:
        model.addSubModel(corners, faces)
    model.endModel()
    return model


def _triangles(solid: Solid) -> tuple[Floats, np.ndarray[tuple[int, int], np.dtype[np.int64]]]:
    if isinstance(solid, Block):
        corners = np.unique(np.array(solid.corners), axis=0)
        return corners, np.asarray(ConvexHull(corners).simplices, dtype=np.int64)
    rings = _rings(solid)
    a = np.arange(len(rings) - 1)[:, None] * SIDES + np.arange(SIDES)
    b = np.arange(len(rings) - 1)[:, None] * SIDES + (np.arange(SIDES) + 1) % SIDES
    sides = [np.stack([a, b, a + SIDES], axis=-1), np.stack([b, b + SIDES, a + SIDES], axis=-1)]
    fan = np.array([(0, k, k + 1) for k in range(1, SIDES - 1)])
    caps = [fan, fan + SIDES * (len(rings) - 1)]
    faces = np.concatenate([*(s.reshape(-1, 3) for s in sides), *caps])
    return np.concatenate(rings), faces.astype(np.int64)


def _rings(solid: Rod | Elbow) -> list[Floats]:
    turn = 2.0 * math.pi * np.arange(SIDES) / SIDES
    if isinstance(solid, Rod):
        along = unit(np.subtract(solid.end, solid.start))
        x = square_to(along)
        y = np.cross(along, x)
        ring = solid.radius * (np.outer(np.cos(turn), x) + np.outer(np.sin(turn), y))
        return [ring + solid.start, ring + solid.end]
    arc = solid.arc
    centre, axis, made = np.array(arc.centre), np.array(arc.axis), []
    for angle in np.linspace(0.0, arc.angle, 9):
        out = rotation(axis, float(angle)) @ (np.array(arc.start) - centre)
        ring = solid.radius * (np.outer(np.cos(turn), unit(out)) + np.outer(np.sin(turn), axis))
        made.append(centre + out + ring)
    return made
