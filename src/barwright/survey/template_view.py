"""How the photo was taken: camera, lens and the lie of the sheets, from the markers' edges.

Everything is solved together by damped Gauss–Newton on thousands of points along the markers'
edges: focal length, middle of the photo, k1, k2, the camera's place, how far the ink or the
photo's tone shifts every edge outward, and how each further sheet was taped. What one photo
cannot tell (the focal length, seen square on) is held by weak prior knowledge, stated below, and
its doubt goes into the result.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.template_board import Board
from barwright.survey.template_camera import (
    Camera,
    camera_from,
    homography,
    project,
    unproject,
)
from barwright.survey.template_edges import located
from barwright.survey.template_layout import CAMERA_UNKNOWNS, OUTWARD, Layout, Seen, layout_of
from barwright.survey.template_photo import Photo

STATIONS = np.linspace(0.14, 0.86, 7)
"""Where along a marker's side its edge is looked for, clear of the corners."""

HEIGHT_SD = 10.0
"""Of a camera's height measured by tape [mm]: common practice, no source."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Solved:
    """The photo's geometry.

    Attributes:
        camera: the camera at the best answer.
        unknowns: shape (m,), the best answer; see `Layout`.
        covariance: shape (m, m).
        layout: what turns unknowns into a camera and sheets.
        rms: of the edges [px].
        bleed: how far the edges lie outward of the ink's true ones [px].
        blur: median blur of the edges [px].
        blur_worst: that of the edges along the worse direction [px].
        paper, ink: quadratic surfaces of linear light over the board, shape (6,).
        used: how many markers.
        seen: which markers.
    """

    camera: Camera
    unknowns: Floats
    covariance: Floats
    layout: Layout
    rms: float
    bleed: float
    blur: float
    blur_worst: float
    paper: Floats
    ink: Floats
    used: int
    seen: Seen

    @property
    def pixel(self) -> float:
        """Size of a pixel on the board, about its middle [mm]."""
        return float(self.camera.eye[2]) / self.camera.focal / math.cos(self.camera.tilt)


def solved(
    photo: Photo,
    board: Board,
    seen: Seen,
    scale: tuple[float, float],
    height: float | None = None,
) -> Solved:
    """The camera and the sheets from the markers seen.

    Args:
        photo: the photo.
        board: the board it shows.
        seen: markers that agree with the board, at least 8 on its first sheet seen.
        scale: how much larger the board was printed than intended, across and up.
        height: of the camera above the board where someone measured it [mm].
    """
    layout = layout_of(photo, board, seen, scale, height)
    x = _first(layout, seen)
    for _ in range(3):
        found = _edges(photo, layout, seen, x)
        x, covariance, rms = _adjusted(found, layout, x)
    camera = layout.camera(x)
    xy = layout.on_board(x, found.sheet, found.local)[:, :2]
    return Solved(
        camera=camera,
        unknowns=x,
        covariance=covariance,
        layout=layout,
        rms=rms,
        bleed=float(x[OUTWARD]),
        blur=float(np.median(found.blur)),
        blur_worst=float(np.quantile(found.blur, 0.75)),
        paper=surface(xy, found.bright),
        ink=surface(xy, found.dark),
        used=len(seen.place),
        seen=seen,
    )


def _first(layout: Layout, seen: Seen) -> Floats:
    """A start from the markers' rough corners: first sheet, then the others laid beside it."""
    x = np.zeros(len(layout.aim))
    first = seen.sheet == layout.sheets[0]
    local = layout.board.corners[seen.place]
    plane = layout.on_board(x, seen.sheet.repeat(4), local.reshape(-1, 2))[:, :2].reshape(-1, 4, 2)
    h = homography(plane[first].reshape(-1, 2), seen.corners[first].reshape(-1, 2))
    rough = camera_from(h, layout.focal, layout.middle)
    x[5:8], x[8:11] = _vector(rough.turn), rough.shift
    for at, sheet in enumerate(layout.sheets[1:]):
        mine = seen.sheet == sheet
        lies = unproject(rough, seen.corners[mine].reshape(-1, 2))
        true = (local[mine] * np.array(layout.scale)).reshape(-1, 2)
        shift, turn = _laid(true, lies)
        home = np.array(layout.board.sheet_at(sheet)) * np.array(layout.scale)
        x[CAMERA_UNKNOWNS + 3 * at :][:3] = (*(shift - home), turn)
    return _damped(lambda v: _corner_misses(v, layout, seen), x, layout)


