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

from barwright.geometry.pose import Pose
from barwright.geometry.slices import hulls_of, outline_points
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats, rotation, unit
from barwright.swing.motion import Motion

Area: TypeAlias = shapely.Polygon | shapely.MultiPolygon

QUARTER = 32
"""Chords in a quarter circle where the room round the area turns a corner."""

COARSE = math.radians(2.0)
"""Spans of angle that are looked at before their own step is chosen [rad]."""


def mouth(  # noqa: PLR0917 - what, through what, how far: all of it always said
    motion: Motion,
    body: Body,
    plane: Pose,
    z: tuple[float, float],
    angles: tuple[float, float],
    clearance: float,
    *,
    within: float = 0.2,
) -> Area:
    """The area a body sweeps through a slab, widened by a clearance; never less than that.

    Between two steps every point of the body stays within an arc's height of the line between
    its two places, and can leave the slab by no more than it moves square to it; so the hull of
    the two outlines, taken in a slab widened by that much and then widened by the arc's height,
    holds all that passes in between.

    Args:
        motion: how the body moves.
        body: the moving part, as it stands when closed.
        plane: the plate's frame; the result is in its local x and y.
        z: the slab's two faces in that frame, low and high [mm].
        angles: from and to, in the sense of `opens` from closed [rad].
        clearance: room to leave all round in the plane [mm].
        within: how much too large the area may be [mm], apart from where it closes a gap
            narrower than this.

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
    pieces = [
        _Turning(arms=local.points(hull.edges) - through, fat=hull.fat, along=along)
        for solid in body.solids
        for hull in hulls_of(solid, share)
    ]
    swept = shapely.union_all([_swept(p, slab, angles, share) for p in pieces])
    if swept.is_empty:
        return shapely.MultiPolygon()
    placed = shapely.transform(swept, lambda xy: xy + through[:2])
    return cast("Area", _widened(placed, clearance + 3.0 * share).simplify(share))


def _widened(area: shapely.Geometry, by: float) -> Area:
    """Widened by at least `by` [mm]: the chords of round corners are drawn outside the arc."""
    proud = by / math.cos(0.25 * math.pi / QUARTER)
    return cast("Area", shapely.buffer(area, proud, quad_segs=QUARTER))


@dataclass(frozen=True, kw_only=True, eq=False)
class _Turning:
    """A convex piece that turns about an axis through the origin of a plate's frame.

    Attributes:
        arms: edges of the piece as it stands at angle 0, shape (n, 2, 3) [mm].
        fat: the ball that widens it [mm].
        along: unit direction of the axis.
    """

    arms: Floats
    fat: float
    along: Floats

    @cached_property
    def _matrices(self) -> tuple[Floats, Floats, Floats]:
        """M with rotation(t) = M0 + cos t M1 + sin t M2 (Rodrigues)."""
        flat = np.outer(self.along, self.along)
        return flat, np.eye(3) - flat, rotation(self.along, 0.5 * math.pi) - flat

    @cached_property
    def off(self) -> Floats:
        """What its edges have square to the axis, shape (n, 2, 3) [mm]."""
        return self.arms - (self.arms @ self.along)[..., None] * self.along

    @cached_property
    def reach(self) -> float:
        """The largest distance of any of its points from the axis [mm]."""
        return float(np.linalg.norm(self.off, axis=-1).max()) + self.fat

    def at(self, angles: Floats) -> Floats:
        """Its edges at each of k angles [rad], shape (k, n, 2, 3)."""
        fixed, even, odd = self._matrices
        c, s = np.cos(angles)[:, None, None], np.sin(angles)[:, None, None]
        return np.asarray(np.einsum("kij,nej->knei", fixed + c * even + s * odd, self.arms))


def _swept(
    piece: _Turning, slab: tuple[float, float], angles: tuple[float, float], within: float
) -> shapely.Geometry:
    """What one piece sweeps through the slab, in the plane's x and y about the axis' point."""
    spans = _near(piece, slab, angles)
    return shapely.union_all([_over_span(piece, slab, span, within) for span in spans])


def _near(
    piece: _Turning, slab: tuple[float, float], angles: tuple[float, float]
) -> list[tuple[float, float]]:
    """The spans of angle in which the piece may be in the slab, found by halving."""
    spans, kept = [angles], []
    while spans:
        lo, hi = spans.pop()
        heights = piece.at(np.array([0.5 * (lo + hi)]))[..., 2]
        slack = 0.5 * piece.reach * (hi - lo) + piece.fat
        if heights.min() - slack > slab[1] or heights.max() + slack < slab[0]:
            continue
        if hi - lo <= COARSE:
            kept.append((lo, hi))
        else:
            spans += [(0.5 * (lo + hi), hi), (lo, 0.5 * (lo + hi))]
    return kept


def _over_span(
    piece: _Turning, slab: tuple[float, float], span: tuple[float, float], within: float
) -> shapely.Geometry:
    """The union of the hulls from step to step over a span of angle."""
    step = _step(piece, slab, span, within)
    count = max(1, math.ceil((span[1] - span[0]) / step))
    delta = (span[1] - span[0]) / count
    edges = piece.at(np.linspace(*span, count + 1))
    rise = delta * _climb(piece, edges, slab, span) + piece.fat
    cut = outline_points(edges, slab[0] - rise, slab[1] + rise)[..., :2]
    both = np.concatenate([cut[:-1], cut[1:]], axis=1).reshape(count, -1, 2)
    return shapely.union_all(_hulls(both))


def _climb(
    piece: _Turning, edges: Floats, slab: tuple[float, float], span: tuple[float, float]
) -> float:
    """How fast any point near the slab moves square to it, at most [mm per rad]."""
    slack = 0.5 * piece.reach * (span[1] - span[0])
    cut = outline_points(edges[[0, -1]], slab[0] - slack, slab[1] + slack)
    speed = np.abs(np.cross(piece.along, cut)[..., 2])
    if np.isnan(speed).all():
        return 0.0
    return float(np.nanmax(speed)) + slack * float(np.linalg.norm(piece.along[:2]))


def _step(
    piece: _Turning, slab: tuple[float, float], span: tuple[float, float], within: float
) -> float:
    """The step of angle [rad] that keeps each share of the excess below `within`.

    The hull of two places of a piece of size D, turned by d between them, stands at most D d / 4
    proud of what is swept; an arc of radius r rises r d² / 8 over its chord.
    """
    edges = piece.at(np.array(span))
    size = float(np.linalg.norm(np.ptp(piece.off.reshape(-1, 3), axis=0)))
    climb = _climb(piece, edges, slab, span)
    return min(
        4.0 * within / size,
        math.sqrt(8.0 * within / piece.reach),
        within / max(climb, 1e-9),
    )


def _hulls(points: Floats) -> list[shapely.Geometry]:
    """The convex hull of each row of points (k, n, 2); rows of nan alone leave nothing."""
    gone = np.isnan(points[..., 0])
    left = points[~gone.all(axis=1)]
    if len(left) == 0:
        return []
    gone = np.isnan(left[..., :1])
    first = np.take_along_axis(left, np.argmin(gone, axis=1)[:, :, None], axis=1)
    runs = shapely.linestrings(np.where(gone, first, left))
    return list(np.atleast_1d(np.asarray(shapely.convex_hull(runs))))
