"""Solids as rows of convex hulls, those alike worked out together.

An elbow is taken as short rods that cross its arc, half of the sagitta inside it and half outside.
A block is taken as a prism where its corners make one, else by Qhull.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain, pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from barwright.buildup.rows import (
    Hull,
    Hulls,
    joined,
    owned,
    prisms,
    rods,
    stacked,
    staved,
    whose,
)
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.path import Arc
from barwright.geometry.solids import Block, Body, Elbow, Rod
from barwright.geometry.vectors import Floats, rotation

CHORD = math.radians(7.5)
"""An elbow is taken in rods of at most this bend: within R (1 - cos 3.75°)/2 = 0.0011 R."""
FLAT = 0.02
"""A guessed face counts as one when all corners lie behind it within this [mm]."""
LEVEL = 1e-6
"""Upper corners of a prism that stand this evenly over the lower ones are one shift off [mm]."""


Run: TypeAlias = tuple[ArrayLike, ArrayLike, float]
"""A rod: where it starts and ends [mm], and its radius."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Pieces:
    """What one owner is made of, not yet worked out as hulls.

    Attributes:
        runs: round bars.
        straight: prisms alike in number of corners, shape (n, 2m, 3) each [mm]: see `prisms`.
        askew: the same, whose upper faces may lie askew.
        staves: of tubes' walls, shape (n, 8, 3) each [mm]: see `staved`.
        blocks: corners of any convex blocks, shape (v, 3) each [mm].
    """

    runs: Sequence[Run] = ()
    straight: Sequence[Floats] = ()
    askew: Sequence[Floats] = ()
    staves: Sequence[Floats] = ()
    blocks: Sequence[Floats] = ()


def hulls_of(bodies: Iterable[Body]) -> Hulls:
    """All solids of some bodies; `owner` counts the bodies.

    >>> post = Body(name="post", solids=(Rod(start=(0, 0, 0), end=(0, 0, 9), radius=2.0),))
    >>> hulls_of([post]).low.tolist()
    [[-2.0, -2.0, 0.0]]
    """
    return made_of([pieces_of(b) for b in bodies])


def pieces_of(body: Body) -> Pieces:
    """A body's rods and blocks."""
    return Pieces(
        runs=[r for s in body.solids if not isinstance(s, Block) for r in _runs(s)],
        blocks=[
            np.fromiter(chain.from_iterable(s.corners), float).reshape(-1, 3)
            for s in body.solids
            if isinstance(s, Block)
        ],
    )


def made_of(many: Sequence[Pieces]) -> Hulls:
    """Everything worked out at once, what is alike together; `owner` counts the pieces given."""
    rods_ = [(k, run) for k, p in enumerate(many) for run in p.runs]
    found = [whose(rods_of([run for _, run in rods_]), [k for k, _ in rods_])] if rods_ else []
    for name, made in _KINDS.items():
        rows = [(k, c) for k, p in enumerate(many) for c in getattr(p, name)]
        found += [whose(made(np.concatenate(some)), owners) for some, owners in _alike(rows)]
    found += _blocks([(k, c[None]) for k, p in enumerate(many) for c in p.blocks])
    if not found:
        return stacked([])
    whole = joined(*found)
    return whole.take(np.argsort(whole.owner, kind="stable"))


_KINDS: Mapping[str, Callable[[Floats], Hulls]] = {
    "straight": prisms,
    "askew": partial(prisms, straight=False),
    "staves": staved,
}


def _alike(rows: Sequence[tuple[int, Floats]]) -> list[tuple[list[Floats], Ints]]:
    """Blocks with as many corners as one another together, and whose each is."""
    by_size: dict[int, list[tuple[int, Floats]]] = {}
    for k, corners in rows:
        by_size.setdefault(corners.shape[1], []).append((k, corners))
    return [
        ([c for _, c in some], np.repeat([k for k, _ in some], [len(c) for _, c in some]))
        for some in by_size.values()
    ]


