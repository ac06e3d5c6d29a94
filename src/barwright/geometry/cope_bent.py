"""Where a tube leaves a bent tube: the cope against straights and arcs together.

The receiver's end straights count as endless (or as long as they are, where that is asked), its
inner straights and its arcs as long as they are; they meet square across, so the last line out
of any piece is the last line out of all. A line of the wall may meet the receiver again far
along the bar (a brace inside a hoop meets both legs), or behind its end: only crossings that
begin nearer than `near` and end no farther back than `behind` belong to this end.

Over the wall the leaving position from a straight is sought at the radii where formula (2) of
`geometry.cope` puts the greatest; where the straight ends before that, at many radii. From arcs
it is sought at five radii, and by Newton's method from the best of the five on F = 0,
grad F . spoke = 0 in (s, rho).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.cope import PARALLEL, STATIONS, Tip, cylinder_cope, telling
from barwright.geometry.foot import between_runs
from barwright.geometry.path import Arc, Centreline, Straight, arc_end, arc_radius
from barwright.geometry.points import ahead, crossed, dot
from barwright.geometry.points import run as span
from barwright.geometry.torus import Torus, crossings, gradient
from barwright.geometry.vectors import ORIGIN, Bools, Floats, Point, cross, point, unit

_RADII, _MANY = 5, 21
_SLACK = 1e-7
"""How far past a piece's end [mm] a crossing still counts, so that none falls between two."""
_MARGIN = 1.0
"""Arcs are left out where they end so much [mm] before the best so far: between the radii tried
they may reach a little farther than there."""
_LEVEL = 1e-9
"""Below this rise a line is taken as square to a straight."""
_HAIR = 1e-9
"""So near, as a share, to either side of a radius that tells."""
_FAR = 1e7
"""As good as endless [mm]."""


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

    @cached_property
    def around(self) -> Floats:
        """Cosines and sines of the angles, (2, n)."""
        return np.array((np.cos(self.phi), np.sin(self.phi)))

    @cached_property
    def spokes(self) -> Floats:
        """Unit vectors out from the axis, (n, 3)."""
        return np.asarray(self.around.T @ np.array((self.tip.zero, self.tip.side)))

    def points(self) -> Floats:
        """Where the lines pass the tip's origin, shape (n, m, 3)."""
        return np.asarray(self.rho[..., None] * self.spokes[:, None, :] + self.tip.origin)


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
    runs, arcs = _pieces(receiver, endless)
    if endless and len(runs) == 1 and not arcs:
        return cylinder_cope(tip, runs[0].through, runs[0].way, radius, phi)
    even = np.broadcast_to(np.linspace(tip.inner, tip.outer, _RADII), (len(phi), _RADII))
    wall = _Wall(tip=tip, phi=phi, rho=even, near=near, behind=behind)
    best = np.full(phi.shape, -np.inf)
    for run in runs:
        if not _out_of_reach(wall, run, radius):
            best = np.maximum(best, _run_exits(wall, run, radius))
    for arc in arcs:
        best = np.maximum(best, _arc_cope(wall, arc, radius, best))
    return best


@lru_cache(maxsize=256)
def _pieces(receiver: Centreline, endless: bool) -> tuple[tuple[_Run, ...], tuple[Arc, ...]]:
    """Straights (the outer ones endless where asked) and arcs; every end near asks again."""
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
    return tuple(runs), tuple(arcs)


def _tails(arc: Arc, *, first: bool, last: bool) -> Iterator[_Run]:
    """Endless straights where the receiver begins or ends with a bend."""
    for wanted, at, sign in ((first, arc.start, -1.0), (last, arc_end(arc), 1.0)):
        if wanted:
            way = unit(cross(arc.axis, np.subtract(at, arc.centre)))
            yield _Run(through=at, way=point(sign * way), low=0.0, high=np.inf)


def _out_of_reach(wall: _Wall, run: _Run, radius: float) -> bool:
    """Whether no line of the wall can meet a straight where it counts.

    The end's wall lies in the capsule round its axis, from `behind` to `near`.
    """
    reach = radius + wall.tip.outer
    low, high = max(run.low, -_FAR), min(run.high, _FAR)
    back, ahead = -min(wall.behind, _FAR) - reach, min(wall.near, _FAR) + reach
    one = (wall.tip.origin, wall.tip.along, back, ahead)
    return between_runs(one, (run.through, run.way, low, high)) > reach + _SLACK


