"""What the readings leave open about the whole, and where it is put by convention.

A survey of tapes alone knows its shape and nothing of where it stands: six motions are free
(the rank defect). What is missing is settled with the least constraints:

* *place*, by convention: the first mark at zero along every free direction; the next marks
  straight ahead of it (same y, then same z), the next level with it (same z), as far as turns
  are free; then, of mirror images no reading can tell apart, the one with the first mark that
  stands off the first mark's cross plane forward of it, off its long plane to the left, off
  its level above.
* *doubt*, by inner constraints: the covariance is that of the free network (the
  pseudo-inverse), so no mark is called certain only because it was put at zero.

Source: free networks and inner constraints, Meissl 1962; S-transformations, Baarda 1973 (from
memory).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats, rotation
from barwright.survey.adjust import Block, Linearised, covariance_of
from barwright.survey.equations import Network, linearise
from barwright.survey.motion import TWISTS, fitted, free_twists, twists

Anchor = tuple[int, int]
"""A mark and an axis held by convention."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Datum:
    """What is free and what holds it.

    Attributes:
        free: (6, k) base of the free twists.
        missing: their names, such as "forward" or "about z".
        anchors: the marks' coordinates held instead.
        mirrored: the mirror image fits as well, so its side was chosen by convention.
    """

    free: Floats
    missing: tuple[str, ...]
    anchors: tuple[Anchor, ...]
    mirrored: bool = False

    @property
    def defect(self) -> int:
        """The rank defect."""
        return int(self.free.shape[1])


def names_of_free(free: Floats) -> tuple[str, ...]:
    """Names for the free twists: pure slides, then turns about lines along an axis.

    A turn about an upright line through one known mark is a turn "about z" wherever the line
    stands; a free twist that is neither is called a screw motion.
    """
    slides = [a for a in range(3) if np.linalg.norm(free[a]) > 1.0 - 1e-6]
    rest = np.array(free)
    rest[slides] = 0.0
    u, s, _ = np.linalg.svd(rest[3:], full_matrices=False)
    span = u[:, s > 1e-4]
    turns = [a for a in range(3) if np.linalg.norm(span[a]) > 1.0 - 1e-6]
    names = [*(TWISTS[a] for a in slides), *(TWISTS[3 + a] for a in turns)]
    return (*names, *["a screw motion"] * (free.shape[1] - len(names)))


def _guides(x: Floats, plane: list[int]) -> tuple[int, int]:
    """The first mark well off the first one, seen along some axes, and one well off their line."""
    y = (x - x[0])[:, plane]
    far = np.linalg.norm(y, axis=1)
    ahead = int(np.argmax(far > 0.1 * far.max()))
    along = y[ahead] / max(float(far[ahead]), 1e-12)
    off = np.linalg.norm(y - np.outer(y @ along, along), axis=1)
    return ahead, int(np.argmax(off > 0.1 * off.max()))


def _turned(x: Floats, missing: tuple[str, ...]) -> Floats:
    """The marks turned to the convention, where the turn is free about any line of its axis."""
    about = [axis for axis in range(3) if TWISTS[3 + axis] in missing]
    loose = {axis for axis in range(3) if TWISTS[axis] in missing}
    if len(about) == 3 and len(loose) == 3:
        ahead, aside = _guides(x, [0, 1, 2])
        u = x[ahead] - x[0]
        v = x[aside] - x[0]
        w = np.cross(u, v)
        if np.linalg.norm(w) < 1e-9 * max(float(u @ u), 1e-300):
            return x
        frame = np.array((u, np.cross(w, u), w))
        return np.asarray((x - x[0]) @ (frame / np.linalg.norm(frame, axis=1)[:, None]).T + x[0])
    if len(about) == 1 and loose >= {0, 1, 2} - set(about):
        b, c = ((1, 2), (2, 0), (0, 1))[about[0]]
        ahead, _ = _guides(x, [b, c])
        u = x[ahead] - x[0]
        angle = -np.arctan2(u[c], u[b])
        return np.asarray((x - x[0]) @ rotation(np.eye(3)[about[0]], float(angle)).T + x[0])
    return x


def _candidates(x: Floats, missing: tuple[str, ...]) -> list[Anchor]:
    about = [axis for axis in range(3) if TWISTS[3 + axis] in missing]
    plane = [a for a in range(3) if a not in about] if len(about) == 1 else [0, 1, 2]
    guides = _guides(x, plane) if about else ()
    first = [(0, axis) for axis in range(3)]
    order = [*guides, *(i for i in range(1, len(x)) if i not in guides)]
    later = [(i, axis) for i in order for axis in (1, 2) if i]
    return first + later + [(i, 0) for i in order if i]


def _anchors(x: Floats, free: Floats, missing: tuple[str, ...]) -> tuple[Anchor, ...]:
    """As many coordinates as there are free twists, the first that hold them well."""
    g = (twists(x) @ free).reshape(len(x), 3, -1)
    chosen: list[Anchor] = []
    taken = np.zeros((0, free.shape[1]))
    for least in (0.2, 0.02, 0.0005):
        for i, axis in _candidates(x, missing):
            if len(chosen) == free.shape[1]:
                return tuple(chosen)
            row = g[i, axis] - (g[0, axis] if i else 0.0)
            rest = row - taken.T @ (taken @ row)
            size = float(np.linalg.norm(rest))
            if size > least:
                taken = np.vstack((taken, rest / size))
                chosen.append((i, axis))
    return tuple(chosen)


