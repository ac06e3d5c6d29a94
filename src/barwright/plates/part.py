"""A plate part: one outline with holes and folds, flat, folded and placed on the vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from barwright.geometry.pose import UNMOVED, Pose

Flat: TypeAlias = tuple[float, float]
"""A point in a part's own plane [mm]."""

Vertex: TypeAlias = tuple[float, float, float]
"""x, y [mm] and bulge: tan(quarter of the arc's angle) to the next vertex; 0 for a straight."""


@dataclass(frozen=True, kw_only=True)
class Loop:
    """A closed run of straights and arcs; the last vertex leads back to the first."""

    vertices: tuple[Vertex, ...]


@dataclass(frozen=True, kw_only=True)
class Fold:
    """A bend in a plate.

    Attributes:
        start, end: the bend's centre line in the flat pattern [mm].
        angle: how far it bends out of flat [rad]; positive is up, toward the side the outline is
            seen from (local +z).
        radius: inside radius [mm].
    """

    start: Flat
    end: Flat
    angle: float
    radius: float


@dataclass(frozen=True, kw_only=True)
class Etch:
    """A line or a few letters marked on the plate, not cut through."""

    path: tuple[Flat, ...] = ()
    text: str = ""
    at: Flat = (0.0, 0.0)
    height: float = 5.0


@dataclass(frozen=True, kw_only=True)
class Part:
    """A plate part.

    Attributes:
        name: unique in the job: "side.hinge.cheek-front".
        thickness: of the plate [mm].
        material: key of the materials table.
        outline, holes: of the flat pattern as cut, kerf not yet taken off.
        folds: none for a flat part.
        etch: what is marked on it.
        placed: local flat frame (x, y in the plate, z out of its seen side; z = 0 is the seen
            face's opposite, z = thickness the seen face) of the fixed panel -> vehicle.
        rides: the leaf it swings with; empty when it stands still.
        twin_of: the part this one mirrors; empty for one made from the job itself.
    """

    name: str
    thickness: float
    material: str
    outline: Loop
    holes: tuple[Loop, ...] = ()
    folds: tuple[Fold, ...] = ()
    etch: tuple[Etch, ...] = ()
    placed: Pose = UNMOVED
    rides: str = ""
    twin_of: str = ""
