"""Centrelines drawn on the template: the pen line nearest to two picks, to a tenth of its width."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.template_camera import project, unproject
from barwright.survey.template_edges import STEP, sampled
from barwright.survey.template_photo import Photo
from barwright.survey.template_types import Drawn, Pick
from barwright.survey.template_view import Solved

REACH = 2.5
"""How far off the picks the line is looked for [mm]."""

LEAST_SHARE = 0.5
"""Of the places looked at that must show the line."""

WAVES = 10.0
"""A hand-drawn line wanders: this many places along it count as one."""

PICK_SD = 1.5
"""Of a pick by hand [px]: common practice, no source."""


def drawn(photo: Photo, view: Solved, pick: Pick, thickness: float) -> Drawn:
    """The line drawn between two picks, on the card's upper face."""
    ends = unproject(view.camera, np.array([pick.a, pick.b]) - 0.5, thickness)
    seen = _pen(photo, view, ends, thickness)
    if seen is None:
        a, b = ((float(x), float(y)) for x, y in ends)
        return Drawn(name=pick.name, a=a, b=b, sd=PICK_SD * view.pixel, found=False)
    middle, run, sd = seen
    foot = middle + ((ends - middle) @ run)[:, None] * run
    a, b = ((float(x), float(y)) for x, y in foot)
    return Drawn(name=pick.name, a=a, b=b, sd=sd, found=True)


def _pen(
    photo: Photo, view: Solved, ends: Floats, thickness: float
) -> tuple[Floats, Floats, float] | None:
    """A point of the pen line, its direction and how sure it lies across; None if not seen."""
    points = _ridge(photo, view, ends, thickness)
    wanted = LEAST_SHARE * len(points)
    points = points[~np.isnan(points[:, 0])]
    for _ in range(4):
        if len(points) < max(wanted, 8):
            return None
        middle = points.mean(axis=0)
        run = np.linalg.svd(points - middle)[2][0]
        off = (points - middle) @ np.array([-run[1], run[0]])
        scatter = max(1.4826 * float(np.median(np.abs(off))), 0.02)
        points = points[np.abs(off) < 3.0 * scatter]
    sd = float(np.std(off)) * float(np.sqrt(WAVES / max(len(off) - 2, 1)))
    return middle, np.asarray(run), sd


def _ridge(photo: Photo, view: Solved, ends: Floats, thickness: float) -> Floats:
    """Where something darker is crossed, looking across from the picks' line; NaN where not."""
    length = float(np.linalg.norm(ends[1] - ends[0]))
    run = (ends[1] - ends[0]) / max(length, 1e-9)
    at = np.linspace(0.04, 0.96, int(np.clip(length, 12, 300)))
    line = ends[0] + at[:, None] * (ends[1] - ends[0])
    across = np.array([-run[1], run[0]])
    height = np.full((len(line), 1), thickness)
    middle = project(view.camera, np.concatenate([line, height], axis=1))
    away = project(view.camera, np.concatenate([line + across, height], axis=1)) - middle
    scale = np.linalg.norm(away, axis=1, keepdims=True)
    reach = REACH * float(np.median(scale))
    u = np.arange(-reach, reach + 1e-9, STEP)
    values, inside = sampled(photo.light, middle, away / scale, u)
    dark, clear = _dips(values, u)
    found = unproject(view.camera, middle + dark[:, None] * away / scale, thickness)
    return np.where((clear & inside)[:, None], found, np.nan)


def _dips(values: Floats, u: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Middles of the darkest dips along the lines [px], and whether there is one."""
    card = np.median(values, axis=1, keepdims=True)
    depth = np.maximum(card - values, 0.0)
    deepest = depth.max(axis=1, keepdims=True)
    weight = np.maximum(depth - 0.5 * deepest, 0.0)
    # Only the run of dark round the darkest place counts, not another line farther off.
    peak = u[np.argmax(depth, axis=1)][:, None]
    weight = np.where(np.abs(u - peak) < 0.4 * u[-1], weight, 0.0)
    middle = (weight * u).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-12)
    noise = 1.4826 * np.median(np.abs(values - card), axis=1)
    clear = (deepest[:, 0] > 0.15 * card[:, 0]) & (deepest[:, 0] > 4.0 * noise)
    return middle, np.asarray(clear)
