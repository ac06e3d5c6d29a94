"""Which markers of the board are in the photo, and if not enough, why not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.job.errors import BadInput, Fault
from barwright.survey.template_board import PAPERS, Board
from barwright.survey.template_layout import Seen
from barwright.survey.template_photo import Photo, markers, rough_homography, sharpness

FEWEST = 8
"""Markers on the sheet that holds the frame; a further sheet needs half as many."""

SHARP_ENOUGH = 3.5
"""Width of the sharpest edges [px] beyond which no marker can be expected to be read."""


def agreed(photo: Photo, board: Board, name: str) -> Seen:
    """The markers that lie as the board has them, its best-seen sheet among them.

    Raises:
        BadInput: no markers, too few, those of another board, or too blurred to read.
    """
    numbers, corners = markers(photo)
    if len(numbers) == 0:
        raise BadInput(_nothing(photo, name))
    seen = _consistent(photo, board, numbers, corners)
    first = int(np.sum(seen.sheet == seen.sheet.min())) if len(seen.sheet) else 0
    if first >= FEWEST and len(seen.place) >= 0.6 * len(numbers):
        return seen
    raise BadInput(_too_few(photo, board, name, found=len(numbers), seen=seen))


def _consistent(photo: Photo, board: Board, numbers: NDArray[np.int64], corners: Floats) -> Seen:
    """Markers that agree, sheet by sheet, with a sheet's pattern seen in perspective."""
    kept = np.zeros(len(numbers), dtype=bool)
    sheet, place = np.divmod(numbers, board.per_sheet)
    for s in range(board.sheets):
        mine = np.flatnonzero(sheet == s)
        if len(mine) < FEWEST // 2:
            continue
        good = _in_place(photo, board, place[mine], corners[mine])
        if good.sum() >= FEWEST // 2:
            kept[mine[good]] = True
    return Seen(place=place[kept], sheet=sheet[kept], corners=corners[kept])


def _in_place(
    photo: Photo, board: Board, place: NDArray[np.int64], corners: Floats
) -> NDArray[np.bool_]:
    plane = board.corners[place].reshape(-1, 2)
    # A wide lens bends the pattern by up to a few per cent: the limit leaves room for it.
    within = 0.01 * float(np.hypot(*photo.size))
    _, good = rough_homography(plane, corners.reshape(-1, 2), within)
    return np.asarray(good.reshape(-1, 4).all(axis=1))


def _nothing(photo: Photo, name: str) -> Fault:
    width = sharpness(photo)
    if width > SHARP_ENOUGH:
        return _blurred(name, f"no markers; the sharpest edges are {width:.0f} px wide")
    return Fault(
        file=name,
        entry="board",
        read="no markers in view",
        expected="the printed board under the template, its markers showing all round",
        do="print the board (barwright board), lay the template on it, light it evenly, and "
        "photograph the whole of it from straight above",
    )


def _blurred(name: str, read: str) -> Fault:
    return Fault(
        file=name,
        entry="sharpness",
        read=read,
        expected=f"edges no wider than {SHARP_ENOUGH} px",
        do="hold the phone still or prop it up, tap on the board to focus, use more light",
    )


def _too_few(photo: Photo, board: Board, name: str, *, found: int, seen: Seen) -> Fault:
    other = _other_board(photo, board)
    if other:
        return Fault(
            file=name,
            entry="board",
            read=f"markers that lie as on the {other} board",
            expected=f"the {board.name} board that was named",
            do=f"name the board {other}, or photograph the {board.name} board",
        )
    width = sharpness(photo)
    if width > SHARP_ENOUGH:
        return _blurred(name, f"{found} markers; the sharpest edges are {width:.0f} px wide")
    return Fault(
        file=name,
        entry="board",
        read=f"{len(seen.place)} markers that fit the {board.name} board ({found} seen at all)",
        expected=f"at least {FEWEST} on one sheet, all round the template",
        do="take in the whole board; use a larger board if the template hides most of it; keep "
        "glare and hard shadows off it",
    )


def _other_board(photo: Photo, board: Board) -> str:
    numbers, corners = markers(photo)
    for paper in PAPERS:
        other = Board(paper=paper)
        mine = numbers < other.per_sheet
        if paper == board.paper or mine.sum() < FEWEST:
            continue
        good = _in_place(photo, other, numbers[mine], corners[mine])
        if good.sum() >= max(FEWEST, 0.9 * len(numbers)):
            return paper
    return ""
