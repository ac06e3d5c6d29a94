"""What the bare printed board shows at any place: paper, ink, or nobody knows.

Nobody knows off the sheets, at the seams between them, in the band of text at a sheet's foot,
and, where asked to be careful, near the line where paper and ink meet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.template_board import BAND, CELLS, PITCH, SIDE, Board
from barwright.survey.template_photo import marker_cells
from barwright.survey.template_view import Solved

PAPER, INK, UNKNOWN = 1, 0, -1

SEAM = 2.0
"""Of a sheet's rim that tape or a neighbour may hide [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Bare:
    """The board as printed and laid.

    Attributes:
        view: where its sheets lie.
        cells: shape (sheets seen, markers of a sheet, 9, 9): markers with a rim of paper.
    """

    view: Solved
    cells: NDArray[np.int8]


def bare(view: Solved) -> Bare:
    """The bare board of a photo's geometry."""
    layout = view.layout
    return Bare(view=view, cells=np.stack([_cells(layout.board, s) for s in layout.sheets]))


def _cells(board: Board, sheet: int) -> NDArray[np.int8]:
    first = sheet * board.per_sheet
    black = [marker_cells(first + i) for i in range(board.per_sheet)]
    return np.pad(1 - np.array(black, dtype=np.int8), ((0, 0), (1, 1), (1, 1)), constant_values=1)


def shows(it: Bare, xy: Floats, doubt: float = 0.0) -> NDArray[np.int8]:
    """1 paper, 0 ink, −1 unknown at places of the board.

    Args:
        it: the board.
        xy: shape (..., 2) [mm].
        doubt: how far from where paper and ink meet it is still unknown [mm].
    """
    flat = xy.reshape(-1, 2)
    out = np.full(len(flat), UNKNOWN, dtype=np.int8)
    for at, sheet in enumerate(it.view.layout.sheets):
        local = _local(it.view, sheet, flat)
        on = _on_sheet(it.view.layout.board, local)
        out[on] = _pattern(it.view.layout.board, it.cells[at], local[on], doubt)
    return out.reshape(xy.shape[:-1])


def _local(view: Solved, sheet: int, xy: Floats) -> Floats:
    """Places in a sheet's own frame, as it was meant to be printed."""
    dx, dy, turn = view.layout.lie(view.unknowns, sheet)
    c, s = math.cos(turn), math.sin(turn)
    x, y = xy[:, 0] - dx, xy[:, 1] - dy
    sx, sy = view.layout.scale
    return np.stack([(c * x + s * y) / sx, (-s * x + c * y) / sy], axis=-1)


def _on_sheet(board: Board, local: Floats) -> NDArray[np.bool_]:
    wide, high = board.size
    x, y = local.T
    return np.asarray((x > SEAM) & (x < wide - SEAM) & (y > BAND) & (y < high - SEAM))


def _pattern(
    board: Board, cells: NDArray[np.int8], local: Floats, doubt: float
) -> NDArray[np.int8]:
    columns, rows = board.grid
    origin = board.corners[0, 0]
    gx, gy = local[:, 0] - origin[0], origin[1] - local[:, 1]
    column = np.clip(np.floor((gx + doubt) / PITCH), 0, columns - 1).astype(int)
    row = np.clip(np.floor((gy + doubt) / PITCH), 0, rows - 1).astype(int)
    u, v = gx - column * PITCH, gy - row * PITCH
    near = (u > -doubt) & (u < SIDE + doubt) & (v > -doubt) & (v < SIDE + doubt)
    out = np.full(len(local), PAPER, dtype=np.int8)
    mine = cells[row[near] * columns + column[near]]
    out[near] = _in_marker(mine, u[near], v[near], doubt)
    return out


def _in_marker(cells: NDArray[np.int8], u: Floats, v: Floats, doubt: float) -> NDArray[np.int8]:
    """A place is known when the four corners of the square of doubt round it agree."""
    size, each = SIDE / CELLS, np.arange(len(u))
    seen = []
    for du in (-doubt, doubt) if doubt else (0.0,):
        for dv in (-doubt, doubt) if doubt else (0.0,):
            i = np.clip(np.floor((u + du) / size) + 1, 0, CELLS + 1).astype(int)
            j = np.clip(np.floor((v + dv) / size) + 1, 0, CELLS + 1).astype(int)
            seen.append(cells[each, j, i])
    low, high = np.min(seen, axis=0), np.max(seen, axis=0)
    return np.where(low == high, low, UNKNOWN).astype(np.int8)
