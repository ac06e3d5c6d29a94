"""The template's edge, point by point, to a few hundredths of a millimetre.

Starts from the rough rim, looks across it in the photo for where the card ends and the print
begins, and does so again from the better line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.template_bare import PAPER, UNKNOWN, Bare, shows
from barwright.survey.template_border import Border, bordered
from barwright.survey.template_camera import project, unproject
from barwright.survey.template_photo import Photo
from barwright.survey.template_view import terms

MOST_POINTS = 1600
LEAST_SPACING = 0.5
"""Between points along the edge [mm]."""

SHADE = 0.75
"""Of the light expected; where less lies beside the edge there is a shadow."""

MIXED_WEIGHT = 0.25
"""Of a point where paper and ink meet: its scatter was measured at least twice as large."""

SURE = 0.04
"""Standard deviation [mm] up to which a point counts in full."""

DARK_CARD = 0.15
"""Of the step from ink to paper: a card no farther from ink shows its edge on paper alone."""

FIRST_REACH = 2.2
"""How far the rough rim may be off [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Rim:
    """Points along an edge, anticlockwise.

    Attributes:
        xy: shape (n, 2) [mm], on the card's upper face.
        pixel: the same in the photo, shape (n, 2) [px].
        weight: shape (n,), 1, or less where the print changes close by and blurs the view.
        middle: of the rough rim [mm].
        unseen: longest stretch without a point [mm].
        spacing: between neighbours where none is missing [mm].
        asked: how many places were looked at; n were clear.
        sd: root mean square of what the grey values' scatter does to a point [mm].
        shaded: share of the places with something darker than the bare board beside them.
    """

    xy: Floats
    pixel: Floats
    weight: Floats
    middle: tuple[float, float]
    unseen: float
    spacing: float
    asked: int
    sd: float
    shaded: float


def traced(photo: Photo, it: Bare, rough: Floats, thickness: float, *, hole: bool) -> Rim:
    """The edge near a rough rim.

    Args:
        photo: the photo.
        it: what the bare board shows.
        rough: shape (n, 2) [px], in order round the rim.
        thickness: of the card [mm].
        hole: whether it is the rim of a hole, the card lying outside.
    """
    view = it.view
    start = unproject(view.camera, rough, thickness)
    line, spacing = _even(start if _area(start) > 0 else start[::-1])
    pixel = view.pixel
    across = _Across(photo=photo, it=it, thickness=thickness, hole=hole)
    reach = max(5.0, FIRST_REACH / pixel)
    found, _, ok = across.looked(_smooth(line, 1.2 / spacing), reach, 2.0)
    line = _filled(found, ok & _steady(found, ok))
    narrow = float(np.clip(4.0 * view.blur, 4.0, 12.0))
    found, border, ok = across.looked(line, narrow, max(2.0, 2.5 * view.blur * pixel))
    ok &= _steady(found, ok)
    seen = project(view.camera, _raised(found[ok], thickness))
    doubt = max(0.4, 3.0 * view.blur * pixel)
    print_ = shows(it, unproject(view.camera, seen), doubt)
    if _dark(it, seen, border.card[ok]):
        kept = print_ == PAPER
        ok[np.flatnonzero(ok)[~kept]] = False
        seen, print_ = seen[kept], print_[kept]
    return Rim(
        xy=found[ok],
        pixel=seen,
        middle=(float(line[:, 0].mean()), float(line[:, 1].mean())),
        unseen=_longest_gap(ok, spacing),
        weight=_weight(border.sd[ok] * pixel) * np.where(print_ == UNKNOWN, MIXED_WEIGHT, 1.0),
        spacing=spacing,
        asked=len(ok),
        sd=float(np.sqrt(np.mean(border.sd[ok] ** 2))) * pixel if ok.any() else np.inf,
        shaded=float(np.mean(border.light[ok] < SHADE)) if ok.any() else 0.0,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Across:
    """How to look across a rim of the card."""

    photo: Photo
    it: Bare
    thickness: float
    hole: bool

    def looked(
        self, line: Floats, reach: float, tangent: float
    ) -> tuple[Floats, Border, NDArray[np.bool_]]:
        """The edge from a closed line of points, as found across it, and where it was clear.

        Args:
            line: shape (n, 2) [mm].
            reach: how far either way to look [px].
            tangent: the line's direction is taken over this far either way [mm].
        """
        camera = self.it.view.camera
        step = float(np.median(np.linalg.norm(np.diff(line, axis=0), axis=1)))
        out = _outward(line, max(1, round(tangent / step)))
        out = -out if self.hole else out
        middle = project(camera, _raised(line, self.thickness))
        away = project(camera, _raised(line + 0.5 * out, self.thickness)) - middle
        along = away / np.linalg.norm(away, axis=1, keepdims=True)
        border = bordered(self.photo, self.it, middle, along, reach)
        pixel = middle + border.at[:, None] * along
        return unproject(camera, pixel, self.thickness), border, border.good


def _weight(sd: Floats) -> Floats:
    """How much points count by their standard deviations [mm]."""
    return np.asarray(np.clip((SURE / np.maximum(sd, 1e-6)) ** 2, 0.05, 1.0))


def _dark(it: Bare, pixel: Floats, card: Floats) -> bool:
    """Whether the card is about as dark as the ink round it."""
    if not len(pixel):
        return False
    t = terms(unproject(it.view.camera, pixel))
    paper, ink = t @ it.view.paper, t @ it.view.ink
    return float(np.median(np.abs(card - ink) / (paper - ink))) < DARK_CARD


def _longest_gap(ok: NDArray[np.bool_], spacing: float) -> float:
    """The longest stretch of a closed line without a good point [mm]."""
    at = np.flatnonzero(ok)
    if len(at) < 2:
        return len(ok) * spacing
    return float(np.max(np.diff(np.append(at, at[0] + len(ok))))) * spacing


def _raised(xy: Floats, height: float) -> Floats:
    return np.concatenate([xy, np.full((len(xy), 1), height)], axis=1)


def _area(line: Floats) -> float:
    x, y = line.T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2.0


def _even(line: Floats) -> tuple[Floats, float]:
    """The closed line in even steps, and the step [mm]."""
    closed = np.concatenate([line, line[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1))])
    # A rim along places is up to 8 % longer than the edge it follows.
    count = int(np.clip(run[-1] / LEAST_SPACING, 24, MOST_POINTS))
    at = np.linspace(0.0, run[-1], count, endpoint=False)
    even = np.stack([np.interp(at, run, closed[:, k]) for k in range(2)], axis=1)
    return even, float(run[-1] / count)


def _smooth(line: Floats, sigma: float) -> Floats:
    from scipy.ndimage import gaussian_filter1d

    return np.asarray(gaussian_filter1d(line, sigma, axis=0, mode="wrap"))


def _outward(line: Floats, span: int) -> Floats:
    """Unit directions to the right of a closed line, from the points `span` before and after."""
    run = np.roll(line, -span, axis=0) - np.roll(line, span, axis=0)
    run = run / np.maximum(np.linalg.norm(run, axis=1, keepdims=True), 1e-9)
    return np.stack([run[:, 1], -run[:, 0]], axis=1)


def _filled(line: Floats, ok: NDArray[np.bool_]) -> Floats:
    """The closed line with missing points put straight between their neighbours."""
    if ok.sum() < 8:
        return line
    n, at = len(line), np.flatnonzero(ok)
    wrapped = np.concatenate([at - n, at, at + n])
    return np.stack(
        [np.interp(np.arange(n), wrapped, np.tile(line[at, k], 3)) for k in range(2)], axis=1
    )


def _steady(line: Floats, ok: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Points that do not jump off the run of their neighbours."""
    from scipy.ndimage import median_filter

    if ok.sum() < 24:
        return ok
    kept = line[ok]
    calm = median_filter(kept, size=(7, 1), mode="wrap")
    out = _outward(calm, 3)
    off = np.abs(np.sum((kept - calm) * out, axis=1))
    good = np.zeros(len(line), dtype=bool)
    good[np.flatnonzero(ok)] = off < max(0.4, 6.0 * float(np.median(off)))
    return good
