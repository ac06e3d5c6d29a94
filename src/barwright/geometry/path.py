"""The centreline of a tube: straights and arcs that meet in line.

A centreline is made from its corners (where the straights would meet), or from the table a
bender works by: straights, bends, turns.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from barwright.geometry.vectors import Point


@dataclass(frozen=True, kw_only=True)
class Straight:
    """A straight run from start to end [mm]."""

    start: Point
    end: Point


@dataclass(frozen=True, kw_only=True)
class Arc:
    """A circular run: `start` turned about `axis` through `centre` by `angle`.

    Attributes:
        centre: centre of the bend [mm].
        start: first point of the arc [mm]; its distance to the centre is the radius.
        axis: unit normal of the bend's plane; the right hand about it leads from start to end.
        angle: how far it bends [rad], positive.
    """

    centre: Point
    start: Point
    axis: Point
    angle: float


Piece: TypeAlias = Straight | Arc


@dataclass(frozen=True, kw_only=True)
class BendTable:
    """How a bender makes the shape: straight, bend, turn, straight, bend …

    Attributes:
        straights: n + 1 lengths between tangent points [mm].
        bends: n bend angles [rad], positive.
        turns: n - 1 rotations [rad] of the tube between one bend and the next, right hand about
            the direction of travel from the first end to the last.
        clr: centreline radius of every bend [mm].
    """

    straights: tuple[float, ...]
    bends: tuple[float, ...] = ()
    turns: tuple[float, ...] = ()
    clr: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Centreline:
    """A tube's centreline: pieces end to end, tangent to one another."""

    pieces: tuple[Piece, ...]
