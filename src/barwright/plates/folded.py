"""A part folded: where each panel and each bend strip of the flat pattern comes to lie in space.

The flat pattern is cut along the edges of its bend strips, each as wide as the bend's allowance;
what is left between them are panels. Starting from the fixed panel, each panel is placed by the
bends crossed on the way to it: any number of them, up or down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike
from shapely import unary_union
from shapely.geometry import Point, Polygon

from barwright.geometry.pose import Pose, pose_of
from barwright.geometry.vectors import Floats
from barwright.plates.bends import allowance
from barwright.plates.outline import area, region
from barwright.plates.part import Flat, Fold, Part
from barwright.plates.shapes import polygons

TOUCH = 1e-4
"""Pieces nearer than this along an edge [mm] hang together."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Panel:
    """A piece of the flat pattern that stays flat.

    Attributes:
        shape: in the flat pattern's own x and y [mm].
        pose: flat frame (z = 0 far face, z = thickness seen face) -> vehicle, for this panel.
    """

    shape: Polygon
    pose: Pose


@dataclass(frozen=True, kw_only=True, eq=False)
class Strip:
    """A piece of the flat pattern that is bent.

    Attributes:
        shape: in the flat pattern's own x and y [mm].
        fold: the bend.
        width: allowance [mm], across the bend.
        out: unit direction in the flat pattern, from the nearer panel to the further.
        pose: the nearer panel's pose, in which the bend begins.
        thickness: of the plate [mm].
    """

    shape: Polygon
    fold: Fold
    width: float
    out: Flat
    pose: Pose
    thickness: float

    def across(self, flat: ArrayLike) -> Floats:
        """How far each flat point, shape (n, 2), lies from where the bend begins [mm]."""
        return (np.asarray(flat, dtype=float) - self.fold.start) @ self.out + self.width / 2.0

    def space(self, flat: ArrayLike, z: ArrayLike) -> Floats:
        """Points of the bent plate, shape (n, 3), from flat points (n, 2) and depth z (n,)."""
        p, depth = np.asarray(flat, dtype=float), np.asarray(z, dtype=float)
        u = self.across(p)
        phi = u / self.width * abs(self.fold.angle)
        begin = p - u[:, None] * np.array(self.out)
        r, up = self.fold.radius, self.fold.angle > 0.0
        rho = r + (self.thickness - depth if up else depth)
        centre = self.thickness + r if up else -r
        sign = -1.0 if up else 1.0
        xy = begin + (rho * np.sin(phi))[:, None] * np.array(self.out)
        return self.pose.points(np.column_stack([xy, centre + sign * rho * np.cos(phi)]))


@dataclass(frozen=True, kw_only=True, eq=False)
class Folded:
    """A part's panels and bend strips in space.

    Attributes:
        panels: the fixed panel first.
        strips: the bends.
        loose: area [mm²] that hangs on nothing: 0 when the part is one piece.
    """

    panels: tuple[Panel, ...]
    strips: tuple[Strip, ...]
    loose: float


def width_of(fold: Fold, thickness: float) -> float:
    """How wide the bend's strip is in the flat pattern: its allowance [mm]."""
    return allowance(angle=fold.angle, radius=fold.radius, thickness=thickness, k=fold.k)


@lru_cache(256)
def strip_region(fold: Fold, thickness: float, *, ends: float = 1e-7) -> Polygon:
    """The rectangle of the flat pattern that the bend uses up, longer by `ends` [mm] each way."""
    a, b = np.array(fold.start), np.array(fold.end)
    d = (b - a) / np.hypot(*(b - a))
    n = np.array([-d[1], d[0]]) * width_of(fold, thickness) / 2.0
    e = ends * d
    return Polygon([a - e - n, b + e - n, b + e + n, a - e + n])


def beyond(pose: Pose, fold: Fold, out: Flat, thickness: float) -> Pose:
    """The pose of the panel beyond a bend, from the pose of the panel before it.

    What lies beyond is drawn back by the bend's width and turned about the bend's axis: with `o`
    the way out and `z` up, o goes to c o + s z and z to c z - s o.
    """
    width, (x, y) = width_of(fold, thickness), out
    c, s = math.cos(fold.angle), math.sin(fold.angle)
    turn = np.array(
        [
            [c * x * x + y * y, (c - 1.0) * x * y, -s * x],
            [(c - 1.0) * x * y, x * x + c * y * y, -s * y],
            [s * x, s * y, c],
        ]
    )
    height = thickness + fold.radius if fold.angle > 0.0 else -fold.radius
    u, v = fold.start[0] - x * width / 2.0, fold.start[1] - y * width / 2.0
    centre, moved = np.array([u, v, height]), np.array([u + width * x, v + width * y, height])
    m = np.array(pose.matrix)
    return pose_of(m @ turn, m @ (centre - turn @ moved) + pose.shift)


def folded(part: Part) -> Folded:
    """The part's panels and strips in space.

    Bends that cross one another, or that do not go right across their piece, leave pieces that
    hang together past the bend: `plates.checks` finds those.
    """
    return _folded(shape_of(part))


