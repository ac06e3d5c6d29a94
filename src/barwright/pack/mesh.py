"""Triangles of bars, plates and bought things, for viewing: chords within a few hundredths.

Nothing is measured on these: copes and clearances are worked out on the exact shapes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, box, constrained_delaunay_triangles, get_coordinates
from shapely.affinity import affine_transform

from barwright.geometry.path import Arc, Straight
from barwright.geometry.pose import Pose
from barwright.geometry.solids import Block, Elbow, Rod
from barwright.geometry.vectors import Floats, rotation, square_to, unit
from barwright.plates.folded import Strip, folded
from barwright.plates.part import Part
from barwright.tubes.bars import BuiltBar, End

Counts: TypeAlias = NDArray[np.int64]

SIDES = 36
"""Sides a tube is drawn with."""

SLICES = 6
"""Pieces a bend in a plate is drawn with."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Mesh:
    """Triangles: points (n, 3) [mm], outward normals (n, 3), corners (m, 3) anticlockwise."""

    points: Floats
    normals: Floats
    corners: Counts


def joined(meshes: Iterable[Mesh]) -> Mesh:
    """Several meshes as one."""
    parts = list(meshes)
    starts = np.cumsum([0, *(len(m.points) for m in parts)])
    return Mesh(
        points=np.vstack([m.points for m in parts]),
        normals=np.vstack([m.normals for m in parts]),
        corners=np.vstack([m.corners + s for m, s in zip(parts, starts, strict=False)]),
    )


def tube_mesh(bar: BuiltBar) -> Mesh:
    """A bar as a hollow tube, its ends cut as its templates say."""
    rings, spokes = _rings(bar)
    outer = rings[:, None, :] + bar.radius * spokes
    inner = rings[:, None, :] + (bar.radius - bar.wall) * spokes
    for at, end in ((0, bar.start), (-1, bar.finish)):
        shift = _cut(end, spokes[at])[:, None] * np.array(end.along)
        outer[at] += shift
        inner[at] += shift
    sides = [_skin(outer, spokes, out=True), _skin(inner, -spokes, out=False)]
    return joined(
        [*sides, _rim(outer[0], inner[0], first=True), _rim(outer[-1], inner[-1], first=False)]
    )


def _cut(end: End, spokes: Floats) -> Floats:
    """The cope's position at each spoke [mm]."""
    along, zero = np.array(end.along), np.array(end.zero)
    ahead = np.cross(along, zero - (zero @ along) * along)
    degrees = np.degrees(np.arctan2(spokes @ ahead, spokes @ np.cross(ahead, along))) % 360.0
    return np.asarray(np.interp(degrees, np.arange(361), np.append(end.cope, end.cope[0])))


def _rings(bar: BuiltBar) -> tuple[Floats, Floats]:
    """Middles (k, 3) of the rings along a bar, and their spokes (k, SIDES, 3)."""
    first = np.array(bar.start.along)
    zero, side = square_to(first), np.cross(first, square_to(first))
    turns = 2.0 * math.pi * np.arange(SIDES)[:, None] / SIDES
    spokes = np.cos(turns) * zero + np.sin(turns) * side
    middles, rays = [np.array(bar.start.origin)], [spokes]
    for piece in bar.centreline.pieces:
        for middle, turn in _steps(piece):
            middles.append(middle)
            rays.append(spokes @ turn.T)
        spokes = rays[-1]
    return np.array(middles), np.array(rays)


def _steps(piece: Straight | Arc) -> list[tuple[Floats, Floats]]:
    """Where a piece's rings stand, and how far each is turned from the piece's start."""
    if isinstance(piece, Straight):
        return [(np.array(piece.end), np.eye(3))]
    n = max(2, math.ceil(math.degrees(piece.angle) / 5.0))
    turns = [rotation(piece.axis, piece.angle * k / n) for k in range(1, n + 1)]
    arm, centre = np.subtract(piece.start, piece.centre), np.array(piece.centre)
    return [(centre + t @ arm, t) for t in turns]


def _skin(rings: Floats, normals: Floats, *, out: bool) -> Mesh:
    """The surface through rings of points (k, n, 3)."""
    k, n, _ = rings.shape
    at = np.arange(k * n).reshape(k, n)
    a, b = at[:-1], np.roll(at, -1, axis=1)[:-1]
    c, d = np.roll(at, -1, axis=1)[1:], at[1:]
    faces = np.stack([np.stack([a, b, c], -1), np.stack([a, c, d], -1)]).reshape(-1, 3)
    return Mesh(
        points=rings.reshape(-1, 3),
        normals=normals.reshape(-1, 3),
        corners=faces if out else faces[:, ::-1],
    )


def _rim(outer: Floats, inner: Floats, *, first: bool) -> Mesh:
    """The wall's cut face at an end."""
    quads = np.stack([outer, inner, np.roll(inner, -1, axis=0), np.roll(outer, -1, axis=0)], axis=1)
    triangles = quads[:, [[0, 1, 2], [0, 2, 3]]]
    return flat(triangles if first else triangles[..., ::-1, :])