def _vector(turn: Floats) -> Floats:
    """The rotation vector of a rotation matrix."""
    from scipy.spatial.transform import Rotation

    return np.asarray(Rotation.from_matrix(turn).as_rotvec())


def _laid(local: Floats, lies: Floats) -> tuple[Floats, float]:
    """The shift and turn that lay local points best onto others, in the plane."""
    a, b = local - local.mean(axis=0), lies - lies.mean(axis=0)
    turn = math.atan2(float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])), float(np.sum(a * b)))
    c, s = math.cos(turn), math.sin(turn)
    return lies.mean(axis=0) - np.array([[c, -s], [s, c]]) @ local.mean(axis=0), turn


def _corner_misses(x: Floats, layout: Layout, seen: Seen) -> Floats:
    local = layout.board.corners[seen.place].reshape(-1, 2)
    xyz = layout.on_board(x, seen.sheet.repeat(4), local)
    off = (project(layout.camera(x), xyz) - seen.corners.reshape(-1, 2)).ravel()
    return _calmed(off, 2.0)


def _calmed(off: Floats, at: float) -> Floats:
    """Misses beyond `at` count less (Huber's weights, as a change of the miss itself)."""
    size = np.abs(off)
    return np.where(size > at, np.sign(off) * np.sqrt(at * np.maximum(2.0 * size - at, 0.0)), off)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Found:
    local: Floats
    sheet: NDArray[np.int64]
    pixel: Floats
    across: Floats
    blur: Floats
    dark: Floats
    bright: Floats


def _edges(photo: Photo, layout: Layout, seen: Seen, x: Floats) -> _Found:
    """The markers' edges in the photo, looked for where the camera now puts them."""
    corners = layout.board.corners[seen.place]
    after = np.roll(corners, -1, axis=1)
    along = (after - corners)[:, :, None, :] * STATIONS[:, None]
    local = (corners[:, :, None, :] + along).reshape(-1, 2)
    side = (after - corners) / np.linalg.norm(after - corners, axis=-1, keepdims=True)
    out = np.stack([-side[..., 1], side[..., 0]], axis=-1)
    sheet = seen.sheet.repeat(4 * len(STATIONS))
    camera = layout.camera(x)
    middle = project(camera, layout.on_board(x, sheet, local))
    across = _normals(
        lambda p: project(camera, layout.on_board(x, sheet, p)),
        local,
        np.repeat(side.reshape(-1, 2), len(STATIONS), 0),
        np.repeat(out.reshape(-1, 2), len(STATIONS), 0),
    )
    cell = float(np.median(np.linalg.norm(seen.corners[:, 1] - seen.corners[:, 0], axis=1))) / 7.0
    edges = located(photo.light, middle, across, float(np.clip(cell * 0.9, 3.0, 14.0)))
    ok = edges.good & (edges.step > 0)
    return _Found(
        local=local[ok],
        sheet=sheet[ok],
        pixel=(middle + edges.at[:, None] * across)[ok],
        across=across[ok],
        blur=edges.blur[ok],
        dark=edges.before[ok],
        bright=(edges.before + edges.step)[ok],
    )


def _normals(seen: Callable[[Floats], Floats], local: Floats, side: Floats, out: Floats) -> Floats:
    """Unit directions in the photo square to the markers' sides, from black to white."""
    here = seen(local)
    run, away = seen(local + 0.5 * side) - here, seen(local + 0.5 * out) - here
    n = np.stack([-run[:, 1], run[:, 0]], axis=1)
    n *= np.sign(np.sum(n * away, axis=1, keepdims=True))
    return np.asarray(n / np.linalg.norm(n, axis=1, keepdims=True))