def _gap(anchors: tuple[Anchor, ...], x: Floats) -> Linearised:
    """How far the anchored coordinates are from where the convention wants them."""
    residual = np.array([x[i, a] - (x[0, a] if i else 0.0) for i, a in anchors])
    columns = np.array([[3 * i + a, a if i else 3 * i + a] for i, a in anchors], dtype=np.intp)
    values = np.array([[1.0, -1.0] if i else [0.5, 0.5] for i, _ in anchors])
    # a first mark's row names its column twice: halves that add up to one
    return Linearised(residual=residual, blocks=(Block(columns=columns, values=values),))


def _sides(x: Floats) -> tuple[float, ...]:
    """For each axis, the sign of the first mark that stands off the first mark's plane."""
    y = x - x[0]
    least = 0.01 * max(float(np.abs(y).max()), 1e-9)
    off = [y[np.abs(y[:, a]) > least, a] for a in range(3)]
    return tuple(float(np.sign(o[0])) if len(o) else 0.0 for o in off)


def _best_side(network: Network, x: Floats, slides: tuple[str, ...]) -> tuple[Floats, bool]:
    """Of the mirror images that fit equally, the one the convention wants."""
    about = np.array([x[0, a] if TWISTS[a] in slides else 0.0 for a in range(3)])
    every = np.array(list(itertools.product((1.0, -1.0), repeat=3)))
    images = (x - about) * every[:, None] + about
    costs = np.sum(linearise(network, images).residual ** 2, axis=1)
    alike = np.abs(costs - costs[0]) <= 1e-6 * (1.0 + costs[0])
    best, mirrored = x, False
    for signs, image in zip(every[alike][1:], images[alike][1:], strict=True):
        flat = float(np.abs(image - x).max()) < 1e-6
        mirrored |= bool(np.prod(signs) < 0.0) and not flat
        if _sides(image) > _sides(best):
            best = image
    return best, mirrored and not _turns_over(x, slides)


def _turns_over(x: Floats, free: tuple[str, ...]) -> bool:
    """Whether a mirror image is the same shape turned over: all in a plane, and free to turn."""
    spread = np.linalg.svd(x - x.mean(axis=0), compute_uv=False)
    turns = sum(name.startswith("about") for name in free)
    rank = int((spread > 1e-6 * spread[0]).sum())
    return (rank == 2 and turns == 3) or (rank == 1 and turns >= 2)


def placed(network: Network, x: Floats, at: Linearised) -> tuple[Floats, Datum]:
    """The adjusted marks put where the convention wants them, and what was free.

    Args:
        network: the readings.
        x: (n, 3) adjusted marks, anywhere the readings allow.
        at: the readings linearised there.
    """

    def free_at(now: Floats) -> Floats:
        return free_twists(linearise(network, now), now)

    free = free_twists(at, x)
    missing = names_of_free(free)
    if free.shape[1]:
        x = _turned(x, missing)
        slides = [axis for axis in range(3) if TWISTS[axis] in missing]
        x = x - np.where(np.isin(np.arange(3), slides), x[0], 0.0)
        free = free_at(x)
        anchors = _anchors(x, free, missing)
        x, _ = fitted(x, lambda v: _gap(anchors, v.reshape(-1, 3)), free_at)
        free = free_at(x)
    best, mirrored = _best_side(network, x, missing)
    if best is not x:
        x, free = best, free_at(best)
    return x, Datum(
        free=free, missing=missing, anchors=_anchors(x, free, missing), mirrored=mirrored
    )


def held(at: Linearised, datum: Datum, x: Floats, wanted: Floats) -> Linearised:
    """The readings with the anchored coordinates held at their wanted places.

    Exactly as many as are free, so they pull no reading out of its place.
    """
    if not datum.anchors:
        return at
    columns = np.array([[3 * i + a] for i, a in datum.anchors], dtype=np.intp)
    off = x.ravel()[columns[:, 0]] - wanted.ravel()[columns[:, 0]]
    block = Block(columns=columns, values=np.ones((len(columns), 1)))
    return Linearised(residual=np.concatenate((at.residual, off)), blocks=(*at.blocks, block))


def inner_covariance(normal: Floats, free: Floats, x: Floats) -> Floats:
    """The pseudo-inverse of the readings' normal matrix, whose null space is the free twists.

    N + s GGᵀ is regular for orthonormal G, and its inverse is N⁺ + GGᵀ/s.

    Raises:
        numpy.linalg.LinAlgError: more than the free twists is undetermined.
    """
    if not free.shape[1]:
        return covariance_of(normal)
    g = np.linalg.qr(twists(x) @ free)[0]
    s = float(np.median(np.diagonal(normal)))
    inverse = covariance_of(normal + s * (g @ g.T)) - (g @ g.T) / s
    return np.asarray(0.5 * (inverse + inverse.T))
