"""Which part of the board the template hides: the photo against the board that should be there.

The photo is laid flat, and every place is held against what the bare board would show there
(white paper or ink, at the light measured beside the markers). Places near a marker's own edges
cannot tell and take their neighbours' answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.job.errors import BadInput, Fault
from barwright.survey.template_bare import INK, PAPER, UNKNOWN, Bare, shows
from barwright.survey.template_camera import project
from barwright.survey.template_photo import Photo, rims
from barwright.survey.template_view import Solved, terms

LEAST_CONTRAST = 0.12
"""Between template and board, of the step from ink to paper; below it no edge is to be trusted."""

CARD_SHARE = 0.72
"""Of the card's own contrast that a place must show to be card and not shadow."""

LEAST_AREA = 400.0
"""Of a template [mm²]."""

LEAST_SEEN = 0.5
"""Of bare paper in a hole [mm²]: a pen mark over ink shows none."""

LEAST_HOLE = 7.0
"""Of a hole [mm²]: 3 mm across."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Rough:
    """The template's edges to about a millimetre, as seen on the board's face.

    Attributes:
        outer: rim of the template, shape (n, 2) [px of the photo], in order round it.
        holes: rims of its holes, likewise; bare paper is seen in each.
        spots: middles of what may be holes or dark marks, only ink seen in them [mm].
        contrast: of the template against paper, of the step from ink to paper.
        others: how many other pieces lie on the board.
    """

    outer: Floats
    holes: tuple[Floats, ...]
    spots: tuple[tuple[float, float], ...]
    contrast: float
    others: int


@dataclass(frozen=True, kw_only=True, eq=False)
class Flat:
    """The board laid flat as a grid of places.

    Attributes:
        start: x and y of the first place [mm].
        pitch: between places [mm].
        should: what the bare board shows: 1 paper, 0 ink, −1 cannot tell.
        places: their x, y, shape (rows, columns, 2) [mm].
    """

    start: tuple[float, float]
    pitch: float
    should: NDArray[np.int8]
    places: Floats


def rough(photo: Photo, it: Bare, name: str) -> Rough:
    """Where the template lies.

    Raises:
        BadInput: nothing lies on the board, it hardly differs from it, or it reaches off the field
            of markers or out of the photo.
    """
    view, flat = it.view, laid_flat(it)
    hidden, bare_paper, contrast = _hidden(photo, view, flat, name)
    pieces = _pieces(hidden, flat.pitch)
    if not pieces:
        raise BadInput(_nothing_on(name, contrast))
    mask = pieces[0]
    edge = np.concatenate([mask[0], mask[-1], mask[:, 0], mask[:, -1]])
    largest = max(rims(mask), key=len)
    holes, spots = _openings(mask, bare_paper, flat)
    if edge.any() or _off_photo(photo, view, _mm(flat, largest)):
        raise BadInput(_reaches_off(name))
    return Rough(
        outer=project_flat(view, _mm(flat, largest)),
        holes=tuple(project_flat(view, h) for h in holes),
        spots=spots,
        contrast=contrast,
        others=sum(bool(p.sum() > 0.1 * mask.sum()) for p in pieces[1:]),
    )


def project_flat(view: Solved, xy: Floats) -> Floats:
    """Points on the board's face in the photo."""
    return project(view.camera, np.concatenate([xy, np.zeros((len(xy), 1))], axis=1))


def laid_flat(it: Bare) -> Flat:
    """What the bare board shows, place by place, over the field of markers and a little more."""
    view = it.view
    pitch = float(np.clip(view.pixel, 0.2, 0.6))
    left, low, right, high = view.layout.board.field()
    # The field and the blank paper round it, short of the paper's own edge.
    sx, sy = view.layout.scale
    rim = 4.0
    x = np.arange((left - rim) * sx, (right + rim) * sx, pitch)
    y = np.arange((low - 3.0) * sy, (high + rim) * sy, pitch)
    places = np.stack(np.meshgrid(x, y), axis=-1)
    should = shows(it, places, 0.35 + 1.5 * view.blur * view.pixel)
    return Flat(start=(float(x[0]), float(y[0])), pitch=pitch, should=should, places=places)


def departures(photo: Photo, view: Solved, flat: Flat) -> Floats:
    """How far every place is from what the bare board shows, of the step from ink to paper."""
    from scipy.ndimage import gaussian_filter, map_coordinates

    places = flat.places
    xyz = np.concatenate([places, np.zeros((*places.shape[:2], 1))], axis=-1)
    pixel = project(view.camera, xyz)
    seen = map_coordinates(photo.light, [pixel[..., 1], pixel[..., 0]], order=1, mode="nearest")
    seen = gaussian_filter(seen, 0.8)
    t = terms(places)
    paper, ink = t @ view.paper, t @ view.ink
    expected = np.where(flat.should == INK, ink, paper)
    return np.asarray(np.abs(seen - expected) / np.maximum(paper - ink, 0.02))


