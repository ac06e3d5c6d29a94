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

JUMP = 0.15
"""How far an edge strays from one line to the next [px], one standard deviation."""

PIXELS = 5.0
"""What a line's samples are worth, next to each other and blurred as they are."""

FAR_OFF = 12.0
"""Beyond so many times the noise a place is just wrong, however wrong."""

NOISE_LEAST = 0.004
"""Of linear light."""

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
        _weighed(photo, it, middle[i : i + CHUNK], along[i : i + CHUNK], reach)
        for i in range(0, len(middle), CHUNK)
    ]
    whole = _Weighed(
        **{
            k: np.concatenate([getattr(p, k) for p in parts])
            for k in ("misses", "odd", "level", "light", "print_", "known")
        },
        fine=parts[0].fine,
        samples=parts[0].samples,
    )
    return _best(whole, it.view.blur, reach)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Weighed:
    """Every place k an edge could be on every line n, weighed; shapes (n, k), fine (k,)."""

    misses: Floats
    odd: Floats
    level: Floats
    light: Floats
    print_: Floats
    known: NDArray[np.bool_]
    fine: Floats
    samples: int


def _weighed(photo: Photo, it: Bare, middle: Floats, along: Floats, reach: float) -> _Weighed:
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
    misses, odd, level, light = _costs(values, card, board)
    return _Weighed(
        misses=misses,
        odd=odd,
        level=level,
        light=light,
        print_=print_,
        known=known & inside[:, None],
        fine=fine,
        samples=len(u),
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


def _best(it: _Weighed, blur: float, reach: float) -> Border:
    fine, cost, rows = it.fine, it.misses + it.odd, np.arange(len(it.misses))
    k = _smoothest(cost / it.samples, np.abs(fine) <= reach - 1.0)
    k = np.clip(k, 1, len(fine) - 2)
    low, mid, high = cost[rows, k - 1], cost[rows, k], cost[rows, k + 1]
    bend = np.maximum(low - 2.0 * mid + high, 1e-12)
    # The board begins with place k itself, so the edge lies half a step before it.
    at = fine[k] + FINE * np.clip(0.5 * (low - high) / bend, -1.0, 1.0) - 0.5 * FINE
    rms = np.sqrt(it.misses[rows, k] / it.samples)
    sd = np.sqrt(np.maximum(rms, 0.002) ** 2 / (0.5 * bend / FINE**2) / STEP)
    beyond = np.minimum(k + round(1.0 * blur / FINE), len(fine) - 1)
    light, card = it.light[rows, k], it.level[rows, k]
    step = np.abs(light * it.print_[rows, beyond] - card)
    near = (fine >= at[:, None] - blur) & (fine <= at[:, None] + 3.0 * blur)
    clear = np.all(it.known | ~near, axis=1)
    room = np.abs(at) < reach - 1.0 - 0.5 * blur
    seen = (step > 0.03) & (sd < 0.3) & (rms < 0.2 * np.maximum(step, 0.1)) & clear & room
    return Border(at=at, sd=sd, light=light, card=card, good=seen)


def _smoothest(cost: Floats, allowed: NDArray[np.bool_]) -> NDArray[np.int64]:
    """The place on every line that foretells best, without jumps from line to line (Viterbi).

    Beside a marker's own edge two places may foretell about equally well; the neighbours decide.
    """
    noise = np.maximum(np.min(cost, axis=1, keepdims=True), NOISE_LEAST**2)
    price = np.minimum(cost / noise - 1.0, FAR_OFF) * PIXELS
    price = np.where(allowed, price, np.inf)
    apart = (np.arange(cost.shape[1])[:, None] - np.arange(cost.shape[1])) * FINE
    jump = 0.5 * (apart / JUMP) ** 2
    back = np.zeros(cost.shape, dtype=np.int64)
    best = price[0]
    for i in range(1, len(cost)):
        ways = best[None, :] + jump
        back[i] = np.argmin(ways, axis=1)
        best = price[i] + ways[np.arange(len(best)), back[i]]
    k = np.zeros(len(cost), dtype=np.int64)
    k[-1] = int(np.argmin(best))
    for i in range(len(cost) - 1, 0, -1):
        k[i - 1] = back[i, k[i]]
    return k
