"""A folded plate as the faces a picture shows: panels with their holes, edges, bends."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TypeAlias

import numpy as np
from shapely import Polygon, box
from shapely.affinity import affine_transform

from barwright.geometry.pose import Pose
from barwright.geometry.vectors import Floats, Point
from barwright.pack.picture import Face
from barwright.pack.twins import as_cut
from barwright.plates.folded import Strip, folded
from barwright.plates.part import Part

Placing: TypeAlias = Callable[[Floats, Floats], Floats]

SLICES = 4
"""Pieces a bend is drawn with."""


def faces_of(part: Part, colour: str, pose: Pose) -> list[Face]:
    """The faces of a part where it stands, moved by a pose."""
    cut = as_cut(part)
    whole, t = folded(cut), cut.thickness
    made: list[Face] = []
    for panel in whole.panels:
        there = pose.after(panel.pose)
        made += _slab(panel.shape, t, colour, partial(_lifted, there))
    for strip in whole.strips:
        for piece in _slices(strip):
            made += _slab(piece, t, colour, partial(_bent, strip, pose))
    return made


def _lifted(pose: Pose, flat: Floats, z: Floats) -> Floats:
    """Flat points at heights z, put in place."""
    return pose.points(np.column_stack([flat, z]))


def _bent(strip: Strip, pose: Pose, flat: Floats, z: Floats) -> Floats:
    """Flat points of a bend at heights z, put in place."""
    return pose.points(strip.space(flat, z))


def _slab(shape: Polygon, t: float, colour: str, place: Placing) -> Iterator[Face]:
    """Both faces and the edges of a flat piece, every corner put in place."""
    rings = [np.array(r.coords)[:-1] for r in (shape.exterior, *shape.interiors)]
    for z, turned in ((t, False), (0.0, True)):
        loops = [_points(place(r, np.full(len(r), z))) for r in rings]
        outer = loops[0] if shape.exterior.is_ccw != turned else loops[0][::-1]
        yield Face(corners=outer, holes=tuple(loops[1:]), colour=colour)
    ring = rings[0] if shape.exterior.is_ccw else rings[0][::-1]
    low, high = place(ring, np.zeros(len(ring))), place(ring, np.full(len(ring), t))
    for i in range(len(ring)):
        j = (i + 1) % len(ring)
        yield Face(corners=_points([low[i], low[j], high[j], high[i]]), colour=colour, edge=True)


def _points(rows: Floats | list[Floats]) -> tuple[Point, ...]:
    return tuple((float(x), float(y), float(z)) for x, y, z in rows)


def _slices(strip: Strip) -> Iterator[Polygon]:
    """A bend's flat strip in slices across it."""
    out = np.array(strip.out)
    start = np.array(strip.fold.start) - out * strip.width / 2.0
    far = 1e4
    for k in range(SLICES):
        band = box(strip.width * k / SLICES, -far, strip.width * (k + 1) / SLICES, far)
        placed = affine_transform(band, [out[0], -out[1], out[1], out[0], *start])
        shape = strip.shape.intersection(placed)
        parts = getattr(shape, "geoms", [shape])
        yield from (p for p in parts if isinstance(p, Polygon) and p.area > 1e-6)
