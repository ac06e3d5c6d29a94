"""Where the card ends and the board begins, along lines across its edge.

The board's print is known, so the edge is found even across markers: for every place the edge
could be, the grey values along the line are foretold (card up to there, then the print in the
light measured round it, all blurred as the markers' own edges are) and the place that foretells
them best is taken. Blur across the line is put on the print alone, blur along it on both: exact
where the edge is straight over a blur's width.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.template_bare import INK, UNKNOWN, Bare, shows
from barwright.survey.template_camera import unproject
from barwright.survey.template_edges import STEP, sampled
from barwright.survey.template_photo import Photo
from barwright.survey.template_view import terms

FINE = 0.25
"""Between the places an edge could be [px]; the best is then refined between them."""

CHUNK = 300
"""Lines worked on at once, to bound memory."""

_ACROSS = np.array([-1.8, -1.1, -0.5, 0.0, 0.5, 1.1, 1.8])
_SHARE = np.exp(-0.5 * _ACROSS**2) / np.exp(-0.5 * _ACROSS**2).sum()

LIGHT_HELD = 0.15
"""How loosely the light beside the edge is held to that measured round it, as a ratio."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Border:
    """Edges found along n lines; shapes (n,).

    Attributes:
        at: along the line from its middle [px].
        sd: one standard deviation of it [px].
        light: of the board beside the edge, over that expected: below 1 in a shadow.
        card: linear light of the card.
        good: whether one clear edge was seen well inside the line.
    """

    at: Floats
    sd: Floats
    light: Floats
    card: Floats
    good: NDArray[np.bool_]


def bordered(photo: Photo, it: Bare, middle: Floats, along: Floats, reach: float) -> Border:
    """The card's edge along each line, the card lying at the line's beginning.

    Args:
        photo: the photo.
        it: the bare board.
        middle: middles of the lines, shape (n, 2) [px].
        along: unit directions from the card outward, shape (n, 2).
        reach: how far either way to look [px].
    """
    parts = [
        _part(photo, it, middle[i : i + CHUNK], along[i : i + CHUNK], reach)
        for i in range(0, len(middle), CHUNK)
    ]
    return Border(
        **{
            k: np.concatenate([getattr(p, k) for p in parts])
            for k in ("at", "sd", "light", "card", "good")
        }
    )


def _part(photo: Photo, it: Bare, middle: Floats, along: Floats, reach: float) -> Border:
    blur = it.view.blur
    u = np.arange(-reach, reach + 1e-9, STEP)
    fine = np.arange(-reach - 3.0 * blur, reach + 3.0 * blur, FINE)
    values, inside = sampled(photo.light, middle, along, u)
    print_, known = _print(it, middle, along, fine)
    spread = np.exp(-0.5 * ((u[:, None] - fine) / blur) ** 2)
    spread /= spread.sum(axis=1, keepdims=True)
    # Board beyond place k, and card before it, as seen at each sample: (n, m, k) and (m, k).
    board = np.cumsum((spread * print_[:, None, :])[..., ::-1], axis=-1)[..., ::-1]
    card = np.cumsum(spread, axis=1) - spread
    cost, odd, level, light = _costs(values, card, board)
    return _best(
        fine,
        cost,
        odd,
        level,
        light,
        samples=len(u),
        known=known & inside[:, None],
        print_=print_,
        blur=blur,
        reach=reach,
    )


def _print(
    it: Bare, middle: Floats, along: Floats, fine: Floats
) -> tuple[Floats, NDArray[np.bool_]]:
    """Light of the bare board along the lines, blurred across them, and where it is known."""
    side = np.stack([-along[:, 1], along[:, 0]], axis=1)
    camera = it.view.camera
    line = unproject(camera, middle[:, None, :] + fine[:, None] * along[:, None, :])
    # Over a blur's width the way from photo to board is straight.
    aside = unproject(camera, middle + side) - unproject(camera, middle)
    place = line[:, :, None, :] + (it.view.blur * _ACROSS)[:, None] * aside[:, None, None, :]
    shade = shows(it, place)
    t = terms(line)
    paper, ink = t @ it.view.paper, t @ it.view.ink
    inked = (shade == INK) @ _SHARE
    return paper + inked * (ink - paper), np.all(shade != UNKNOWN, axis=-1)


def _costs(values: Floats, card: Floats, board: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Squared misses (n, k) and what odd light costs at the best card level and light; those."""
    aa = np.sum(card * card, axis=0)
    ab = np.einsum("mk,nmk->nk", card, board)
    bb = np.einsum("nmk,nmk->nk", board, board)
    ag, bg = values @ card, np.einsum("nm,nmk->nk", values, board)
    # One more observation: the light is as expected, to within LIGHT_HELD of a few samples.
    mean = np.mean(board[:, -1, :1], axis=1, keepdims=True)
    hold = (0.02 * np.maximum(mean, 0.05) / LIGHT_HELD) ** 2 * card.shape[0]
    bb_, bg_, aa_ = bb + hold, bg + hold, aa + 1e-6
    det = aa_ * bb_ - ab * ab
    level = (ag * bb_ - bg_ * ab) / det
    light = (bg_ * aa_ - ab * ag) / det
    gg = np.sum(values * values, axis=1, keepdims=True)
    cost = gg - 2 * level * ag - 2 * light * bg + level**2 * aa + 2 * level * light * ab
    cost = np.maximum(cost + light**2 * bb, 0.0)
    return cost, hold * (light - 1.0) ** 2, level, light


def _best(
    fine: Floats,
    misses: Floats,
    odd: Floats,
    level: Floats,
    light: Floats,
    *,
    samples: int,
    known: NDArray[np.bool_],
    print_: Floats,
    blur: float,
    reach: float,
) -> Border:
    rows, cost = np.arange(len(misses)), misses + odd
    allowed = np.abs(fine) <= reach - 1.0
    k = np.argmin(np.where(allowed, cost, np.inf), axis=1)
    k = np.clip(k, 1, len(fine) - 2)
    low, mid, high = cost[rows, k - 1], cost[rows, k], cost[rows, k + 1]
    bend = np.maximum(low - 2.0 * mid + high, 1e-12)
    # The board begins with place k itself, so the edge lies half a step before it.
    at = fine[k] + FINE * np.clip(0.5 * (low - high) / bend, -1.0, 1.0) - 0.5 * FINE
    rms = np.sqrt(misses[rows, k] / samples)
    sd = np.sqrt(np.maximum(rms, 0.002) ** 2 / (0.5 * bend / FINE**2) / STEP)
    beyond = np.minimum(k + round(1.0 * blur / FINE), len(fine) - 1)
    step = np.abs(light[rows, k] * print_[rows, beyond] - level[rows, k])
    near = (fine >= at[:, None] - blur) & (fine <= at[:, None] + 3.0 * blur)
    clear = np.all(known | ~near, axis=1)
    room = np.abs(at) < reach - 1.0 - 0.5 * blur
    seen = (step > 0.03) & (sd < 0.3) & (rms < 0.2 * np.maximum(step, 0.1)) & clear & room
    return Border(at=at, sd=sd, light=light[rows, k], card=level[rows, k], good=seen)