def _run_exits(wall: _Wall, run: _Run, radius: float) -> Floats:
    """Where the wall (n,) leaves a straight; -inf where it does not.

    Where the greatest at the radii that tell is cut off by nothing it is the greatest of all;
    elsewhere the straight ends, and many radii are tried, with those at which lines pass its ends.
    """
    tip, rise = wall.tip, dot(wall.tip.along, run.way)
    flat = ahead(tip.along, run.way, -rise)
    square = dot(flat, flat)
    if square <= PARALLEL * PARALLEL:
        return np.full(wall.phi.shape, -np.inf)
    sine = math.sqrt(square)
    base = np.array((run.way, ahead(ORIGIN, flat, 1.0 / square), crossed(run.way, flat)))
    base[2] /= sine
    gap, *ways = (base @ np.array((span(run.through, tip.origin), tip.zero, tip.side)).T).T
    turns = np.array(ways).T @ wall.around

    def exits(rho: Floats, turned: Floats) -> tuple[Floats, Floats]:
        lines = [o + rho * t for o, t in zip(gap, turned, strict=True)]
        return _leaves(wall, run, (radius, square, rise), lines)

    told = telling(turns[1] * sine, turns[2], float(gap[2]), radius, tip)
    plain, out = exits(told, turns)
    best = out.max(axis=0)
    more = np.flatnonzero(plain.max(axis=0) > best)
    if len(more):
        ends = _end_radii(run, (radius, square), rise, gap, turns[:, more])
        even = np.linspace(tip.inner, tip.outer, _MANY)[:, None] + np.zeros(len(more))
        rho = np.concatenate([even, ends.clip(tip.inner, tip.outer)])
        best[more] = np.maximum(best[more], exits(rho, turns[:, more])[1].max(axis=0))
    return np.asarray(best)


def _end_radii(
    run: _Run, size: tuple[float, float], rise: float, gap: Floats, turns: Floats
) -> Floats:
    """Radii (m, n) on either side of those at which lines begin or cease to meet an end [mm].

    A line square to the straight passes an end's plane where it is as far along; another passes
    through the end's rim, at the roots of a quadratic.

    Args:
        run: the straight.
        size: its radius, and the squared sine between it and the lines.
        rise: how far along it a line goes in a millimetre.
        gap: as in `_run_exits`, shape (3,).
        turns: the same, shape (3, n).
    """
    (radius, square), (t0, t1, t2), found = size, turns, list[Floats]()
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for end in (end - gap[0] for end in (run.low, run.high) if math.isfinite(end)):
            found.append(end / t0)
            if abs(rise) > _LEVEL:
                a, b = end / rise + gap[1], t1 - t0 / rise
                lead, half = square * b * b + t2 * t2, square * a * b + gap[2] * t2
                root = np.sqrt(half * half - lead * (square * a * a + gap[2] ** 2 - radius**2))
                found += [(-half - root) / lead, (-half + root) / lead]
    at = np.nan_to_num(np.array(found)).reshape(-1, turns.shape[1]).clip(-_FAR, _FAR)
    return np.concatenate([at * (1.0 - _HAIR), at * (1.0 + _HAIR)])


def _leaves(
    wall: _Wall,
    run: _Run,
    size: tuple[float, float, float],
    lines: Sequence[Floats],
) -> tuple[Floats, Floats]:
    """Where lines (m, n) leave a straight were it endless, and where they leave it; or -inf.

    Args:
        wall: what counts.
        run: the straight.
        size: its radius, the squared sine between it and the lines, and how far along it a line
            goes in a millimetre.
        lines: how far along it each line is at s = 0, how far before that the line is nearest to
            the axis, and how near that is.
    """
    (radius, square, rise), (height, off, across) = size, lines
    inside = radius**2 - across**2
    half = np.sqrt(np.maximum(inside, 0.0) / square)
    low, high = _slab(run, height, rise)
    entry, out = np.maximum(-off - half, low), np.minimum(half - off, high)
    meets = inside >= 0.0
    met = meets & (entry <= out) & (entry <= wall.near) & (out >= -wall.behind)
    return np.where(meets, half - off, -np.inf), np.where(met, out, -np.inf)


