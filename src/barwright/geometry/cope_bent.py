"""Where a tube leaves a bent tube: the cope against straights and arcs together.

The receiver's end straights count as endless (or as long as they are, where that is asked), its
inner straights and its arcs as long as they are; they meet square across, so the last line out
of any piece is the last line out of all. A line of the wall may meet the receiver again far
along the bar (a brace inside a hoop meets both legs), or behind its end: only crossings that
begin nearer than `near` and end no farther back than `behind` belong to this end.

Over the wall the leaving position is sought at five radii; for straights at the radius where
formula (2) of `geometry.cope` puts the greatest too, and for arcs by Newton's method from the
best of the five on F = 0, grad F . spoke = 0 in (s, rho).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.cope import PARALLEL, STATIONS, Tip, cylinder_cope, telling_radii
from barwright.geometry.path import Arc, Centreline, Straight, arc_end, arc_radius
from barwright.geometry.torus import Torus, crossings, gradient
from barwright.geometry.vectors import Bools, Floats, Point, cross, point, unit

_RADII = 5
_SLACK = 1e-7
"""How far past a piece's end [mm] a crossing still counts, so that none falls between two."""


@dataclass(frozen=True, kw_only=True)
class _Run:
    """A straight of the receiver: from `low` to `high` [mm] along `way` from `through`."""

    through: Point
    way: Point
    low: float
    high: float


@dataclass(frozen=True, kw_only=True, eq=False)
class _Wall:
    """The lines of the wall that are tried.

    Attributes:
        tip: the tube's end.
        phi: angles [rad], (n,).
        rho: radii [mm] tried at each, (n, m).
        near: crossings that begin farther along than this [mm] do not count.
        behind: nor do those that end farther back than this [mm].
    """

    tip: Tip
    phi: Floats
    rho: Floats
    near: float
    behind: float

    def points(self) -> Floats:
        """Where the lines pass the tip's origin, shape (n, m, 3)."""
        spokes = self.tip.spokes(self.phi)
        return np.asarray(self.rho[..., None] * spokes[:, None, :] + self.tip.origin)


def run_cope(
    tip: Tip,
    receiver: Centreline,
    radius: float,
    *,
    near: float = np.inf,
    behind: float = np.inf,
    endless: bool = True,
    angles: ArrayLike = STATIONS,
) -> Floats:
    """Where the whole wall is clear of a tube along a centreline.

    Args:
        tip: the end that is coped.
        receiver: the receiving tube's centreline.
        radius: of the receiving tube [mm].
        near: crossings that begin farther along than this [mm] belong to another place.
        behind: nor do crossings count that end farther back than this [mm].
        endless: whether the receiver runs straight on past both its ends.
        angles: round the tube [rad], shape (n,).

    Returns:
        Positions [mm] along the tube from its origin, shape (n,); -inf where no line of the
        wall meets the receiver.

    A bent receiver is found by lines at a few radii of the wall, so its radius must be at least
    the wall's thickness; every tube that can carry a bend is far thicker than that.

    Raises:
        ValueError: an endless straight receiver is parallel to the tube.
    """
    phi = np.asarray(angles, dtype=float)
    runs, arcs = _pieces(receiver, endless=endless)
    if endless and len(runs) == 1 and not arcs:
        return cylinder_cope(tip, runs[0].through, runs[0].way, radius, phi)
    wall = _Wall(tip=tip, phi=phi, rho=_radii(tip, runs, radius, phi), near=near, behind=behind)
    best = np.full(phi.shape, -np.inf)
    for run in runs:
        best = np.maximum(best, np.max(_run_exits(wall, run, radius), axis=1))
    even = replace(wall, rho=wall.rho[:, :_RADII])
    for arc in arcs:
        best = np.maximum(best, _arc_cope(even, arc, radius))
    return best


def _pieces(receiver: Centreline, *, endless: bool) -> tuple[list[_Run], list[Arc]]:
    """Straights (the outer ones endless where asked) and arcs."""
    last = len(receiver.pieces) - 1
    runs, arcs = list[_Run](), list[Arc]()
    for i, piece in enumerate(receiver.pieces):
        if isinstance(piece, Straight):
            way = np.subtract(piece.end, piece.start)
            high = np.inf if endless and i == last else float(np.linalg.norm(way))
            low = -np.inf if endless and i == 0 else 0.0
            runs.append(_Run(through=piece.start, way=point(unit(way)), low=low, high=high))
        else:
            arcs.append(piece)
            runs += _tails(piece, first=endless and i == 0, last=endless and i == last)
    return runs, arcs


def _tails(arc: Arc, *, first: bool, last: bool) -> Iterator[_Run]:
    """Endless straights where the receiver begins or ends with a bend."""
    for wanted, at, sign in ((first, arc.start, -1.0), (last, arc_end(arc), 1.0)):
        if wanted:
            way = unit(cross(arc.axis, np.subtract(at, arc.centre)))
            yield _Run(through=at, way=point(sign * way), low=0.0, high=np.inf)


def _radii(tip: Tip, runs: list[_Run], radius: float, phi: Floats) -> Floats:
    """Radii (n, m) of the wall at which each angle is tried."""
    even = np.broadcast_to(np.linspace(tip.inner, tip.outer, _RADII), (len(phi), _RADII))
    more = [
        telling_radii(tip, run.through, run.way, radius, phi)
        for run in runs
        if np.linalg.norm(cross(run.way, tip.along)) > PARALLEL
    ]
    return np.hstack([even, *more])


