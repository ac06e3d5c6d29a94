"""How sure a traced template is: what scales with its size, and what does not."""

from __future__ import annotations

import math

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.template_camera import project, unproject
from barwright.survey.template_view import Solved, with_unknowns

BAR_SD = 0.2
"""Of a printed bar measured with a steel rule [mm]: common practice, no source."""

UNCHECKED_SD = 0.005
"""Of a printer's scale nobody checked, as a ratio: common practice, no source."""

THICKNESS_SD = 0.1
"""Of the cardboard's thickness [mm]: common practice, no source."""


def scale_doubt(view: Solved, xy: Floats, thickness: float) -> tuple[float, float]:
    """What the camera's doubt does to points on the card's face.

    Args:
        view: the photo's geometry.
        xy: shape (n, 2) [mm], n at least 2.
        thickness: of the card [mm].

    Returns:
        one standard deviation of the scale as a ratio, and of a point's place once shift, turn
        and scale are taken out [mm].
    """
    pixel = project(view.camera, np.concatenate([xy, np.full((len(xy), 1), thickness)], axis=1))
    moves = _moves(view, pixel, thickness)
    middle = xy - xy.mean(axis=0)
    x, y = middle.T
    none, one = np.zeros(len(x)), np.ones(len(x))
    # Columns: scale, turn, shift in x, shift in y; rows: x of all points, then y.
    shape = np.stack(
        [np.append(x, y), np.append(-y, x), np.append(one, none), np.append(none, one)], axis=1
    )
    part = np.linalg.lstsq(shape, moves, rcond=None)[0]
    rest = moves - shape @ part
    scale = math.sqrt(float(part[0] @ view.covariance @ part[0]))
    place = float(np.mean(np.einsum("ij,jk,ik->i", rest, view.covariance, rest)))
    return math.hypot(scale, THICKNESS_SD / float(view.camera.eye[2])), math.sqrt(max(place, 0.0))


def _moves(view: Solved, pixel: Floats, thickness: float) -> Floats:
    """How x, then y, of what is seen at pixels move with each unknown; shape (2n, unknowns)."""
    columns = []
    for i, value in enumerate(view.unknowns):
        h = np.zeros(len(view.unknowns))
        h[i] = 1e-5 * max(1.0, abs(float(value)))
        more = unproject(with_unknowns(view, view.unknowns + h).camera, pixel, thickness)
        less = unproject(with_unknowns(view, view.unknowns - h).camera, pixel, thickness)
        columns.append(((more - less) / (2.0 * h[i])).T.ravel())
    return np.stack(columns, axis=1)


def height_sd(view: Solved) -> float:
    """One standard deviation of the camera's height above the board [mm]."""
    slope = []
    for i, value in enumerate(view.unknowns):
        h = np.zeros(len(view.unknowns))
        h[i] = 1e-5 * max(1.0, abs(float(value)))
        more = with_unknowns(view, view.unknowns + h).camera.eye[2]
        less = with_unknowns(view, view.unknowns - h).camera.eye[2]
        slope.append(float(more - less) / (2.0 * h[i]))
    g = np.array(slope)
    return math.sqrt(float(g @ view.covariance @ g))