def _blocks(rows: Sequence[tuple[int, Floats]]) -> list[Hulls]:
    """Blocks of any kind: as prisms where they are, else by their hulls."""
    found, odd = list[Hulls](), list[tuple[int, Floats]]()
    for some, owners in _alike(rows):
        corners = np.concatenate(some)
        left = np.ones(len(corners), dtype=bool)
        if corners.shape[1] >= 6 and corners.shape[1] % 2 == 0:
            even = _even(corners)
            for which, straight in ((np.flatnonzero(even), True), (np.flatnonzero(~even), False)):
                guess = prisms(corners[which], straight=straight)
                good = _holds(guess)
                found.append(whose(guess.take(good), owners[which[good]]))
                left[which[good]] = False
        odd += zip(owners[left].tolist(), corners[left], strict=True)
    if odd:
        found.append(whose(stacked([_any_hull(c) for _, c in odd]), [k for k, _ in odd]))
    return [h for h in found if len(h)]


def _even(corners: Floats) -> Bools:
    """Whether upper corners (n, 2m, 3) stand over their lower ones by one shift, shape (n,)."""
    m = corners.shape[1] // 2
    up = corners[:, m:] - corners[:, :m]
    return np.asarray((np.abs(up - up[:, :1]) < LEVEL).all(axis=(1, 2)))


def rods_of(runs: Sequence[Run]) -> Hulls:
    """Round bars, one or more, from where they start and end and their radii."""
    start, end = (np.array([r[k] for r in runs], dtype=float) for k in (0, 1))
    return rods(start, end, np.array([r[2] for r in runs], dtype=float))


def _runs(solid: Rod | Elbow) -> list[Run]:
    if isinstance(solid, Rod):
        return [(solid.start, solid.end, solid.radius)]
    return [(a, b, solid.radius) for a, b in chords(solid.arc)]


def chords(arc: Arc) -> list[tuple[Floats, Floats]]:
    """Chords along an arc, set out by half the sagitta [mm]."""
    n = max(1, math.ceil(arc.angle / CHORD - 1e-9))
    half = arc.angle / n / 2.0
    out = 0.5 * (1.0 + 1.0 / math.cos(half))
    arm = (np.array(arc.start) - arc.centre) * out
    at = [arc.centre + rotation(arc.axis, arc.angle * k / n) @ arm for k in range(n + 1)]
    return list(pairwise(at))


def _distinct(rows: Floats) -> Floats:
    """Unit directions, each once whichever its sign."""
    length = np.sqrt((rows * rows).sum(axis=1))
    kept = rows[length > 1e-9] / length[length > 1e-9, None]
    same = np.abs(kept @ kept.T) > 1.0 - 1e-9
    return np.asarray(kept[~np.tril(same, -1).any(axis=1)])


def _holds(guess: Hulls) -> Bools:
    """Whether every guessed face has at least three corners on it and none beyond, (n,)."""
    heights = np.matmul(guess.faces, guess.corners.swapaxes(1, 2))
    on_top = (heights.max(axis=2, keepdims=True) - heights < FLAT).sum(axis=2)
    on_low = (heights - heights.min(axis=2, keepdims=True) < FLAT).sum(axis=2)
    thick = heights.max(axis=2) - heights.min(axis=2) > FLAT
    return np.asarray(((np.maximum(on_top, on_low) > 2) & thick).all(axis=1))


def _any_hull(corners: Floats) -> Hull:
    """Faces and edges of any corners' hull; of flat or thin ones, those of their box."""
    from scipy.spatial import ConvexHull, QhullError

    try:
        hull = ConvexHull(corners)
    except QhullError:
        return Hull(
            corners=corners,
            radius=0.0,
            axis=np.zeros(3),
            faces=np.eye(3),
            edges=np.eye(3),
        )
    normals = _distinct(hull.equations[:, :3])
    ends = np.vstack([np.roll(corners[s], -1, axis=0) - corners[s] for s in hull.simplices])
    return Hull(
        corners=corners[hull.vertices],
        radius=0.0,
        axis=np.zeros(3),
        faces=normals,
        edges=_distinct(ends),
    )


__all__ = [
    "Hulls",
    "Pieces",
    "Run",
    "chords",
    "hulls_of",
    "joined",
    "made_of",
    "owned",
    "pieces_of",
    "prisms",
    "rods",
    "rods_of",
]