def _run_exits(wall: _Wall, run: _Run, radius: float) -> Floats:
    """Where each line (n, m) leaves a straight; -inf where it does not."""
    way, d = np.array(run.way), np.array(wall.tip.along)
    rise = float(d @ way)
    flat = d - rise * way
    square = float(flat @ flat)
    if square <= PARALLEL * PARALLEL:
        return np.full(wall.rho.shape, -np.inf)
    gap = wall.points() - run.through
    height = gap @ way
    off = gap - height[..., None] * way
    middle = -(off @ flat) / square
    inside = radius**2 - np.sum((off + middle[..., None] * flat) ** 2, axis=-1)
    half = np.sqrt(np.maximum(inside, 0.0) / square)
    low, high = _slab(run, height, rise)
    entry, out = np.maximum(middle - half, low), np.minimum(middle + half, high)
    met = (inside >= 0.0) & (entry <= out) & (entry <= wall.near) & (out >= -wall.behind)
    return np.where(met, out, -np.inf)


def _slab(run: _Run, height: Floats, rise: float) -> tuple[Floats, Floats]:
    """Where lines at heights (n, m) along the run at s = 0 enter and leave its length."""
    if abs(rise) < 1e-12:
        within = (height >= run.low - _SLACK) & (height <= run.high + _SLACK)
        return np.where(within, -np.inf, np.inf), np.where(within, np.inf, -np.inf)
    ends = [(stop - height) / rise for stop in (run.low - _SLACK, run.high + _SLACK)]
    return np.minimum(*ends), np.maximum(*ends)


def _arc_cope(wall: _Wall, arc: Arc, radius: float) -> Floats:
    """Where the whole wall (n,) leaves an arc; -inf where it does not meet it."""
    if _far(wall, arc, radius):
        return np.full(wall.phi.shape, -np.inf)
    torus = Torus(centre=arc.centre, axis=arc.axis, ring=arc_radius(arc), radius=radius)
    points, n = wall.points(), len(wall.phi)
    roots = crossings(torus, points.reshape(-1, 3), wall.tip.along).reshape(*wall.rho.shape, 4)
    entry, out = roots[..., 0::2], roots[..., 1::2]
    at = points[:, :, None, :] + out[..., None] * np.array(wall.tip.along)
    with np.errstate(invalid="ignore"):
        met = (entry <= wall.near) & (out >= -wall.behind) & _within(arc, at)
    exits = np.where(met, out, -np.inf).reshape(n, -1)
    pick = np.argmax(exits, axis=1)
    best: Floats = exits[np.arange(n), pick]
    more = _peak(wall, arc, torus, pick // out.shape[2], best)
    return np.asarray(np.maximum(best, more))


def _far(wall: _Wall, arc: Arc, radius: float) -> bool:
    """Whether an arc of half a turn or less is too far from the end for its wall to touch.

    It lies in the ball over its chord, and the end's wall in the capsule round its axis.
    """
    if arc.angle > np.pi:
        return False
    end = np.array(arc_end(arc))
    middle, half = (arc.start + end) / 2.0, float(np.linalg.norm(end - arc.start)) / 2.0
    gap = middle - wall.tip.origin
    reach = radius + wall.tip.outer + half
    foot = float(gap @ np.array(wall.tip.along))
    foot = min(max(foot, -wall.behind - reach), wall.near + reach)
    return float(np.linalg.norm(gap - foot * np.array(wall.tip.along))) > reach


def _within(arc: Arc, at: Floats) -> Bools:
    """Whether points (..., 3) lie between the arc's end planes."""
    ring = arc_radius(arc)
    out = np.subtract(arc.start, arc.centre) / ring
    forth = cross(arc.axis, out)
    gap = at - np.array(arc.centre)
    turn = np.arctan2(gap @ forth, gap @ out)
    slack = _SLACK / ring
    turn = np.where(turn < -slack, turn + 2.0 * np.pi, turn)
    within: Bools = turn <= arc.angle + slack
    return within


def _peak(wall: _Wall, arc: Arc, torus: Torus, pick: Floats, best: Floats) -> Floats:
    """The greatest leaving position (n,) over the wall near the best radius tried, or -inf."""
    tip = wall.tip
    e, d = tip.spokes(wall.phi), np.array(tip.along)
    base = np.subtract(tip.origin, arc.centre)
    r, s = wall.rho[np.arange(len(pick)), pick], np.where(np.isfinite(best), best, 0.0)
    step = (tip.outer - tip.inner) / (_RADII - 1)
    for _ in range(6):
        dr, ds = _newton(*gradient(torus, base + r[:, None] * e + s[:, None] * d), e, d)
        r, s = r - np.clip(dr, -step, step), s - np.clip(ds, -torus.radius, torus.radius)
    at = base + r[:, None] * e + s[:, None] * d
    value, slope, _ = gradient(torus, at)
    steady = (np.abs(value) < 1e-9 * torus.radius**2) & (slope @ d > 0.0)
    inside = (r >= tip.inner) & (r <= tip.outer) & _within(arc, at + arc.centre)
    close = np.isfinite(best) & (np.abs(s - best) < torus.radius)
    return np.where(steady & inside & close, s, -np.inf)


def _newton(
    value: Floats, slope: Floats, bend: Floats, e: Floats, d: Floats
) -> tuple[Floats, Floats]:
    """The Newton step in (rho, s) for F = 0, grad F . e = 0."""
    fr, fs = np.sum(slope * e, axis=-1), slope @ d
    across = np.einsum("nij,nj->ni", bend, e)
    frr, frs = np.sum(across * e, axis=-1), across @ d
    det = fr * frs - fs * frr
    det = np.where(np.abs(det) < 1e-300, np.inf, det)
    return (value * frs - fs * fr) / det, (fr * fr - frr * value) / det
