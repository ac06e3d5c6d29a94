"""The solids that parts are made of, for distances and interference.

A body is a bag of convex or bent solids that belong to one part. Nothing here is hollow: a tube
counts as a rod, because nothing passes through a tube's bore while a leaf swings.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from barwright.geometry.path import Arc
from barwright.geometry.vectors import Point


@dataclass(frozen=True, kw_only=True)
class Rod:
    """A round bar between two points, cut square at both ends (flat discs)."""

    start: Point
    end: Point
    radius: float


@dataclass(frozen=True, kw_only=True)
class Elbow:
    """A round bar along an arc, cut square at both ends."""

    arc: Arc
    radius: float


@dataclass(frozen=True, kw_only=True)
class Block:
    """The convex hull of some points: a piece of plate, a plate's bend strip, a bolt head."""

    corners: tuple[Point, ...]


Solid: TypeAlias = Rod | Elbow | Block


@dataclass(frozen=True, kw_only=True)
class Body:
    """One part as solids.

    Attributes:
        name: the part's name, e.g. "upper" or "side.hinge.cheek-front".
        solids: what it is made of, in the same frame for every body [mm].
    """

    name: str
    solids: tuple[Solid, ...]
