"""Where on each bar do many points lie nearest? The feet of all bars' ends on all bars at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.path import Arc, Piece, Straight, arc_radius, piece_length
from barwright.geometry.vectors import Floats, cross
from barwright.strength.mesh import Station
from barwright.tubes.bars import Bars, BuiltBar


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
    found = [_on(bar, points) for bar in bars.bars]
    return Feet(
        bars=tuple(b.name for b in bars.bars),
        along=np.array([along for along, _ in found]),
        off=np.array([off for _, off in found]),
    )


def _on(bar: BuiltBar, points: Floats) -> tuple[Floats, Floats]:
    begun, rows = 0.0, []
    for piece in bar.centreline.pieces:
        along, off = _piece(piece, points)
        rows.append((begun + along, off))
        begun += piece_length(piece)
    along, off = (np.array([row[i] for row in rows]) for i in (0, 1))
    best = off.argmin(axis=0)[None]
    return (
        np.take_along_axis(along, best, axis=0)[0],
        np.take_along_axis(off, best, axis=0)[0],
    )


def _piece(piece: Piece, points: Floats) -> tuple[Floats, Floats]:
    """How far along one piece the nearest places are, and how far off the points."""
    if isinstance(piece, Straight):
        a, run = np.array(piece.start), np.subtract(piece.end, piece.start)
        share = np.clip((points - a) @ run / float(run @ run), 0.0, 1.0)
        off = points - a - share[:, None] * run
        return share * piece_length(piece), np.sqrt((off * off).sum(axis=1))
    return _arc(piece, points)


def _arc(arc: Arc, points: Floats) -> tuple[Floats, Floats]:
    ring, gap = arc_radius(arc), points - np.array(arc.centre)
    out = np.subtract(arc.start, arc.centre) / ring
    x, y, z = gap @ out, gap @ cross(arc.axis, out), gap @ np.array(arc.axis)
    turn = np.arctan2(y, x) % (2.0 * math.pi)
    nearer_end = turn - arc.angle < 2.0 * math.pi - turn
    turn = np.where(turn > arc.angle, np.where(nearer_end, arc.angle, 0.0), turn)
    off = np.hypot(np.hypot(x - ring * np.cos(turn), y - ring * np.sin(turn)), z)
    return ring * turn, off