def _slab(run: _Run, height: Floats, rise: float) -> tuple[Floats, Floats]:
    """Where lines at heights (m, n) along the run at s = 0 enter and leave its length."""
    if abs(rise) < 1e-12:
        within = (height >= run.low - _SLACK) & (height <= run.high + _SLACK)
        return np.where(within, -np.inf, np.inf), np.where(within, np.inf, -np.inf)
    ends = [(stop - height) / rise for stop in (run.low - _SLACK, run.high + _SLACK)]
    return np.minimum(*ends), np.maximum(*ends)


def _arc_cope(wall: _Wall, arc: Arc, radius: float, best: Floats) -> Floats:
    """Where the whole wall (n,) leaves an arc, if farther on than the best so far; else -inf."""
    found = np.full(wall.phi.shape, -np.inf)
    if _far(wall, arc, radius):
        return found
    torus = Torus(centre=arc.centre, axis=arc.axis, ring=arc_radius(arc), radius=radius)
    which = np.flatnonzero(np.max(_latest(wall, arc, torus), axis=1) > best - _MARGIN)
    if not len(which):
        return found
    wall = replace(wall, phi=wall.phi[which], rho=wall.rho[which])
    points, n = wall.points(), len(which)
    roots = crossings(torus, points.reshape(-1, 3), wall.tip.along).reshape(*wall.rho.shape, 4)
    entry, out = roots[..., 0::2], roots[..., 1::2]
    at = points[:, :, None, :] + out[..., None] * np.array(wall.tip.along)
    with np.errstate(invalid="ignore"):
        met = (entry <= wall.near) & (out >= -wall.behind) & _within(arc, at)
    exits = np.where(met, out, -np.inf).reshape(n, -1)
    pick = np.argmax(exits, axis=1)
    tried: Floats = exits[np.arange(n), pick]
    found[which] = np.maximum(tried, _peak(wall, arc, torus, pick // out.shape[2], tried))
    return found


def _latest(wall: _Wall, arc: Arc, torus: Torus) -> Floats:
    """Past which position (n, m) [mm] no line can be in an arc; -inf for those it cannot meet.

    An arc of half a turn or less lies between its end planes, between two planes square to its
    axis, and in a cylinder round that.
    """
    d, n = np.array(wall.tip.along), np.array(arc.axis)
    first, last = np.subtract(arc.start, arc.centre), np.subtract(arc_end(arc), arc.centre)
    gap = np.subtract(wall.tip.origin, arc.centre)
    low, high = np.full(wall.rho.shape, -wall.behind), np.full(wall.rho.shape, np.inf)
    ends = [] if arc.angle > math.pi else [(cross(n, first), 0.0), (cross(last, n), 0.0)]
    for normal, least in (*ends, (n, -torus.radius), (-n, -torus.radius)):
        here = float(gap @ normal) + wall.rho * (wall.spokes @ normal)[:, None]
        rise = float(d @ normal)
        rise = math.copysign(max(abs(rise), 1e-9), rise)
        bound = (least - here) / rise
        low, high = (np.maximum(low, bound), high) if rise > 0.0 else (low, np.minimum(high, bound))
    flat = d - float(d @ n) * n
    square = max(float(flat @ flat), 1e-18)
    spokes = wall.spokes @ np.array((flat, cross(n, flat))).T / math.sqrt(square)
    nearest = -(float(gap @ flat) / math.sqrt(square) + wall.rho * spokes[:, :1])
    off = float(gap @ cross(n, flat)) / math.sqrt(square) + wall.rho * spokes[:, 1:]
    inside = (torus.ring + torus.radius) ** 2 - off**2
    half = np.sqrt(np.maximum(inside, 0.0))
    low = np.maximum(low, (nearest - half) / math.sqrt(square))
    high = np.minimum(high, (nearest + half) / math.sqrt(square))
    return np.where((inside >= 0.0) & (low <= high + _MARGIN), high, -np.inf)


def _far(wall: _Wall, arc: Arc, radius: float) -> bool:
    """Whether an arc of half a turn or less is too far from the end for its wall to touch.

    It lies in the ball over its chord, and the end's wall in the capsule round its axis.
    """
    if arc.angle > np.pi:
        return False
    end, along = arc_end(arc), wall.tip.along
    half = math.dist(arc.start, end) / 2.0
    gap = [(a + b) / 2.0 - c for a, b, c in zip(arc.start, end, wall.tip.origin, strict=True)]
    reach = radius + wall.tip.outer + half
    foot = sum(g * w for g, w in zip(gap, along, strict=True))
    foot = min(max(foot, -wall.behind - reach), wall.near + reach)
    return math.dist(gap, [foot * w for w in along]) > reach


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