def _hidden(
    photo: Photo, view: Solved, flat: Flat, name: str
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], float]:
    """Whether each place is hidden, whether bare paper is seen there, the contrast on paper."""
    off = departures(photo, view, flat)
    paper, ink = flat.should == PAPER, flat.should == INK
    limit = _limit(off[paper])
    card = off[paper & (off > limit)]
    contrast = float(np.median(card)) if card.size > 20 else 0.0
    if contrast < LEAST_CONTRAST:
        raise BadInput(_nothing_on(name, contrast))
    # A shadow lies between paper and card: keep to what is nearer the card.
    limit = max(limit, CARD_SHARE * contrast)
    # A card as dark as ink says nothing where ink should be.
    known = (flat.should != UNKNOWN) if contrast < 0.85 else paper
    on_ink = max(0.1, 0.5 * abs(1.0 - contrast))
    said = np.where(ink, off > on_ink, off > limit)
    return _filled(said, known), paper & ~said, contrast


def _limit(off: Floats) -> float:
    """The departure that parts paper from template best (Otsu, 1979, from memory)."""
    counts, bounds = np.histogram(np.minimum(off, 1.2), bins=120, range=(0.0, 1.2))
    middle = 0.5 * (bounds[1:] + bounds[:-1])
    low = np.cumsum(counts).astype(float)
    total, weight = low[-1], np.cumsum(counts * middle)
    parts = low * (total - low)
    apart = (weight[-1] * low / total - weight) ** 2 / np.maximum(parts, 1.0)
    best = np.where(parts > 0, apart, 0.0)
    flat_top = np.flatnonzero(best >= best.max() * 0.999)
    return max(0.07, float(np.mean(middle[flat_top])))


def _filled(said: NDArray[np.bool_], known: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Places that cannot tell take the answer of the nearest that can."""
    from scipy.ndimage import distance_transform_edt

    near = distance_transform_edt(~known, return_distances=False, return_indices=True)
    return np.asarray(said[near[0], near[1]])


def _pieces(hidden: NDArray[np.bool_], pitch: float) -> list[NDArray[np.bool_]]:
    """The pieces on the board, largest first, specks and threads taken off."""
    from scipy.ndimage import binary_closing, binary_opening, label

    reach = max(1, round(0.9 / pitch))
    y, x = np.ogrid[-reach : reach + 1, -reach : reach + 1]
    disc = x * x + y * y <= reach * reach
    padded = np.pad(hidden, reach, mode="edge")
    clean = binary_closing(binary_opening(padded, disc), disc)[reach:-reach, reach:-reach]
    numbers, count = label(clean)
    areas = np.bincount(numbers.ravel(), minlength=count + 1)[1:] * pitch**2
    order = np.argsort(-areas, kind="stable")
    return [numbers == i + 1 for i in order if areas[i] > LEAST_AREA]


def _mm(flat: Flat, rim: Floats) -> Floats:
    return np.array(flat.start) + flat.pitch * rim


def _openings(
    mask: NDArray[np.bool_], bare_paper: NDArray[np.bool_], flat: Flat
) -> tuple[list[Floats], tuple[tuple[float, float], ...]]:
    """Rims of the holes [mm], and middles of spots that may as well be dark marks on the card."""
    from scipy.ndimage import label

    numbers, count = label(~mask)
    outside = set(
        np.unique(np.concatenate([numbers[[0, -1]].ravel(), numbers[:, [0, -1]].ravel()]))
    )
    holes: list[Floats] = []
    spots: list[tuple[float, float]] = []
    for i in range(1, count + 1):
        hole = numbers == i
        if i in outside or hole.sum() * flat.pitch**2 < LEAST_HOLE:
            continue
        if (bare_paper & hole).sum() * flat.pitch**2 > LEAST_SEEN:
            holes.append(_mm(flat, max(rims(hole), key=len)))
        else:
            x, y = flat.places[hole].mean(axis=0)
            spots.append((float(x), float(y)))
    return holes, tuple(spots)


def _off_photo(photo: Photo, view: Solved, rim: Floats) -> bool:
    pixel = project_flat(view, rim)
    return bool(np.any(pixel < 4) or np.any(pixel > np.array(photo.size) - 5))


def _nothing_on(name: str, contrast: float) -> Fault:
    return Fault(
        file=name,
        entry="template",
        read=f"nothing that stands out from the board (contrast {100 * contrast:.0f} %)",
        expected=f"a template at least {100 * LEAST_CONTRAST:.0f} % darker than the paper",
        do="lay brown or dark card on the board, not white; blacken a white card with a marker pen "
        "along its edges; light it evenly",
    )


def _reaches_off(name: str) -> Fault:
    return Fault(
        file=name,
        entry="template",
        read="a template that reaches off the field of markers or out of the photo",
        expected="the whole template with markers showing all round it",
        do="move it to the middle of the board and take in the whole board, or print a larger one "
        "(a3, or several sheets such as a4-2x2)",
    )
