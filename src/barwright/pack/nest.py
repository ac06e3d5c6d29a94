"""Plates laid out on sheets: largest first, each as low and as far left as it will go.

The sheet is a grid of square cells. A part, grown by half the gap, covers every cell it touches;
a place is free where no covered cell is taken, which one correlation by fast Fourier transform
tells for all places at once. So parts never lie nearer than the gap; they may lie up to two
cells further apart than they need.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from barwright.pack.twins import flat_polygon, for_cutting
from barwright.plates.part import Part

if TYPE_CHECKING:
    from shapely.geometry import Polygon

    from barwright.geometry.vectors import Floats

CELLS = 300
"""Cells along a sheet: 2 mm each on the smallest."""

GAP = 6.0
"""Between parts and to the sheet's edge [mm]: two to three thicknesses of what is cut here;
common practice, no source."""

SIZES = ((600.0, 300.0), (1200.0, 600.0), (2500.0, 1250.0))
"""Length and width of sheets and offcuts [mm], smallest first, where the job names none; common
practice, no source."""

Size = tuple[float, float]
Kind = tuple[str, float]
"""Material and thickness [mm]."""

Mask = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A part on a sheet: turned by `turn` [rad], then shifted by `at` [mm]."""

    part: Part
    turn: float
    at: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class SheetPlan:
    """One sheet.

    Attributes:
        material, thickness: of the sheet [mm].
        size: its length and width [mm].
        laid: its parts.
        used: share of the sheet's area that ends in parts, 0 to 1.
        strip: the same, counting only the length of sheet the parts take up.
    """

    material: str
    thickness: float
    size: tuple[float, float]
    laid: tuple[Laid, ...]
    used: float
    strip: float


def plans(
    parts: tuple[Part, ...],
    *,
    grain: frozenset[Kind] = frozenset(),
    sizes: Mapping[Kind, tuple[Size, ...]] = MappingProxyType({}),
) -> tuple[tuple[SheetPlan, ...], tuple[str, ...]]:
    """Sheets for all parts, by material and thickness; and the parts too large for a sheet.

    Args:
        parts: as made; mirrored ones are laid out as they are cut.
        grain: (material, thickness) of sheets whose grain matters: half turns only.
        sizes: length and width [mm] of the sheets there are of a (material, thickness); `SIZES`
            for the rest.
    """
    kinds: dict[Kind, list[Part]] = {}
    for part in parts:
        kinds.setdefault((part.material, part.thickness), []).append(for_cutting(part))
    sheets: list[SheetPlan] = []
    left: list[str] = []
    for kind, mine in kinds.items():
        turns = (0.0, math.pi) if kind in grain else tuple(math.pi / 2 * k for k in range(4))
        size, made, too_large = _smallest(mine, turns, sizes_of(kind, sizes))
        sheets += [_plan(kind, size, laid) for laid in made]
        left += too_large
    return tuple(sheets), tuple(left)


def sizes_of(kind: Kind, sizes: Mapping[Kind, tuple[Size, ...]]) -> tuple[Size, ...]:
    """The sheets there are of a material and thickness, the smallest area first.

    >>> sizes_of(("a36", 3.0), {("a36", 3.0): ((900.0, 700.0), (500.0, 400.0))})
    ((500.0, 400.0), (900.0, 700.0))
    """
    return tuple(sorted(sizes.get(kind) or SIZES, key=math.prod))


def _smallest(
    parts: list[Part], turns: tuple[float, ...], sizes: tuple[Size, ...]
) -> tuple[Size, list[list[Laid]], list[str]]:
    """The smallest sheet that takes all parts at once; else as many of the largest as needed."""
    for size in sizes:
        made, too_large = _laid_out(parts, turns, size)
        if len(made) == 1 and not too_large:
            return size, made, too_large
    return sizes[-1], made, too_large


