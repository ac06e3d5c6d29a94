"""A plate part: one outline with holes and folds, flat, folded and placed on the vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from barwright.findings import Finding
from barwright.geometry.pose import UNMOVED, Pose
from barwright.geometry.solids import Body

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
        k: K-factor, the neutral line's depth from the inside in thicknesses; None takes
            DIN 6935's by radius and thickness.
    """

    start: Flat
    end: Flat
    angle: float
    radius: float
    k: float | None = None


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
        gauge: break-off tabs beside the outline, cut with it and broken off after bending:
            `plates.gauge.as_cut` joins them on.
        grain: direction of rolling in the flat pattern [rad]; None where it does not matter.
        placed: local flat frame (x, y in the plate, z out of its seen side; z = 0 is the seen
            face's opposite, z = thickness the seen face) of the fixed panel -> vehicle. The fixed
            panel is the one that holds the local origin, or lies nearest to it.
        rides: the leaf it swings with; empty when it stands still.
        twin_of: the part this one mirrors; empty for one made from the job itself.
        note: what is said beside its drawings on paper; empty for nothing.
        generated: of a trimmed part, its outline before; of a trimmed twin, that of the part it
            mirrors. What its corners are numbered by: see `plates.corners.corners_of`.
        called: (number, where, outward) of the corners as another part has them, which this one is
            a stand-in for; None where its corners are its own.
    """

    name: str
    thickness: float
    material: str
    outline: Loop
    holes: tuple[Loop, ...] = ()
    folds: tuple[Fold, ...] = ()
    etch: tuple[Etch, ...] = ()
    gauge: tuple[Loop, ...] = ()
    grain: float | None = None
    placed: Pose = UNMOVED
    rides: str = ""
    twin_of: str = ""
    note: str = ""
    generated: Loop | None = None
    called: tuple[tuple[int, Flat, Flat], ...] | None = None


@dataclass(frozen=True, kw_only=True)
class Hardware:
    """A bought or turned part that goes with the plates: bushing, spacer, bolt.

    Attributes:
        name: unique in the job: "side.hinge.bushing".
        what: what to order or turn, in words with its dimensions in millimetres.
        dims: (name, millimetres) of each dimension, for lists and fits: ("od", 28.6).
        body: its solids where it stands, closed [mm].
        rides: the leaf it swings with; empty when it stands still.
        twin_of: the part this one mirrors; empty for one made from the job itself.
    """

    name: str
    what: str
    dims: tuple[tuple[str, float], ...]
    body: Body
    rides: str = ""
    twin_of: str = ""


@dataclass(frozen=True, kw_only=True)
class Parts:
    """Every plate part of the job with its hardware, and what was found about them.

    Attributes:
        parts: plates, twins included.
        hardware: bushings, spacers, bolts, twins included.
        findings: what was checked.
        intended: (moving, standing) names that are meant to touch: bar and bushing, stop and
            what it stops on.
        rests: (moving, standing) names that lie close on purpose when the leaf is closed: bar
            and hinge mouth, striker's flange and latch carrier.
        joins: (plate, plate or bar) names that are welded to one another and so touch.
    """

    parts: tuple[Part, ...] = ()
    hardware: tuple[Hardware, ...] = ()
    findings: tuple[Finding, ...] = ()
    intended: frozenset[tuple[str, str]] = frozenset()
    rests: frozenset[tuple[str, str]] = frozenset()
    joins: frozenset[tuple[str, str]] = frozenset()
