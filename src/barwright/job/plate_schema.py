"""The plate tables of job.toml: sheets as bought, the user's own plates, a fitting's parameters.

Lengths are in millimetres and angles in radians once read.
"""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from barwright.job.entry import Entry, Name
from barwright.job.quantities import Angle, Length, PositiveLength, SomeLength, Thickness

FlatLength: TypeAlias = tuple[Length, Length]
"""x and y in a plate's own plane [mm]."""

FileName: TypeAlias = Annotated[
    str, Field(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f]+$")
]
"""A file in the job's folder, named from there on: bought/latch.dxf."""

Between0And1: TypeAlias = Annotated[float, Field(gt=0.0, lt=1.0)]


class Sheet(Entry):
    """[sheet.NAME]: a plate material as bought, and how the shop cuts and folds it.

    Attributes:
        thickness: of the plate [mm].
        material: what it is, as the cutting service and the strength tables call it.
        radius: inside bend radius [mm]; None takes the thickness (common practice, no source).
        k_factor: where the neutral line lies, 0..1 of the thickness; None takes DIN 6935's by
            radius and thickness.
        kerf: width of the cut [mm] that the cutter's path is not yet offset for; 0 where the
            service offsets it, as most do.
        grain: direction of rolling in the flat pattern [rad]; None where it does not matter.
        sizes: length and width of the sheets and offcuts at hand [mm], which parts are laid out on;
            empty takes 600 × 300, 1200 × 600 and 2500 × 1250 mm (common practice, no source).
    """

    thickness: Thickness
    material: str = "a36"
    radius: PositiveLength | None = None
    k_factor: Between0And1 | None = None
    kerf: SomeLength = 0.0
    grain: Angle | None = None
    sizes: tuple[tuple[PositiveLength, PositiveLength], ...] = ()


class Bought(Entry):
    """[bought.NAME]: a part that is bought, by its outline as drawn.

    Drawn as seen looking at its face, lying on what it is fixed to.

    Attributes:
        outline: a DXF file in the job's folder; its circles are the holes.
        unit: of the drawing, where it stands above what the file says.
        thickness: of the part [mm].
        striker: the line a striker comes in by, from the mouth's edge to its seat, in the
            drawing's own x and y [mm].
        holes: centres of those holes that fix it [mm]; None takes every round one.
    """

    outline: FileName
    unit: Literal["in", "mm"] | None = None
    thickness: PositiveLength | None = None
    striker: tuple[FlatLength, FlatLength] | None = None
    holes: tuple[FlatLength, ...] | None = None


class Placing(Entry):
    """Where a plate's plane stands: local x runs from `origin` to `along`, y toward `toward`."""

    origin: Name
    along: Name
    toward: Name


class Hole(Entry):
    """A hole: round, or a slot of this length over all, its long axis turned by `turn`."""

    at: FlatLength
    d: PositiveLength
    slot: PositiveLength | None = None
    turn: Angle = 0.0


class FoldLine(Entry):
    """A fold across the flat pattern: the bend's centre line, and how far (up is positive)."""

    start: FlatLength
    end: FlatLength
    angle: Angle
    radius: PositiveLength | None = None


class Flange(Entry):
    """A flange folded from an edge of the outline.

    Attributes:
        edge: which edge, counted from 0: from corner `edge` to the next.
        length: from the outside of the bend to the flange's own edge [mm].
        angle: how far it is folded [rad], positive up.
        radius: inside bend radius [mm]; None takes the sheet's.
        inset: how far the flange stays back from each end of the edge [mm].
    """

    edge: Annotated[int, Field(ge=0)]
    length: PositiveLength
    angle: Angle
    radius: PositiveLength | None = None
    inset: SomeLength = 0.0


class PlateTable(Entry):
    """[plate.NAME]: a plate the user draws.

    Attributes:
        sheet: a [sheet] by name; or `thickness` and `material` in its place.
        at: the plane, by three marks; not needed when the outline runs through marks.
        outline: corners in that plane [mm].
        marks: the outline as marks, at least three; their best plane is taken.
        template: the outline as a traced template: NAME.json, or a .dxf; placed by `at`.
        line: a line drawn on the template, by name: its ends come to the marks `origin` and
            `along` of `at`. Without it the template's own origin and x axis do.
        points: two points of the template [mm] in the place of such a line.
        turned_over: whether the template lies in the plane with its other face up.
        offset: shift of the plate's near face out of the marks' plane [mm].
        corner: fillet radius at the outline's corners [mm].
        against: bars whose surface the edges follow, `gap` clear of it.
        gap: weld gap [mm] to those bars; None takes the job's.
        holes, flanges, folds: what else is cut and folded.
        rides: the leaf it swings with.
    """

    sheet: Name | None = None
    thickness: PositiveLength | None = None
    material: str = "a36"
    at: Placing | None = None
    outline: tuple[FlatLength, ...] | None = None
    marks: tuple[Name, ...] | None = None
    template: FileName | None = None
    line: str | None = None
    points: tuple[FlatLength, FlatLength] | None = None
    turned_over: bool = False
    offset: Length = 0.0
    corner: SomeLength = 0.0
    against: tuple[Name, ...] = ()
    gap: SomeLength | None = None
    holes: tuple[Hole, ...] = ()
    flanges: tuple[Flange, ...] = ()
    folds: tuple[FoldLine, ...] = ()
    rides: Name | Literal[""] = ""


class FittingTable(Entry):
    """The parameters every fitting takes; a fitting's own module adds its own.

    Attributes:
        sheet: a [sheet] by name; None takes the job's first, or 3 mm (1/8 in) plate.
        thickness, material, radius: say otherwise than the sheet does.
        weld_gap: between an edge and the tube it follows [mm]; None takes the job's.
        slot_clearance: how much wider than the tab a slot is, in all [mm].
        proud: how far a tab stands out of its slot [mm]: the filler when it is welded.
    """

    sheet: Name | None = None
    thickness: PositiveLength | None = None
    material: str | None = None
    radius: PositiveLength | None = None
    weld_gap: SomeLength | None = None
    slot_clearance: SomeLength = 0.2
    proud: SomeLength = 0.8


__all__ = [
    "Bought",
    "FittingTable",
    "Flange",
    "FoldLine",
    "Hole",
    "Placing",
    "PlateTable",
    "Sheet",
]
