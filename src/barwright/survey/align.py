"""Turning a frame that grew on its own to what the absolute readings say."""

from __future__ import annotations

import itertools

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.equations import Network, linearise
from barwright.survey.motion import fitted
from barwright.survey.place import loss

PROMISING = 12
"""How many of the coarse turns are followed up."""


def _turns(anchored: frozenset[int]) -> list[Floats]:
    """Rotations and reflections (3, 3) that leave the anchored axes alone, coarsely sampled."""
    free = [a for a in range(3) if a not in anchored]
    if len(free) <= 1:
        return [np.diag([s if a in free else 1.0 for a in range(3)]) for s in (1.0, -1.0)]
    if len(free) == 2:
        b, c = free
        out = []
        for k, mirror in itertools.product(range(6), (1.0, -1.0)):
            m = np.eye(3)
            cos, sin = np.cos(k * np.pi / 3), np.sin(k * np.pi / 3)
            m[[b, b, c, c], [b, c, b, c]] = (cos, -sin * mirror, sin, cos * mirror)
            out.append(m)
        return out
    out = []
    for order in itertools.permutations(range(3)):
        for signs in itertools.product((1.0, -1.0), repeat=3):
            out.append(np.eye(3)[list(order)] * np.array(signs)[:, None])
    return out


def _allowed(anchored: frozenset[int]) -> Floats:
    """A base of the twists that leave the anchored axes alone, (6, k)."""
    free = [a for a in range(3) if a not in anchored]
    turns = [a for a in range(3) if set(free) >= {0, 1, 2} - {a}]
    return np.eye(6)[:, free + [3 + a for a in turns]]


def _slid(x: Floats, network: Network, anchored: frozenset[int]) -> Floats:
    """The marks slid along the free axes to the mean of what absolute readings say there."""
    x = x.copy()
    for rows in network.rows:
        if rows.weight is None or rows.axis is None or rows.weight.shape[1] > 1:
            continue
        for axis in set(range(3)) - anchored:
            mine = rows.axis == axis
            if mine.any():
                gap = rows.value[mine] - x[rows.marks[mine, 0], axis]
                x[:, axis] += float(np.median(gap))
    return x


def absolute(network: Network) -> Network:
    """Only the readings that feel the whole being moved: linear rows and inclines."""
    rows = tuple(
        r
        for r in network.rows
        if (r.weight is not None and r.weight.shape[1] < 3)
        or (r.form is not None and r.form.__name__ == "incline")
    )
    return Network(names=network.names, readings=network.readings, rows=rows, straights=())


def aligned(
    network: Network, x: Floats, anchored: frozenset[int], *, keep: int = 2
) -> list[Floats]:
    """The frame moved as one piece onto the absolute readings, the best few ways.

    Args:
        network: readings among these marks only.
        x: (n, 3) marks in their own frame, right along the anchored axes.
        anchored: the axes that are right already.
        keep: how many ways to hand back.
    """
    told = absolute(network)
    if not told.rows:
        return [x]
    base = _allowed(anchored)
    found: list[tuple[float, Floats]] = []
    starts = [_slid(x @ turn.T, told, anchored) for turn in _turns(anchored)]
    starts.sort(key=lambda start: float(np.sum(np.abs(linearise(told, start).residual))))
    for start in starts[:PROMISING]:
        placed, _ = fitted(
            start, lambda v: linearise(told, v.reshape(-1, 3)), lambda _: base, steps=10
        )
        score = float(loss(linearise(told, placed).residual))
        if all(abs(score - s) > 1e-6 or np.abs(placed - p).max() > 5.0 for s, p in found):
            found.append((score, placed))
    found.sort(key=lambda pair: pair[0])
    return [placed for _, placed in found[:keep]]
