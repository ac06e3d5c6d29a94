"""When turning pieces first touch standing ones, by conservative advancement.

Every node starts at the low end of its span and moves on by a turn that is proven free of
contact, the longest that is found; so nothing can be jumped over. Near a contact the proven turn
all but equals the way left, and the steps close in on it quadratically.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.convex import Bools
from barwright.geometry.spans import WIDEST, over_span
from barwright.geometry.turning import Gaps, Nodes, Placed, Scene, gaps, joined, placed
from barwright.geometry.vectors import Floats, Point, point

TOUCH = 5e-5
"""Pieces this near touch [mm]."""

TINY = 1e-7
"""The turn by which a plane's rate is measured [rad]."""

BATCH = 512
"""Nodes looked at in one go."""

LADDER = (1.0, 0.25)
"""Shares of the way left that are tried."""


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
        keep = np.ones(len(nodes), dtype=bool)
        keep[rows] = False
        best, more = _look(scene, nodes.take(rows), best)
        nodes = joined(nodes.take(keep), more)
        if best is not None:
            nodes = nodes.take(nodes.span[:, 0] < best.angle)
    return best


def _look(scene: Scene, own: Nodes, best: Contact | None) -> tuple[Contact | None, Nodes]:
    """Look at some nodes where they stand: the first contact so far, and what is left to do."""
    own = replace(own, at=own.span[:, 0])
    shapes = placed(scene, own)
    none, left = np.zeros(len(own)), own.span[:, 1] - own.span[:, 0]
    clear = over_span(shapes, shapes.away, none, left)[0] > 0.0
    own, shapes = own.take(~clear), shapes.take(~clear)
    if len(own) == 0:
        return best, own
    found = gaps(scene, own, shapes)
    own = replace(own, away=found.away)
    bent, ends = _coarse(scene, own, found)
    touching = (found.high <= TOUCH) | ((found.low <= 0.5 * TOUCH) & ~bent & ~ends)
    best = _earlier(best, own, found, touching)
    return best, _onward(own, shapes, found, (bent & ~touching, ends & ~touching, touching))


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
        where=point(found.b[i] - found.away[i] * found.ball[i]),
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


def _onward(nodes: Nodes, shapes: Placed, found: Gaps, sorts: tuple[Bools, Bools, Bools]) -> Nodes:
    """What is left to look at: nodes cut finer where they are too coarse, the others stepped."""
    bent, ends, touching = sorts
    squared = nodes.take(ends)
    squared = replace(squared, flat=squared.flat | found.at_end[ends])
    on = _stepped(nodes, shapes, found, ~(bent | ends | touching))
    return joined(_quartered(nodes.take(bent), found.sag[bent]), squared, on)


def _quartered(nodes: Nodes, sag: Floats) -> Nodes:
    """Each node cut in four on the side whose chord hides more."""
    side, rows = sag.argmax(axis=1), np.arange(len(nodes))
    start, end = nodes.part[rows, side].T
    cut = []
    for k in range(4):
        part = nodes.part.copy()
        part[rows, side, 0] = start + 0.25 * k * (end - start)
        part[rows, side, 1] = start + 0.25 * (k + 1) * (end - start) if k < 3 else end
        cut.append(replace(nodes, part=part))
    return joined(*cut)


def _stepped(nodes: Nodes, shapes: Placed, found: Gaps, go: Bools) -> Nodes:
    """The nodes that go on, each moved by the longest turn proven free; those through are done."""
    left = nodes.span[:, 1] - nodes.span[:, 0]
    step = _proven_step(shapes, found, left)
    span = nodes.span.copy()
    span[:, 0] += step
    return replace(nodes, span=span).take(go & (step < left))


def _proven_step(shapes: Placed, found: Gaps, left: Floats) -> Floats:
    """A turn [rad] for each node within which its gap is proven to stay above nothing.

    No point moves by more than its distance from the axis a radian: that alone proves a turn. A
    plane proves more: shares of the way left are tried, and then the turn at which the plane
    would be reached, from its rate and from what a turn by that rate loses.
    """
    none, low, most = np.zeros(len(left)), found.low, np.minimum(left, WIDEST - 0.1)

    def gap_by(turn: Floats) -> Floats:
        return over_span(shapes, found.away, none, turn)[0]

    def farther(best: Floats, turn: Floats) -> Floats:
        return np.maximum(best, np.where(gap_by(turn) > 0.0, turn, 0.0))

    best = 0.99 * np.maximum(low, 0.0) / np.maximum(_far(shapes, len(left)), 1e-9)
    for share in LADDER:
        best = farther(best, share * most)
    rate = (low - gap_by(none + TINY)) / TINY
    newton = np.clip(low / np.maximum(rate, 1e-9), 0.0, most)
    bend = np.maximum(low - rate * newton - gap_by(newton), 0.0) / np.maximum(newton, TINY) ** 2
    root = np.sqrt(np.maximum(rate * rate + 4.0 * bend * low, 0.0))
    turn = 2.0 * low / np.maximum(rate + root, 1e-12)
    best = farther(best, np.clip((1.0 - 1e-5) * turn, 0.0, most))
    return np.minimum(best, left)


def _far(shapes: Placed, n: int) -> Floats:
    """No point of each moving shape is farther from the axis than this [mm]."""
    far = np.zeros(n)
    for rows, first, _ in shapes.groups:
        disc = 0.0 if first.disc is None else first.disc
        corners = np.hypot(first.corners[..., 0], first.corners[..., 1]).max(axis=1)
        far[rows] = corners + first.ball + disc
    return far
