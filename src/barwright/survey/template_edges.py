"""Where exactly an edge crosses a line through the photo: to a few hundredths of a pixel.

Grey values along the line are fitted with a blurred step on a slope,
g(u) = a + b u + c Φ((u − at)/blur), by damped Gauss–Newton, all lines at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats

STEP = 0.5
"""Between samples along a line [px]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Edges:
    """Edges found along n lines; shapes (n,).

    Attributes:
        at: along the line from its middle [px].
        blur: standard deviation of the blur [px].
        step: grey value after less grey value before, in linear light.
        before: grey value before the edge.
        sd: one standard deviation of `at` from the grey values' own scatter [px].
        good: whether a single clear step was seen well inside the line.
    """

    at: Floats
    blur: Floats
    step: Floats
    before: Floats
    sd: Floats
    good: NDArray[np.bool_]


def sampled(
    light: NDArray[np.float32], middle: Floats, along: Floats, u: Floats
) -> tuple[Floats, NDArray[np.bool_]]:
    """Grey values along lines through a photo, between pixels by their four neighbours.

    Args:
        light: shape (h, w).
        middle: middles of the lines, shape (n, 2) [px].
        along: unit directions, shape (n, 2).
        u: where to sample, from the middle, shape (m,) [px].

    Returns:
        values (n, m), and whether a line lies wholly in the photo (n,).
    """
    from scipy.ndimage import map_coordinates

    x = middle[:, :1] + along[:, :1] * u
    y = middle[:, 1:] + along[:, 1:] * u
    high, wide = light.shape
    inside = np.all((x >= 0) & (y >= 0) & (x <= wide - 1) & (y <= high - 1), axis=1)
    values = map_coordinates(light, [y.ravel(), x.ravel()], order=1, mode="nearest")
    return np.asarray(values.reshape(x.shape), dtype=float), inside


def located(
    light: NDArray[np.float32],
    middle: Floats,
    along: Floats,
    reach: float,
    *,
    guess_blur: float = 1.0,
) -> Edges:
    """The edge along each line.

    Args:
        light: shape (h, w), linear light.
        middle: where each edge is about, shape (n, 2) [px].
        along: unit directions to look along, shape (n, 2).
        reach: how far either way to look [px], at least 3.
        guess_blur: the blur to start from [px].
    """
    u = np.arange(-reach, reach + 1e-9, STEP)
    values, inside = sampled(light, middle, along, u)
    return _fitted(values, u, _steepest(values, u), guess_blur, inside)


def _steepest(values: Floats, u: Floats) -> Floats:
    slope = np.abs(values[:, 4:] - values[:, :-4])
    return np.asarray(u[2:-2][np.argmax(slope, axis=1)])


def _model(p: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Values (n, m) and their derivatives (n, m, 5) for a, b, c, at, ln blur."""
    from scipy.special import ndtr

    a, b, c, at, log_blur = (p[:, i : i + 1] for i in range(5))
    blur = np.exp(log_blur)
    z = (u - at) / blur
    rise, bell = ndtr(z), np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    one = np.ones_like(z)
    slopes = [one, one * u, rise, -c * bell / blur, -c * bell * z]
    return a + b * u + c * rise, np.stack(slopes, axis=-1)


def _start(values: Floats, u: Floats, at: Floats, blur: float) -> Floats:
    before = np.where(u < at[:, None] - 1.0, values, np.nan)
    after = np.where(u > at[:, None] + 1.0, values, np.nan)
    low = np.where(np.isnan(before).all(axis=1), values[:, 0], _mean(before))
    high = np.where(np.isnan(after).all(axis=1), values[:, -1], _mean(after))
    n = len(values)
    return np.stack([low, np.zeros(n), high - low, at, np.full(n, np.log(blur))], axis=1)


def _mean(values: Floats) -> Floats:
    known = ~np.isnan(values)
    return np.asarray(np.where(known, values, 0.0).sum(axis=1) / np.maximum(known.sum(axis=1), 1))


def _fitted(values: Floats, u: Floats, at: Floats, blur: float, inside: NDArray[np.bool_]) -> Edges:
    p = _start(values, u, at, blur)
    spread = np.maximum(np.ptp(values, axis=1), 1e-6)
    # Slight pull of the slope to nothing and of the blur to its guess, as fractions of the step.
    pull = np.stack(
        [0 * spread, (spread * 0 + 1.0) * u[-1] ** 2, 0 * spread, 0 * spread, spread**2 * 0.05],
        axis=1,
    )
    aim = np.array([0.0, 0.0, 0.0, 0.0, np.log(blur)])
    for _ in range(9):
        off, slopes = _model(p, u)
        off = values - off
        normal = np.einsum("nmi,nmj->nij", slopes, slopes)
        normal[:, range(5), range(5)] += pull + 1e-9 + 0.01 * np.diagonal(normal, axis1=1, axis2=2)
        side = np.einsum("nmi,nm->ni", slopes, off) - pull * (p - aim)
        move = np.linalg.solve(normal, side[..., None])[..., 0]
        p = p + np.clip(move, [-1, -1, -2, -1.5, -0.4], [1, 1, 2, 1.5, 0.4])
        p[:, 3] = np.clip(p[:, 3], u[0], u[-1])
        p[:, 4] = np.clip(p[:, 4], np.log(0.25), np.log(u[-1]))
    return _judged(values, u, p, inside)


def _judged(values: Floats, u: Floats, p: Floats, inside: NDArray[np.bool_]) -> Edges:
    off, slopes = _model(p, u)
    off = values - off
    rms = np.sqrt(np.mean(off * off, axis=1))
    normal = np.einsum("nmi,nmj->nij", slopes, slopes)
    normal[:, range(5), range(5)] += 1e-9
    # Neighbouring samples share pixels: count each pixel's scatter once.
    sd = np.sqrt(np.linalg.inv(normal)[:, 3, 3] / STEP) * np.maximum(rms, 0.002)
    step, blur = p[:, 2], np.exp(p[:, 4])
    room = u[-1] - np.abs(p[:, 3]) > np.maximum(1.0, 0.8 * blur)
    clear = (np.abs(step) > 0.03) & (rms < 0.12 * np.abs(step)) & room & inside & (sd < 0.5)
    return Edges(at=p[:, 3], blur=blur, step=step, before=p[:, 0], sd=sd, good=clear)
