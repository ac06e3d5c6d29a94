"""Where the markers are on the printed board a template is photographed on.

A board is one sheet, or several of the same paper taped together, each lower one over the band
at the foot of the one above. Markers are those of an open
5×5 dictionary of 1000; a marker's number says its sheet, row and column. Frame of a sheet: origin
at its lower left corner, x right, y up [mm], paper upright.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.job.errors import BadInput, Fault

PAPERS: dict[str, tuple[float, float]] = {
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "letter": (215.9, 279.4),
}
"""Upright sizes [mm]: ISO 216; ANSI Y14.1 size A, 8.5 × 11 in (both from memory)."""

SIDE = 15.0
"""Side of a marker's black square [mm]."""

PITCH = 24.0
"""From marker to marker [mm]."""

CELLS = 7
"""Cells across a marker: five of data and one of black all round."""

DICTIONARY_SIZE = 1000
MARGIN = 10.0
BAND = 28.0
"""Height of the band at the foot that holds the bars and the text [mm]."""

ACROSS_BAR = 180.0
UP_BAR = {"a4": 240.0, "a3": 360.0, "letter": 220.0}
"""Lengths of the two long bars [mm]."""


@dataclass(frozen=True, kw_only=True)
class Board:
    """A printed board.

    Attributes:
        paper: key of PAPERS.
        across, up: how many sheets are taped together.
    """

    paper: str
    across: int = 1
    up: int = 1

    @property
    def name(self) -> str:
        """What the user calls it: a3, or a4-3x2 for three across and two up."""
        return self.paper if self.sheets == 1 else f"{self.paper}-{self.across}x{self.up}"

    @property
    def sheets(self) -> int:
        """How many sheets it has."""
        return self.across * self.up

    @property
    def size(self) -> tuple[float, float]:
        """Of one sheet [mm]."""
        return PAPERS[self.paper]

    @cached_property
    def grid(self) -> tuple[int, int]:
        """Columns and rows of markers on a sheet."""
        wide, high = self.size
        columns = int((wide - 2 * MARGIN - SIDE) // PITCH) + 1
        rows = int((high - MARGIN - BAND - SIDE) // PITCH) + 1
        return columns, rows

    @property
    def per_sheet(self) -> int:
        """Markers on one sheet."""
        return self.grid[0] * self.grid[1]

    @cached_property
    def corners(self) -> Floats:
        """Shape (per_sheet, 4, 2): a marker's corners in the sheet's frame [mm].

        In the order detectors give them: top left, top right, bottom right, bottom left.
        """
        columns, _ = self.grid
        wide, high = self.size
        left = (wide - (columns - 1) * PITCH - SIDE) / 2
        top = high - MARGIN
        row, column = np.divmod(np.arange(self.per_sheet), columns)
        corner = np.array([[0, 0], [SIDE, 0], [SIDE, -SIDE], [0, -SIDE]], dtype=float)
        start = np.stack([left + column * PITCH, top - row * PITCH], axis=-1)
        return np.asarray(start[:, None, :] + corner[None])

    def sheet_at(self, sheet: int) -> tuple[float, float]:
        """Where a sheet's lower left corner lies when all are taped true [mm].

        Side by side edge to edge; a lower sheet lies over the band of the one above it.
        """
        wide, high = self.size
        return (sheet % self.across * wide, sheet // self.across * (high - BAND))

    def field(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the field of markers of the whole board [mm]."""
        c = self.corners.reshape(-1, 2)
        x, y = self.sheet_at(self.sheets - 1)
        low, high = c.min(axis=0), c.max(axis=0)
        return (float(low[0]), float(low[1]), float(high[0] + x), float(high[1] + y))


def board(name: str) -> Board:
    """The board of a name: "a4", "a3", "letter", or several sheets: "a4-3x2".

    Raises:
        BadInput: no such paper, or more markers than the dictionary has.

    >>> board("a3").grid, board("a4-3x2").sheets
    ((11, 16), 6)
    """
    found = re.fullmatch(r"([a-z0-9]+?)(?:-(\d{1,2})x(\d{1,2}))?", name.strip().lower())
    if found is None or found[1] not in PAPERS:
        raise BadInput(_no_board(name, "one of a4, a3, letter, or several sheets such as a4-3x2"))
    wanted = Board(paper=found[1], across=int(found[2] or 1), up=int(found[3] or 1))
    most = DICTIONARY_SIZE // wanted.per_sheet
    if not 1 <= wanted.sheets <= most:
        raise BadInput(_no_board(name, f"1 to {most} sheets of {wanted.paper}"))
    return wanted


def _no_board(name: str, expected: str) -> Fault:
    return Fault(
        file="board",
        entry="name",
        read=name,
        expected=expected,
        do="name the board as it was printed; its name stands at its foot",
    )
