"""Where on each bar do many points lie nearest? The feet of all bars' ends on all bars at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.path import Arc, Straight, arc_radius, piece_length
from barwright.geometry.vectors import Floats, cross_of
from barwright.strength.mesh import Station
from barwright.tubes.bars import Bars


@dataclass(frozen=True, kw_only=True, eq=False)
class Feet:
    """Points against bars.

    Attributes:
        bars: their names.
        along: shape (b, p), from each bar's start to the foot of each point [mm].
        off: shape (b, p), how far the points are from there [mm].
    """

    bars: tuple[str, ...]
    along: Floats
    off: Floats

    def station(self, bar: int, at: int) -> Station:
        """The foot of a point on a bar."""
        return (self.bars[bar], float(self.along[bar, at]))


def feet(bars: Bars, points: Floats) -> Feet:
    """The feet of points (p, 3) [mm] on every bar."""
    rows = [bar.centreline.pieces for bar in bars.bars]
    pieces = [piece for row in rows for piece in row]
    ends = np.cumsum([len(row) for row in rows])[:-1]
    begun = [np.cumsum([0.0, *map(piece_length, row[:-1])]) for row in rows]
    along, off = np.empty((2, len(pieces), len(points)))
    straights = {i: piece for i, piece in enumerate(pieces) if isinstance(piece, Straight)}
    arcs = {i: piece for i, piece in enumerate(pieces) if isinstance(piece, Arc)}
    if straights:
        along[[*straights]], off[[*straights]] = _on_straights([*straights.values()], points)
    if arcs:
        along[[*arcs]], off[[*arcs]] = _on_arcs([*arcs.values()], points)
    along += np.concatenate(begun)[:, None]
    found = [
        _nearest(*each) for each in zip(np.split(along, ends), np.split(off, ends), strict=True)
    ]
    return Feet(
        bars=tuple(b.name for b in bars.bars),
        along=np.array([along for along, _ in found]),
        off=np.array([off for _, off in found]),
    )


def _nearest(along: Floats, off: Floats) -> tuple[Floats, Floats]:
    """Of pieces (k, p) those where the points are least far off, (p,) each."""
    if len(off) == 1:
        return along[0], off[0]
    best = off.argmin(axis=0), np.arange(off.shape[1])
    return along[best], off[best]


def _on_straights(pieces: list[Straight], points: Floats) -> tuple[Floats, Floats]:
    """How far along each piece the nearest places are, and how far off the points, (k, p)."""
    start = np.array([piece.start for piece in pieces])
    run = np.array([piece.end for piece in pieces]) - start
    length = np.sqrt((run * run).sum(axis=1))[:, None]
    gap = points - start[:, None]
    share = np.clip(np.einsum("kpi,ki->kp", gap, run) / (length * length), 0.0, 1.0)
    off = gap - share[..., None] * run[:, None]
    return share * length, np.sqrt((off * off).sum(axis=2))


def _on_arcs(pieces: list[Arc], points: Floats) -> tuple[Floats, Floats]:
    """The same of arcs."""
    ring, angle = np.array([(arc_radius(a), a.angle) for a in pieces]).T[..., None]
    centre, axis = np.array([(a.centre, a.axis) for a in pieces]).swapaxes(0, 1)
    out = (np.array([a.start for a in pieces]) - centre) / ring
    gap = points - centre[:, None]
    x, y, z = (np.einsum("kpi,ki->kp", gap, v) for v in (out, cross_of(axis, out), axis))
    turn = np.arctan2(y, x) % (2.0 * math.pi)
    nearer_end = turn - angle < 2.0 * math.pi - turn
    turn = np.where(turn > angle, np.where(nearer_end, angle, 0.0), turn)
    off = np.hypot(np.hypot(x - ring * np.cos(turn), y - ring * np.sin(turn)), z)
    return ring * turn, off
