"""What is unknown about a photo of the board, in which order, and what is known beforehand.

The unknowns: ln of focal length over the one noted, middle of the photo (2, in diagonals), k1, k2,
rotation vector (3), shift (3), the edges' shift outward; then x, y and turn of every further sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.template_board import Board
from barwright.survey.template_camera import Camera, turned
from barwright.survey.template_photo import Photo

USUAL_FOCAL = 26.0
"""A phone's main camera, as on 35 mm film [mm]: common practice, no source."""

PRIOR = {"focal noted": 0.05, "focal usual": 0.20, "centre": 0.007, "k1": 0.15, "k2": 0.15}
"""Standard deviations held about the start: ratio, ratio, of the diagonal, plain, plain."""

CAMERA_UNKNOWNS = 12
OUTWARD = 11
"""Where the edges' shift outward stands among the unknowns."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Seen:
    """Markers agreed to be the board's: number on the sheet, sheet, rough corners [px]."""

    place: NDArray[np.int64]
    sheet: NDArray[np.int64]
    corners: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Layout:
    """How the vector of unknowns is read.

    Attributes:
        board: the board.
        scale: printed over intended, across and up.
        sheets: the sheets seen; the first holds the frame.
        start: focal length held to, photo's middle and diagonal [px].
        aim, hold: what each unknown is held to, and one over how loosely.
        height: of the camera above the board as measured by hand [mm]; None if nobody did.
    """

    board: Board
    scale: tuple[float, float]
    sheets: tuple[int, ...]
    focal: float
    middle: tuple[float, float]
    diagonal: float
    aim: Floats
    hold: Floats
    height: float | None = None

    def camera(self, x: Floats) -> Camera:
        """The camera of a vector of unknowns."""
        return Camera(
            focal=self.focal * math.exp(float(x[0])),
            centre=(
                self.middle[0] + float(x[1]) * self.diagonal,
                self.middle[1] + float(x[2]) * self.diagonal,
            ),
            k1=float(x[3]),
            k2=float(x[4]),
            turn=turned(x[5:8]),
            shift=np.asarray(x[8:11], dtype=float),
        )

    def lie(self, x: Floats, sheet: int) -> tuple[float, float, float]:
        """Where a sheet's corner lies [mm] and how far it is turned [rad]."""
        home = self.board.sheet_at(sheet)
        at = self.sheets.index(sheet)
        dx, dy, turn = (0.0, 0.0, 0.0) if at == 0 else x[CAMERA_UNKNOWNS + 3 * at - 3 :][:3]
        return (
            home[0] * self.scale[0] + float(dx),
            home[1] * self.scale[1] + float(dy),
            float(turn),
        )

    def on_board(self, x: Floats, sheet: NDArray[np.int64], local: Floats) -> Floats:
        """Points of sheets (n, 2), printed as intended, as they lie on the board, (n, 3) [mm]."""
        lies = np.array([self.lie(x, s) for s in self.sheets])
        dx, dy, turn = lies[np.searchsorted(self.sheets, sheet)].T
        true = local * np.array(self.scale)
        c, s = np.cos(turn), np.sin(turn)
        return np.stack(
            [
                dx + c * true[:, 0] - s * true[:, 1],
                dy + s * true[:, 0] + c * true[:, 1],
                np.zeros(len(local)),
            ],
            axis=1,
        )


def layout_of(
    photo: Photo, board: Board, seen: Seen, scale: tuple[float, float], height: float | None
) -> Layout:
    """How a photo's unknowns are laid out; see `solved`."""
    wide, high = photo.size
    diagonal = math.hypot(wide, high)
    usual = USUAL_FOCAL / math.hypot(36.0, 24.0) * diagonal
    sheets = tuple(int(s) for s in np.unique(seen.sheet))
    loose = np.full(CAMERA_UNKNOWNS + 3 * (len(sheets) - 1), np.inf)
    loose[0] = PRIOR["focal noted" if photo.focal else "focal usual"]
    loose[1:5] = PRIOR["centre"], PRIOR["centre"], PRIOR["k1"], PRIOR["k2"]
    loose[OUTWARD] = 1.0
    return Layout(
        board=board,
        scale=scale,
        sheets=sheets,
        focal=photo.focal or usual,
        middle=((wide - 1) / 2, (high - 1) / 2),
        diagonal=diagonal,
        aim=np.zeros(len(loose)),
        hold=1.0 / loose,
        height=height,
    )