def flat(triangles: Floats) -> Mesh:
    """Triangles (..., 3, 3), each with its own normal; those of no area are left out."""
    p = triangles.reshape(-1, 3, 3)
    n = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    size = np.sqrt(np.einsum("ij,ij->i", n, n))
    real = size > 1e-9
    p, n = p[real], n[real] / size[real, None]
    return Mesh(
        points=p.reshape(-1, 3),
        normals=np.repeat(n, 3, axis=0),
        corners=np.arange(3 * len(p), dtype=np.int64).reshape(-1, 3),
    )


def plate_mesh(part: Part) -> Mesh:
    """A folded part; its placing must not mirror (`twins.as_cut`)."""
    whole, t = folded(part), part.thickness
    panels = [_prism(p.shape, t, partial(_lifted, p.pose)) for p in whole.panels]
    return joined([*panels, *(_bend(strip) for strip in whole.strips)])


def _lifted(pose: Pose, flat_points: Floats, z: Floats) -> Floats:
    """Flat points at heights z, put in place."""
    return pose.points(np.column_stack([flat_points, z]))


def _bend(strip: Strip) -> Mesh:
    """A bend as slices across it, each mapped onto the bend."""
    out = np.array(strip.out)
    start = np.array(strip.fold.start) - out * strip.width / 2.0
    far = 10.0 * (np.ptp(np.array(strip.shape.exterior.coords), axis=0).max() + strip.width)
    pieces = []
    for k in range(SLICES):
        low, high = strip.width * k / SLICES, strip.width * (k + 1) / SLICES
        band = box(low, -far, high, far)
        placed = affine_transform(band, [out[0], -out[1], out[1], out[0], *start])
        shape = strip.shape.intersection(placed)
        parts = getattr(shape, "geoms", [shape])
        pieces += [
            _prism(p, strip.thickness, strip.space)
            for p in parts
            if isinstance(p, Polygon) and p.area > 1e-6
        ]
    return joined(pieces)


def _prism(shape: Polygon, t: float, place: Callable[[Floats, Floats], Floats]) -> Mesh:
    """A flat piece given its thickness, every corner put in place."""
    rings = get_coordinates(constrained_delaunay_triangles(shape)).reshape(-1, 4, 2)
    faces = _leftward(rings[:, :3])
    corners, on = faces.reshape(-1, 2), faces[:, ::-1].reshape(-1, 2)
    top, under = place(corners, np.full(len(corners), t)), place(on, np.zeros(len(on)))
    triangles = [np.stack([top.reshape(-1, 3, 3), under.reshape(-1, 3, 3)], axis=1)]
    for ring, way in ((shape.exterior, 1.0), *((hole, -1.0) for hole in shape.interiors)):
        p = np.array(ring.coords)
        p = p if (ring.is_ccw) == (way > 0) else p[::-1]
        low, high = place(p, np.zeros(len(p))), place(p, np.full(len(p), t))
        a, b, c, d = low[:-1], low[1:], high[1:], high[:-1]
        triangles.append(np.stack([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)], 1))
    return flat(np.concatenate(triangles))


def _leftward(faces: Floats) -> Floats:
    """Triangles (m, 3, 2), all of them anticlockwise."""
    (ax, ay), (bx, by) = (faces[:, 1] - faces[:, 0]).T, (faces[:, 2] - faces[:, 0]).T
    left = ax * by - ay * bx > 0.0
    return np.where(left[:, None, None], faces, faces[:, ::-1])


def solid_mesh(solid: Rod | Elbow | Block) -> Mesh:
    """A bought thing's solid."""
    if isinstance(solid, Block):
        return _hull(np.array(solid.corners))
    if isinstance(solid, Rod):
        along = unit(np.subtract(solid.end, solid.start))
        ends = [(np.array(solid.start), np.eye(3)), (np.array(solid.end), np.eye(3))]
    else:
        along = unit(np.cross(solid.arc.axis, np.subtract(solid.arc.start, solid.arc.centre)))
        ends = [(np.array(solid.arc.start), np.eye(3)), *_steps(solid.arc)]
    zero = square_to(along)
    turns = 2.0 * math.pi * np.arange(SIDES)[:, None] / SIDES
    spokes = np.cos(turns) * zero + np.sin(turns) * np.cross(along, zero)
    rays = np.array([spokes @ turn.T for _, turn in ends])
    middles = np.array([m for m, _ in ends])
    rings = middles[:, None, :] + solid.radius * rays
    caps = [
        _rim(rings[0], np.repeat(middles[:1], SIDES, axis=0), first=True),
        _rim(rings[-1], np.repeat(middles[-1:], SIDES, axis=0), first=False),
    ]
    return joined([_skin(rings, rays, out=True), *caps])


def _hull(points: Floats) -> Mesh:
    from scipy.spatial import ConvexHull

    hull = ConvexHull(points)
    p = points[hull.simplices]
    n = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    out = np.einsum("ij,ij->i", n, hull.equations[:, :3]) > 0.0
    return flat(np.where(out[:, None, None], p, p[:, ::-1]))