@lru_cache(256)
def _folded(part: Part) -> Folded:
    return folded_as(part, region(part.outline, part.holes))


def shape_of(part: Part) -> Part:
    """A part with its shape, its folds and its place alone: alike for parts that are shaped so."""
    return Part(
        name="",
        thickness=part.thickness,
        material="",
        outline=part.outline,
        holes=part.holes,
        folds=part.folds,
        placed=part.placed,
    )


def folded_as(part: Part, whole: Polygon, *, ends: float = 1e-7) -> Folded:
    """Another flat shape folded like the part: coarser, or without its holes.

    `ends` [mm] lengthens the bends where the other shape is larger than the part.
    """
    bands = [strip_region(f, part.thickness, ends=ends) for f in part.folds]
    panels = polygons(whole.difference(unary_union(bands)) if bands else whole)
    strips = [(f, s) for f, b in zip(part.folds, bands, strict=True) for s in polygons(whole & b)]
    return _walk(part, panels, strips)


def _walk(part: Part, shapes: list[Polygon], bands: list[tuple[Fold, Polygon]]) -> Folded:
    first = min(range(len(shapes)), key=lambda i: shapes[i].distance(Point(0.0, 0.0)))
    meets = [[_meeting(shape, band) for _, band in bands] for shape in shapes]
    placed: dict[int, Pose] = {first: part.placed}
    order, strips, seen = [first], list[Strip](), list[int]()
    for i in order:  # grows while it is walked: breadth first
        for j, (fold, band) in enumerate(bands):
            if j in seen or not _side(meets[i][j], fold):
                continue
            seen.append(j)
            out = _out(shapes[i], fold)
            strips.append(
                Strip(
                    shape=band,
                    fold=fold,
                    width=width_of(fold, part.thickness),
                    out=out,
                    pose=placed[i],
                    thickness=part.thickness,
                )
            )
            for k in range(len(shapes)):
                if k not in placed and _side(meets[k][j], fold):
                    placed[k] = beyond(placed[i], fold, out, part.thickness)
                    order.append(k)
    panels = tuple(Panel(shape=shapes[i], pose=placed[i]) for i in order)
    loose = sum(s.area for i, s in enumerate(shapes) if i not in placed)
    loose += sum(b.area for j, (_, b) in enumerate(bands) if j not in seen)
    loose += sum(
        shapes[i].area
        for strip, j in zip(strips, seen, strict=True)
        for i in order
        if _round_the_end(meets[i][j], strip)
    )
    return Folded(panels=panels, strips=tuple(strips), loose=loose)


def _meeting(shape: Polygon, band: Polygon) -> list[Floats]:
    """The outlines of what a panel has in common with a bend that is widened by a hair."""
    if shape.distance(band) > TOUCH:
        return []
    meet = shape & band.buffer(2.0 * TOUCH, join_style="mitre")
    return [np.array(g.exterior.coords) for g in polygons(meet, least=0.0)]


def _round_the_end(meets: list[Floats], strip: Strip) -> bool:
    """Whether one panel lies on both sides of a bend: the bend does not run right across."""
    if not meets:
        return False
    u = np.concatenate([strip.across(ring) for ring in meets])
    return float(u.min()) < 4.0 * TOUCH and float(u.max()) > strip.width - 4.0 * TOUCH


def _side(meets: list[Floats], fold: Fold) -> bool:
    """Whether a panel meets the strip along its length, not only at its end."""
    along = np.array(fold.end) - fold.start
    reach = 10.0 * TOUCH * np.hypot(*along)
    return any(float(np.ptp(ring @ along)) > reach for ring in meets)


def _out(shape: Polygon, fold: Fold) -> Flat:
    """Across the bend, away from the panel: from the side the panel's nearest part lies on."""
    a, d = np.array(fold.start), np.array(fold.end) - fold.start
    n = np.array([-d[1], d[0]]) / np.hypot(*d)
    middle = a + d / 2.0
    near = np.array(shape.exterior.coords)
    side = float(np.array((near - middle) @ n)[int(np.argmin(_reach(near, fold)))])
    return (float(-n[0]), float(-n[1])) if side > 0.0 else (float(n[0]), float(n[1]))


def _reach(p: Floats, fold: Fold) -> Floats:
    """Distance of points from the bend's centre line, a segment."""
    a, d = np.array(fold.start), np.array(fold.end) - fold.start
    t = np.clip((p - a) @ d / (d @ d), 0.0, 1.0)
    return np.asarray(np.hypot(*((p - a) - t[:, None] * d).T))


def flat_volume(part: Part) -> float:
    """Volume of the plate before it is folded [mm³], exact with its arcs."""
    return (area(part.outline) + sum(area(h) for h in part.holes)) * part.thickness


def folded_volume(part: Part) -> float:
    """Volume of the folded part [mm³].

    A strip of flat area A becomes A t (r + t/2)/(r + K t): the neutral line keeps its length,
    the mid-thickness does not.
    """
    t = part.thickness
    gain = (
        s.shape.area * ((s.fold.radius + t / 2.0) * abs(s.fold.angle) / s.width - 1.0)
        for s in folded(part).strips
    )
    return flat_volume(part) + sum(gain) * t
