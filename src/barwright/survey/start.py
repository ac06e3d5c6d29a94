"""Where to start from, when nobody guesses: several ways, tried in order, from one seed.

1. Growth in the frame of the absolute readings, or in frames anchored along fewer axes where
   that places more marks, aligned afterwards (`grow`, `align`).
2. Distances along the shortest chains of tapes, embedded by classical scaling in four
   dimensions and pressed flat into three while everything is adjusted: a mark on the wrong
   side of its neighbours passes round them through the lent one. Turned at random and
   tried again, with a seeded generator, as often as it takes; every other time with the
   readings among the marks alone, turned to the absolute ones afterwards.

Sources: classical scaling, Torgerson 1952; shortest chains, Floyd 1962 (from memory).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import Block, Linearised, adjust
from barwright.survey.align import absolute, aligned
from barwright.survey.equations import Network, distance, linearise
from barwright.survey.grow import Grown, grow, order_of, part_of
from barwright.survey.links import ALL_AXES, Link, links_of

LENT = 1
"""Dimensions lent to the marks while the shape is found; two or three found it less often."""


def size_of(network: Network) -> float:
    """Roughly how large the survey is [mm]."""
    lengths = [r.value for r in network.rows if r.form is distance]
    levels = [
        np.abs(r.value) for r in network.rows if r.weight is not None and r.weight.shape[1] == 1
    ]
    every = np.concatenate([*lengths, *levels, [1.0]])
    return float(every.max())


def _frames(network: Network, links: Sequence[Link]) -> list[frozenset[int]]:
    """Sets of anchored axes worth growing in: most marks placed first, then most axes."""
    n = len(network.names)
    ranked = []
    for count in (3, 2, 1, 0):
        for axes in itertools.combinations(range(3), count):
            frame = frozenset(axes)
            reach = len(order_of(network, links, frame, [False] * n))
            if reach:
                ranked.append((-reach, -count, axes))
        if ranked and ranked[0][0] == -n:
            break
    ranked.sort()
    return [frozenset(axes) for _, _, axes in ranked]


def _all_round(
    network: Network, links: Sequence[Link], frame: frozenset[int], size: float
) -> Grown:
    """Growth in one frame, alignment, and growth again with every reading."""
    grown = grow(network, links, anchored=frame, size=size)
    if frame == ALL_AXES:
        return grown
    part = part_of(network, grown.placed, ALL_AXES)
    hypotheses = []
    for x in grown.x[:2]:
        for placed in aligned(part, x[grown.placed], frame):
            whole = np.zeros_like(x)
            whole[grown.placed] = placed
            hypotheses.append(whole)
    onto = Grown(x=np.array(hypotheses), placed=grown.placed, score=np.zeros(len(hypotheses)))
    return grow(network, links, anchored=ALL_AXES, size=size, onto=onto)


def _chains(network: Network, size: float) -> Floats:
    """Distances (n, n) along the shortest chains of tapes."""
    n = len(network.names)
    far = np.full((n, n), np.inf)
    np.fill_diagonal(far, 0.0)
    for r in network.rows:
        if r.form is distance:
            a, b = r.marks.T
            far[a, b] = far[b, a] = np.maximum(r.value, 1.0)
    for k in range(n):
        np.minimum(far, far[:, k : k + 1] + far[k], out=far)
    far[~np.isfinite(far)] = size
    return far


def _embedded(far: Floats, dimensions: int) -> Floats:
    """Points (n, dimensions) whose distances are about these, by classical scaling."""
    n = len(far)
    centre = np.eye(n) - 1.0 / n
    values, vectors = np.linalg.eigh(-0.5 * centre @ far**2 @ centre)
    values, vectors = values[::-1][:dimensions], vectors[:, ::-1][:, :dimensions]
    out = np.zeros((n, dimensions))
    out[:, : len(values)] = vectors * np.sqrt(np.maximum(values, 0.0))
    return out


def pressed(network: Network, x: Floats, size: float) -> Floats:
    """Marks in more dimensions adjusted while the lent ones are pressed to nothing, (n, 3)."""
    n, d = x.shape
    columns = (np.arange(n)[:, None] * d + np.arange(3, d)).reshape(-1, 1)
    for press in size * np.geomspace(0.1, 5e-4, 5):
        lent = Block(columns=columns, values=np.full(columns.shape, 1.0 / press))

        def with_lent(v: Floats, lent: Block = lent, press: float = press) -> Linearised:
            at = linearise(network, v.reshape(n, d))
            extra = v.reshape(n, d)[:, 3:].ravel() / press
            return Linearised(
                residual=np.concatenate((at.residual, extra)), blocks=(*at.blocks, lent)
            )

        x = adjust(with_lent, x.ravel(), most=15, tolerance=1.0, damping=1e-3).x.reshape(n, d)
    return x[:, :3]


def starts(
    network: Network, *, seed: int = 1, most: int = 24
) -> Iterator[tuple[str, tuple[Floats, ...]]]:
    """Starting positions (n, 3), best bets first: how they were found, and a few of each kind.

    Args:
        network: readings that hold together.
        seed: for the turns and shakes of the later starts.
        most: how many of those.
    """
    links = links_of(network)
    size = size_of(network)
    for frame in _frames(network, links)[:3]:
        grown = _all_round(network, links, frame, size)
        name = "".join("xyz"[a] for a in sorted(frame)) or "none"
        close = grown.score < grown.score[0] + 20.0
        yield f"growth, anchored {name}", tuple(grown.x[close][:6])
    random = np.random.default_rng(seed)
    everyone = np.ones(len(network.names), dtype=bool)
    shape = _embedded(_chains(network, size), 3 + LENT)
    for k in range(most):
        turn = np.linalg.qr(random.normal(size=(3 + LENT, 3 + LENT)))[0]
        shake = random.normal(size=shape.shape) * size * 0.02 * (1 + 0.25 * k)
        begin = shape @ turn + shake
        if k % 2 == 0 and absolute(network).rows:
            flat = pressed(part_of(network, everyone, frozenset()), begin, size)
            yield f"scaling {k + 1}", tuple(aligned(network, flat, frozenset()))
        else:
            yield f"scaling {k + 1}", (pressed(network, begin, size),)
