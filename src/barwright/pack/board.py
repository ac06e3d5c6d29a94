"""The mock-up: every plate part again, of board, to be tried on the vehicle before metal.

Same outside faces, same hole centres, other thickness. Folded parts become flats (see
`board_flats`). Slots are widened to the board; edges that would stand in another flat, or in a
tube, because the board is thicker are cut back by as much.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from shapely import Point, Polygon, box, get_coordinates
from shapely.geometry.base import BaseGeometry

from barwright.findings import Finding, Level
from barwright.geometry.solids import Body
from barwright.pack.board_flats import SHARPEST, Flat, flats_of
from barwright.pack.corner_numbers import numbered
from barwright.pack.twins import as_cut
from barwright.plates.arcs import loops_of
from barwright.plates.blank import etched
from barwright.plates.outline import region
from barwright.plates.part import Etch, Loop, Part, Parts
from barwright.plates.shadow import bounds, shadow
from barwright.plates.solids import exact_body
from barwright.tubes.bodies import body_of as body_of_bar

if TYPE_CHECKING:
    from barwright.route import Build

THICKNESS, MATERIAL = 3.0, "board"
"""What a mock-up is cut from where the job has no [sheet.board]: 3 mm hardboard or plywood,
common practice, no source."""

SKIN = 0.02
"""Overlaps thinner than this [mm] are rounding."""

TIP = 3.0
"""A metal corner's tip, before it is rounded, lies this near to its flat's edge [mm]."""

CRUMB = 0.5
"""Overlaps smaller than this [mm²] are left."""


def board_of(build: Build) -> tuple[float, str]:
    """Thickness [mm] and material of the job's board: its [sheet.board], or our own default."""
    sheet = build.job.sheet.get("board")
    return (sheet.thickness, sheet.material) if sheet else (THICKNESS, MATERIAL)


def mocked_up(build: Build) -> tuple[Parts, tuple[Finding, ...]]:
    """The build's parts as flats of board, and what is to be said about them."""
    board, material = board_of(build)
    sources = [as_cut(part) for part in build.parts.parts]
    flats = [flat for part in sources for flat in flats_of(part, board)]
    flats = [_slotted(flat, sources, flats, board) for flat in flats]
    flats = _apart(flats, board)
    flats = [_clear_of_tubes(flat, build, board) for flat in flats]
    called = _called(build.parts.parts, flats)
    parts = tuple(_part(flat, called[flat.name], board, material) for flat in flats)
    kept = replace(build.parts, parts=parts, findings=())
    return kept, (_said(len(sources), len(parts), board, material), *_too_sharp(sources))


def _slotted(flat: Flat, sources: list[Part], flats: list[Flat], board: float) -> Flat:
    """A flat with its slots made as wide as the board of what enters them."""
    shape: BaseGeometry = flat.shape
    for ring in flat.metal.shape.interiors:
        slot = Polygon(ring)
        for other in sources:
            if other.name == flat.part.name:
                continue
            tab = _within(exact_body(other), flat, flat.part.thickness) & slot
            if tab.area < 0.25 * slot.area:
                continue
            entering = _entering(other, flats, flat)
            shape = shape.union(slot).difference(_widened(slot, tab, flat, entering, board))
    return replace(flat, shape=_main(shape))


def _within(body: Body, flat: Flat, thickness: float) -> BaseGeometry:
    """What of a body lies within a flat's metal, on its plane."""
    return shadow(body, flat.metal.pose, (SKIN, thickness - SKIN))


def _entering(other: Part, flats: list[Flat], flat: Flat) -> Flat:
    """The flat of another part that stands most across this one."""
    mine = flat.metal.pose.directions((0.0, 0.0, 1.0))
    theirs = [f for f in flats if f.part.name == other.name]
    return min(theirs, key=lambda f: abs(float(mine @ f.metal.pose.directions((0.0, 0.0, 1.0)))))


def _widened(slot: Polygon, tab: BaseGeometry, flat: Flat, entering: Flat, board: float) -> Polygon:
    """The slot for a tab of board: as long as it was, as wide as the board and its clearance."""
    home = flat.metal.pose.inverse()
    n = home.directions(entering.metal.pose.directions((0.0, 0.0, 1.0)))[:2]
    n = n / np.hypot(*n)
    m = np.array([-n[1], n[0]])
    ring, core = np.array(slot.exterior.coords), get_coordinates(tab)
    low, high = float((core @ n).min()), float((core @ n).max())
    slope = (high - low) / entering.part.thickness
    spare = (float(np.ptp(ring @ n)) - (high - low)) / 2.0
    a = low + slope * entering.shift - spare
    b = a + slope * board + 2.0 * spare
    c, d = float((ring @ m).min()), float((ring @ m).max())
    return Polygon([a * n + c * m, b * n + c * m, b * n + d * m, a * n + d * m])


def _apart(flats: list[Flat], board: float) -> list[Flat]:
    """Flats cut back where they would stand in one another: the one that loses less gives way."""
    made = list(flats)
    for i in range(len(made)):
        for j in range(i):
            if _boxes_apart(made[i], made[j], board):
                continue
            mine, theirs = (_overlap(made[p], made[q], board) for p, q in ((i, j), (j, i)))
            if min(mine.area, theirs.area) < CRUMB:
                continue
            k, lost = (i, mine) if mine.area <= theirs.area else (j, theirs)
            made[k] = replace(made[k], shape=_main(made[k].shape.difference(lost)))
    return made


