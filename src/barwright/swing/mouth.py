"""What a moving body needs in a plate: the area it sweeps in the plate's plane, and room round it.

This is how the mouth of a hinge box, or any slot something swings through, gets its outline.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias, cast

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pose import Pose
from barwright.geometry.silhouettes import EVERYWHERE, Shapes, Window, outlines
from barwright.geometry.slices import Ints, hulls_of
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats, rotation, unit
from barwright.swing.motion import Motion

Area: TypeAlias = shapely.Polygon | shapely.MultiPolygon

QUARTER = 32
"""Chords in a quarter circle where the room round the area turns a corner."""

FAR = 1e6
"""Farther than any part reaches [mm]."""

FINEST = math.radians(0.02)
"""Spans of angle are not halved below this [rad]."""


def mouth(  # noqa: PLR0917 - what, through what, how far: all of it always said
    motion: Motion,
    body: Body,
    plane: Pose,
    z: tuple[float, float],
    angles: tuple[float, float],
    clearance: float,
    *,
    within: float = 0.2,
    window: Window = EVERYWHERE,
) -> Area:
    """The area a body sweeps through a slab, widened by a clearance; never less than that.

    Over a span of angle every point stays within an arc's height of the line between its places
    at the span's two ends. So an edge stays in the tetrahedron of its four end points, and all
    that passes stays in the hull of what these tetrahedra have in the slab, widened by that
    height. Spans are halved until their hulls stand proud by no more than allowed of what the
    body covers at the angles looked at.

    Args:
        motion: how the body moves.
        body: the moving part, as it stands when closed.
        plane: the plate's frame; the result is in its local x and y.
        z: the slab's two faces in that frame, low and high [mm].
        angles: from and to, in the sense of `opens` from closed [rad].
        clearance: room to leave all round in the plane [mm].
        within: how much too large the area may be [mm], apart from where it closes a gap
            narrower than this, and where the body grazes a face of the slab.
        window: least x and y, greatest x and y [mm]: what lies outside it may be left out.

    Returns:
        The area in the plane's x and y [mm]; empty where nothing reaches the slab.

    Raises:
        ValueError: the slab is upside down, or `within` is not positive.
    """
    if z[0] > z[1] or within <= 0.0:
        raise ValueError("a slab has its low face first, and `within` is more than nothing")
    local, share = plane.inverse(), within / 6.0
    through = local.points(motion.through)
    sense = math.copysign(1.0, motion.opens) * (-1.0 if local.mirrors else 1.0)
    along = sense * unit(local.directions(motion.along))
    slab = (z[0] - through[2], z[1] - through[2])
    turning = [
        _Turning(
            corners=local.points(hull.corners) - through,
            lines=hull.lines,
            fat=hull.fat + share,
            along=along,
        )
        for solid in body.solids
        for hull in hulls_of(solid, share)
    ]
    wide = clearance + 2.5 * share
    room = np.clip(window, -FAR, FAR) + (wide + share) * np.array([-1.0, -1.0, 1.0, 1.0])
    swept = _swept(turning, slab, angles, share, room - np.tile(through[:2], 2))
    if swept.is_empty:
        return shapely.MultiPolygon()
    placed = shapely.transform(swept, lambda xy: xy + through[:2])
    return cast("Area", _widened(placed, wide).simplify(share))


def _widened(area: BaseGeometry, by: float) -> Area:
    """Widened by at least `by` [mm]: the chords of round corners are drawn outside the arc."""
    proud = by / math.cos(0.25 * math.pi / QUARTER)
    return cast("Area", shapely.buffer(area, proud, quad_segs=QUARTER))


@dataclass(frozen=True, kw_only=True, eq=False)
class _Turning:
    """A convex piece that turns about an axis through the origin of a plate's frame.

    Attributes:
        corners: of the piece as it stands at angle 0, shape (m, 3) [mm].
        lines: which two corners each edge joins, shape (n, 2).
        fat: how far it may reach from its corners' hull, and from a chord of its arc [mm].
        along: unit direction of the axis.
    """

    corners: Floats
    lines: Ints
    fat: float
    along: Floats

    @cached_property
    def ways(self) -> Ints:
        """What joins its corners in two places: its edges in both, and those of tetrahedra."""
        a, b, m = self.lines[:, 0], self.lines[:, 1], len(self.corners)
        each = np.arange(m)
        pairs = [(a, b), (a + m, b + m), (each, each + m), (a, b + m), (b, a + m)]
        return np.concatenate([np.stack(pair, axis=1) for pair in pairs])

    def turned(self, angles: Floats) -> Floats:
        """Its corners at each of k angles [rad], shape (k, m, 3): Rodrigues' formula."""
        flat = np.outer(self.along, self.along)
        odd = rotation(self.along, 0.5 * math.pi) - flat
        c, s = np.cos(angles)[:, None, None], np.sin(angles)[:, None, None]
        turns = flat + c * (np.eye(3) - flat) + s * odd
        return np.asarray(self.corners @ turns.transpose(0, 2, 1))

    @cached_property
    def off(self) -> Floats:
        """What its corners have square to the axis, shape (m, 3) [mm]."""
        c = self.corners
        return np.asarray(c - (c @ self.along)[:, None] * self.along)

    @cached_property
    def reach(self) -> float:
        """The largest distance of a corner from the axis [mm]."""
        return float(np.linalg.norm(self.off, axis=1).max())

    def spans(self, angles: tuple[float, float], share: float) -> Floats:
        """Spans of angle over which no arc rises more than a share over its chord, (k, 2)."""
        step = math.sqrt(8.0 * share / max(self.reach, share))
        ends = np.linspace(*angles, max(1, math.ceil((angles[1] - angles[0]) / step)) + 1)
        return np.stack([ends[:-1], ends[1:]], axis=1)

    def small(self, proud: float) -> float:
        """A span of angle [rad] over which its hull surely stands no more proud than that [mm].

        The hull of two places of a piece of size D, turned by d between them, stands at most
        D d / 4 proud; what climbs through the slab meanwhile is held to the same.
        """
        size = float(np.linalg.norm(np.ptp(self.off, axis=0)))
        climb = self.reach * math.hypot(self.along[0], self.along[1])
        return max(FINEST, proud / max(0.25 * size, climb, proud))


