"""When turning pieces first touch standing ones, by conservative advancement.

Every node starts at the low end of its span and moves on by a turn that is proven free of
contact, the longest that is found; so nothing can be jumped over. Near a contact the proven turn
all but equals the way left, and the steps close in on it quadratically.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.convex import Bools
from barwright.geometry.turning import Gaps, Nodes, Scene, gaps, joined, over_span
from barwright.geometry.vectors import Floats, Point, point

TOUCH = 2e-5
"""Pieces this near touch [mm]."""

BATCH = 256
LADDER = (1.0, 0.5, 0.25, 0.0625)
"""Shares of the way left that are tried before a step is worked out from the rate."""


@dataclass(frozen=True, kw_only=True)
class Contact:
    """A first contact.

    Attributes:
        angle: where it is [rad]; nothing touches before.
        piece: the moving and the standing piece.
        where: the point where they touch, in the scene's frame at that angle [mm].
    """

    angle: float
    piece: tuple[int, int]
    where: Point


def first_contact(scene: Scene, nodes: Nodes) -> Contact | None:
    """The first contact over all nodes, or None.

    Args:
        scene: what turns and what stands.
        nodes: what to look at; those whose `low` is above 0 are proven free already.
    """
    best: Contact | None = None
    nodes = nodes.take(nodes.low <= 0.0)
    while len(nodes):
        rows = np.argsort(nodes.span[:, 0], kind="stable")[:BATCH]
        own = nodes.take(rows)
        keep = np.ones(len(nodes), dtype=bool)
        keep[rows] = False
        found = gaps(scene, own, own.span[:, 0])
        bent, ends = _coarse(scene, own, found)
        touching = (found.high <= TOUCH) | ((found.low <= 0.5 * TOUCH) & ~bent & ~ends)
        best = _earlier(best, own, found, touching)
        nodes = joined(nodes.take(keep), _onward(own, found, bent, ends, touching))
        if best is not None:
            nodes = nodes.take(nodes.span[:, 0] < best.angle)
    return best


def _earlier(best: Contact | None, nodes: Nodes, found: Gaps, touching: Bools) -> Contact | None:
    rows = np.nonzero(touching)[0]
    if len(rows) == 0:
        return best
    i = rows[nodes.span[rows, 0].argmin()]
    if best is not None and best.angle <= nodes.span[i, 0]:
        return best
    return Contact(
        angle=float(nodes.span[i, 0]),
        piece=(int(nodes.piece[i, 0]), int(nodes.piece[i, 1])),
        where=point(found.b[i] - found.away[i] * found.balls[i]),
    )


def _coarse(scene: Scene, nodes: Nodes, found: Gaps) -> tuple[Bools, Bools]:
    """Which nodes' chords, and which nodes' round ends, hide too much at their gap."""
    low = np.maximum(found.low, 0.0)
    bent = found.sag.sum(axis=1) > np.maximum(0.1 * low, 0.1 * TOUCH)
    radius = np.stack(
        [scene.moving.radius[nodes.piece[:, 0]], scene.standing.radius[nodes.piece[:, 1]]], axis=1
    )
    ends = (found.at_end & (found.low[:, None] < 0.5 * radius)).any(axis=1)
    return bent, ends & ~bent


def _onward(nodes: Nodes, found: Gaps, bent: Bools, ends: Bools, touching: Bools) -> Nodes:
    """What is left to look at: nodes cut finer where they are too coarse, the others stepped."""
    bent, ends = bent & ~touching, ends & ~touching
    squared = nodes.take(ends)
    squared = replace(squared, flat=squared.flat | found.at_end[ends])
    on = _stepped(nodes, found, ~(bent | ends | touching))
    return joined(_halved(nodes.take(bent), found.sag[bent]), squared, on)


def _halved(nodes: Nodes, sag: Floats) -> Nodes:
    """Each node cut in two on the side whose chord hides more."""
    side = sag.argmax(axis=1)
    rows = np.arange(len(nodes))
    middle = nodes.part[rows, side].mean(axis=1)
    first, second = nodes.part.copy(), nodes.part.copy()
    first[rows, side, 1] = second[rows, side, 0] = middle
    return joined(replace(nodes, part=first), replace(nodes, part=second))


def _stepped(nodes: Nodes, found: Gaps, go: Bools) -> Nodes:
    """The nodes that go on, each moved by the longest turn proven free; those through are done."""
    left = nodes.span[:, 1] - nodes.span[:, 0]
    step = _proven_step(nodes, found, left)
    span = nodes.span.copy()
    span[:, 0] += step
    return replace(nodes, span=span).take(go & (step < left))


def _proven_step(nodes: Nodes, found: Gaps, left: Floats) -> Floats:
    """A turn [rad] for each node within which its gap is proven to stay above nothing."""
    none = np.zeros(len(nodes))
    best = np.maximum(found.low, 0.0) / np.maximum(_far(found, len(nodes)), 1e-9) * 0.99
    for share in LADDER:
        turn = np.minimum(share * left, 2.0)
        best = np.maximum(best, np.where(over_span(nodes, found, none, turn) > 0.0, turn, 0.0))
    tiny = 1e-7
    rate = (found.low - over_span(nodes, found, none, none + tiny)) / tiny
    newton = np.clip(found.low / np.maximum(rate, 1e-9), 0.0, np.minimum(left, 2.0))
    lost = over_span(nodes, found, none, newton) - (found.low - rate * newton)
    bend = np.maximum(-lost, 0.0) / np.maximum(newton, 1e-12) ** 2
    root = (
        2.0
        * found.low
        / np.maximum(rate + np.sqrt(np.maximum(rate * rate + 4.0 * bend * found.low, 0.0)), 1e-12)
    )
    for share in (1.0 - 1e-5, 0.9):
        turn = np.clip(share * root, 0.0, np.minimum(left, 2.0))
        best = np.maximum(best, np.where(over_span(nodes, found, none, turn) > 0.0, turn, 0.0))
    return np.minimum(best, left)


def _far(found: Gaps, n: int) -> Floats:
    """No point of each moving shape is farther from the axis than this [mm]."""
    far = np.zeros(n)
    for rows, first, _ in found.shapes:
        disc = 0.0 if first.disc is None else first.disc
        corners = np.hypot(first.corners[..., 0], first.corners[..., 1]).max(axis=1)
        far[rows] = corners + first.ball + disc
    return far