def _overlap(flat: Flat, other: Flat, board: float) -> BaseGeometry:
    """Where another flat stands in this one, on its plane; slivers left out."""
    body = exact_body(_bare(other, board))
    dark = shadow(body, flat.placed, (SKIN, board - SKIN))
    clash = (dark & flat.shape).buffer(-SKIN)
    return clash.buffer(3.0 * SKIN, join_style="mitre")


def _bare(flat: Flat, board: float) -> Part:
    """The flat as a part with nothing on it, for where it stands."""
    outline, holes = loops_of(flat.shape)
    return Part(
        name=flat.name,
        thickness=board,
        material="",
        outline=outline,
        holes=holes,
        placed=flat.placed,
    )


def _boxes_apart(a: Flat, b: Flat, board: float) -> bool:
    (low_a, high_a), (low_b, high_b) = _box(a, board), _box(b, board)
    return bool(np.any(low_a > high_b) or np.any(low_b > high_a))


def _box(flat: Flat, board: float) -> tuple[np.ndarray, np.ndarray]:
    xy = np.array(flat.shape.exterior.coords)
    both = [np.column_stack([xy, np.full(len(xy), z)]) for z in (0.0, board)]
    there = flat.placed.points(np.vstack(both))
    return there.min(axis=0), there.max(axis=0)


def _clear_of_tubes(flat: Flat, build: Build, board: float) -> Flat:
    """A flat cut back from the tubes where its greater thickness would meet them.

    The metal's own gap is kept; where the metal itself would not fit, the board does not either,
    so that the mock-up shows it.
    """
    shape = flat.shape
    low, high = _box(flat, board)
    for bar in build.bars.bars:
        body = body_of_bar(bar)
        near, far = bounds(body)
        if not np.any(np.all((near <= high + 1.0) & (low <= far + 1.0), axis=1)):
            continue
        dark = shadow(body, flat.placed, (0.0, board))
        if (dark & shape).area < CRUMB:
            continue
        metal = shadow(body, flat.metal.pose, (0.0, flat.part.thickness))
        gap = min(flat.metal.shape.distance(metal), 2.0)
        more = dark.buffer(gap).difference(metal.buffer(gap + SKIN))
        shape = _main(shape.difference(more))
    return replace(flat, shape=shape)


def _main(shape: BaseGeometry) -> Polygon:
    """The largest piece: what is cut off falls away."""
    pieces = [p for p in getattr(shape, "geoms", [shape]) if isinstance(p, Polygon)]
    return max(pieces, key=lambda p: p.area)


Called = list[tuple[int, tuple[float, float], tuple[float, float]]]


def _called(metal: tuple[Part, ...], flats: list[Flat]) -> dict[str, Called]:
    """Flat -> the metal part's corners that are its own, with the metal's numbers.

    Trims are written down by them; corners in a bend are on no flat.
    """
    found: dict[str, Called] = {flat.name: [] for flat in flats}
    for part in metal:
        mine = [flat for flat in flats if flat.part.name == part.name]
        side = -1.0 if part.placed.mirrors else 1.0
        for number, (x, y), (u, v) in numbered(part):
            at = Point(side * x, y)
            nearest = min(mine, key=lambda flat: flat.shape.boundary.distance(at))
            if nearest.shape.boundary.distance(at) < TIP:
                found[nearest.name].append((number, (at.x, at.y), (side * u, v)))
    return found


def _part(flat: Flat, called: Called, board: float, material: str) -> Part:
    """The flat as a part of board."""
    outline, holes = loops_of(flat.shape)
    twin = flat.part.twin_of
    letter = flat.name.removeprefix(flat.part.name)
    made = Part(
        name=flat.name,
        thickness=board,
        material=material,
        outline=outline,
        holes=tuple(_as_before(hole, flat.part) for hole in holes),
        placed=flat.placed,
        rides=flat.part.rides,
        twin_of=f"{twin}{letter}" if twin else "",
        note="; ".join(flat.calls),
        called=tuple(called),
    )
    return replace(made, etch=(*etched(made), *_numbered(flat)))


def _as_before(hole: Loop, metal: Part) -> Loop:
    """The metal part's own hole where this one is the same: true arcs, the very centre."""
    mine = region(hole)
    for other in metal.holes:
        theirs = region(other)
        near = mine.centroid.distance(theirs.centroid) < 0.05
        if near and mine.symmetric_difference(theirs).area < 0.02 * theirs.area:
            return other
    return hole


def _numbered(flat: Flat) -> Iterator[Etch]:
    """The number of each glued edge beside it, where there is room."""
    for number, (x, y) in flat.joints:
        if flat.shape.contains(box(x - 2.0, y - 2.0, x + 2.0, y + 2.0)):
            yield Etch(text=str(number), at=(x - 1.0, y - 1.5), height=3.0)


def _said(parts: int, flats: int, board: float, material: str) -> Finding:
    return Finding(
        code="pack.board",
        level=Level.LOOK,
        subject="pack",
        says=f"mock-up: {parts} plate parts as {flats} flats of {material}, {board:.2f} mm thick",
        measured=board,
        unit="mm",
        remedy="butt the flats at like numbers, outside faces flush, and glue or tape them; board "
        "shows fit and swing, never strength",
    )


def _too_sharp(sources: list[Part]) -> Iterator[Finding]:
    for part in sources:
        worst = max((abs(f.angle) for f in part.folds), default=0.0)
        if worst > SHARPEST:
            yield Finding(
                code="pack.board",
                level=Level.LOOK,
                subject=f"part {part.name}",
                says="has a fold so sharp that its flats meet in no corner",
                measured=math.degrees(worst),
                allowed=math.degrees(SHARPEST),
                unit="deg",
                remedy="tape the two flats of that fold back to back",
            )