def _swept(
    turning: list[_Turning],
    slab: tuple[float, float],
    angles: tuple[float, float],
    share: float,
    room: Floats,
) -> BaseGeometry:
    """What some pieces sweep through the slab, in the plane's x and y about the axis' point.

    What is not in the room, least x and y, greatest x and y, is left out.
    """
    todo = [(piece, piece.spans(angles, share)) for piece in turning]
    seen: BaseGeometry = shapely.MultiPolygon()
    kept: list[BaseGeometry] = []
    while todo:
        looked = [_over(piece, spans, slab, room) for piece, spans in todo]
        seen = shapely.union_all([seen, *(s for _, sights, _ in looked for s in sights)])
        around = shapely.buffer(seen, 2.0 * share)
        shapely.prepare(around)
        left = []
        for (piece, _), (spans, _, hulls) in zip(todo, looked, strict=True):
            narrow = spans[:, 1] - spans[:, 0] <= piece.small(2.0 * share)
            fine = narrow | shapely.covers(around, hulls)
            kept += list(hulls[fine])
            left += [] if fine.all() else [(piece, _halved(spans[~fine]))]
        todo = left
    return shapely.union_all(kept)


def _halved(spans: Floats) -> Floats:
    middle = spans.mean(axis=1)
    return np.stack([spans[:, 0], middle, middle, spans[:, 1]], axis=1).reshape(-1, 2)


def _over(
    piece: _Turning, spans: Floats, slab: tuple[float, float], room: Floats
) -> tuple[Floats, Shapes, Shapes]:
    """Spans in which a piece may be in the slab and the room: their outlines at the ends, hulls.

    Of both, what is in the room: so nothing outside it has spans halved.
    """
    faces = slab[0] - piece.fat, slab[1] + piece.fat
    low, high = np.array([*room[:2], faces[0]]), np.array([*room[2:], faces[1]])
    spans, places, at = _reaching(piece, spans, low, high)
    if len(spans) == 0:
        return spans, np.array([], dtype=object), np.array([], dtype=object)
    both = np.concatenate([places[at[:, 0]], places[at[:, 1]]], axis=1)
    hulls, there = outlines(both, piece.ways, *faces)
    hulls = shapely.clip_by_rect(hulls, *room)
    inside = ~shapely.is_empty(hulls)
    there, hulls = there[inside], hulls[inside]
    ends = np.unique(at[there])
    sights, _ = outlines(places[ends], piece.lines, *faces)
    return spans[there], shapely.clip_by_rect(sights, *room), hulls


def _reaching(
    piece: _Turning, spans: Floats, low: Floats, high: Floats
) -> tuple[Floats, Floats, Ints]:
    """The spans in which a piece may be between two corners of a box, by where their ends are.

    Returns:
        The spans, shape (k, 2), the corners at all angles, and which of these each span's ends are.
    """
    angles, at = np.unique(spans, return_inverse=True)
    places, at = piece.turned(angles), at.reshape(-1, 2)
    least, most = places.min(axis=1)[at].min(axis=1), places.max(axis=1)[at].max(axis=1)
    kept = ((least <= high) & (most >= low)).all(axis=1)
    return spans[kept], places, at[kept]