def _laid_out(
    parts: list[Part], turns: tuple[float, ...], size: tuple[float, float]
) -> tuple[list[list[Laid]], list[str]]:
    """Parts on as many sheets as it takes, each part on the first that has room."""
    sheets: list[tuple[Mask, list[Laid]]] = []
    too_large: list[str] = []
    for part in sorted(parts, key=lambda p: (-flat_polygon(p).area, p.name)):
        cell = cell_of(size)
        shapes = [s for turn in turns if (s := _shape(part, turn, size)) is not None]
        if not any(_put(sheet, part, shapes, cell) for sheet in sheets):
            fresh = (_empty(size), list[Laid]())
            if _put(fresh, part, shapes, cell):
                sheets.append(fresh)
            else:
                too_large.append(part.name)
    return [laid for _, laid in sheets], too_large


def cell_of(size: tuple[float, float]) -> float:
    """Side of a cell [mm] on a sheet of this size."""
    return size[0] / CELLS


def _empty(size: tuple[float, float]) -> Mask:
    return np.zeros((math.floor(size[1] / cell_of(size) + 1e-9), CELLS), dtype=bool)


def _shape(
    part: Part, turn: float, size: tuple[float, float]
) -> tuple[float, Mask, tuple[float, float]] | None:
    """A turn, the cells the turned part touches, grown by half the gap, and where its origin lies.

    None where the sheet is too small for it that way round.
    """
    from shapely import box, intersects, prepare
    from shapely.affinity import rotate

    shape = rotate(flat_polygon(part), turn, origin=(0.0, 0.0), use_radians=True)
    grown = shape.buffer(GAP / 2.0)
    x0, y0, x1, y1 = grown.bounds
    if x1 - x0 > size[0] or y1 - y0 > size[1]:
        return None
    cell = cell_of(size)
    columns, rows = math.ceil((x1 - x0) / cell), math.ceil((y1 - y0) / cell)
    xs, ys = np.meshgrid(x0 + cell * np.arange(columns), y0 + cell * np.arange(rows))
    prepare(grown)
    touched = intersects(grown, box(xs, ys, xs + cell, ys + cell))
    return turn, np.asarray(touched), (-x0, -y0)


def _put(
    sheet: tuple[Mask, list[Laid]],
    part: Part,
    shapes: list[tuple[float, Mask, tuple[float, float]]],
    cell: float,
) -> bool:
    """Lay a part on a sheet where it goes furthest left, then lowest; whether it had room."""
    taken, laid = sheet
    options = [
        (place[1] + mask.shape[1], place[1], place[0], i)
        for i, (_, mask, _) in enumerate(shapes)
        if (place := _free(taken, mask)) is not None
    ]
    if not options:
        return False
    _, column, row, i = min(options)
    turn, mask, origin = shapes[i]
    taken[row : row + mask.shape[0], column : column + mask.shape[1]] |= mask
    at = (cell * column + origin[0], cell * row + origin[1])
    laid.append(Laid(part=part, turn=turn, at=at))
    return True


def _free(taken: Mask, mask: Mask) -> tuple[int, int] | None:
    """The furthest left, then lowest place (row, column) where a mask covers nothing taken."""
    from scipy.fft import irfft2, next_fast_len, rfft2

    rows, columns = (t - m + 1 for t, m in zip(taken.shape, mask.shape, strict=True))
    if rows <= 0 or columns <= 0:
        return None
    size = [next_fast_len(n, real=True) for n in taken.shape]
    product = rfft2(taken.astype(float), size) * np.conj(rfft2(mask.astype(float), size))
    clash: Floats = irfft2(product, size)[:rows, :columns]
    free = np.argwhere((clash < 0.5).T)
    return (int(free[0][1]), int(free[0][0])) if len(free) else None


def _plan(kind: tuple[str, float], size: tuple[float, float], laid: list[Laid]) -> SheetPlan:
    shapes = [placed_shape(one) for one in laid]
    area = math.fsum(s.area for s in shapes)
    far = max(s.bounds[2] for s in shapes) + GAP / 2.0
    return SheetPlan(
        material=kind[0],
        thickness=kind[1],
        size=size,
        laid=tuple(laid),
        used=area / (size[0] * size[1]),
        strip=area / (far * size[1]),
    )


def placed_shape(laid: Laid) -> Polygon:
    """The part's outline and holes where it lies on its sheet [mm]."""
    from shapely.affinity import rotate, translate

    turned = rotate(flat_polygon(laid.part), laid.turn, origin=(0.0, 0.0), use_radians=True)
    return translate(turned, *laid.at)