def _adjusted(found: _Found, layout: Layout, x: Floats) -> tuple[Floats, Floats, float]:
    """The best answer, its covariance and the rms of the edges [px]."""

    def misses(v: Floats) -> Floats:
        seen = project(layout.camera(v), layout.on_board(v, found.sheet, found.local))
        return np.asarray(np.sum((found.pixel - seen) * found.across, axis=1) - v[OUTWARD])

    sigma = _scatter(misses(x))
    for _ in range(2):

        def weighed(v: Floats, sigma: float = sigma) -> Floats:
            # Edges of one side share the lens's and the paper's faults: a side counts once.
            share = 1.0 / (sigma * math.sqrt(len(STATIONS)))
            return np.append(_calmed(misses(v), 2.5 * sigma) * share, _height_miss(layout, v))

        x = _damped(weighed, x, layout)
        sigma = _scatter(misses(x))
    slope = _slopes(weighed, x)
    normal = slope.T @ slope + np.diag(layout.hold**2)
    off = misses(x)
    kept = np.abs(off) < 4.0 * sigma
    return x, np.asarray(np.linalg.inv(normal)), float(np.sqrt(np.mean(off[kept] ** 2)))


def _scatter(off: Floats) -> float:
    """Standard deviation of misses, strays left aside [px]."""
    return max(0.02, 1.4826 * float(np.median(np.abs(off))))


def _height_miss(layout: Layout, x: Floats) -> float:
    """How far the camera is from its height measured by hand, in standard deviations."""
    if layout.height is None:
        return 0.0
    return float(layout.camera(x).eye[2] - layout.height) / HEIGHT_SD


def _damped(misses: Callable[[Floats], Floats], x: Floats, layout: Layout) -> Floats:
    """Levenberg–Marquardt on misses and on what is held, to no further gain."""

    def cost(v: Floats) -> float:
        return float(np.sum(misses(v) ** 2) + np.sum(((v - layout.aim) * layout.hold) ** 2))

    damping, best = 1e-4, cost(x)
    for _ in range(40):
        slope, off = _slopes(misses, x), misses(x)
        normal = slope.T @ slope + np.diag(layout.hold**2)
        side = -slope.T @ off - layout.hold**2 * (x - layout.aim)
        step = np.linalg.solve(normal + damping * np.diag(np.diag(normal) + 1e-12), side)
        now = cost(x + step)
        gain = best - now
        if gain > 0:
            x, best, damping = x + step, now, damping * 0.2
        else:
            damping *= 8.0
        if damping > 1e8 or 0 <= gain < 1e-7 * best:
            break
    return x


def _slopes(misses: Callable[[Floats], Floats], x: Floats) -> Floats:
    """Shape (n, m): how the misses change with each unknown, by central differences."""
    columns = []
    for i in range(len(x)):
        h = np.zeros(len(x))
        h[i] = 1e-6 * max(1.0, abs(float(x[i])))
        columns.append((misses(x + h) - misses(x - h)) / (2.0 * h[i]))
    return np.stack(columns, axis=1)


def surface(xy: Floats, values: Floats) -> Floats:
    """A quadratic surface through scattered values, strays counted less; shape (6,)."""
    a = terms(xy)
    weight = np.ones(len(values))
    for _ in range(6):
        found = np.linalg.lstsq(a * weight[:, None], values * weight, rcond=None)[0]
        off = np.abs(values - a @ found)
        weight = 1.0 / np.sqrt(1.0 + (off / (2.0 * np.median(off) + 1e-9)) ** 2)
    return np.asarray(found)


def terms(xy: Floats) -> Floats:
    """The six terms of a quadratic surface at points, scaled to decimetres; shape (..., 6)."""
    x, y = xy[..., 0] / 100.0, xy[..., 1] / 100.0
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def with_unknowns(view: Solved, x: Floats) -> Solved:
    """The same view at other unknowns, to see what their doubt does."""
    return replace(view, unknowns=x, camera=view.layout.camera(x))
