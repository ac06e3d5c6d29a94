"""Gaps between pieces that turn about the z axis and pieces that stand, at one angle each.

Work goes on over nodes. A node is a length of a moving piece, a length of a standing piece and
a span of angle; its shapes are convex.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.convex import Bools, Convex, Ints, together
from barwright.geometry.gjk import TOUCHING, nearest
from barwright.geometry.pieces import Pieces
from barwright.geometry.segments import nearest_on_segments
from barwright.geometry.vectors import Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """Pieces that turn together about the z axis by the right hand, and pieces that stand."""

    moving: Pieces
    standing: Pieces


@dataclass(frozen=True, kw_only=True, eq=False)
class Nodes:
    """n nodes.

    Attributes:
        piece: the moving and the standing piece, shape (n, 2).
        part: from and to along each piece's centreline as shares 0..1, shape (n, 2, 2).
        flat: whether each is taken with its square ends, shape (n, 2).
        span: from and to [rad], shape (n, 2).
        at: the angle in the span to look at [rad], shape (n,).
        away: a guess at the direction from the moving to the standing shape, shape (n, 3); zero
            where there is none.
        low: proven least gap over the span so far, shape (n,) [mm].
        asked: which of several questions asked at once it belongs to, shape (n,).
    """

    piece: Ints
    part: Floats
    flat: Bools
    span: Floats
    at: Floats
    away: Floats
    low: Floats
    asked: Ints

    def __len__(self) -> int:
        return len(self.low)

    def take(self, rows: Ints | Bools) -> Nodes:
        """Some of the nodes, by index or mask."""
        if rows.dtype == bool:
            if rows.all():
                return self
            rows = np.flatnonzero(rows)
        return Nodes(**{name: c.take(rows, axis=0) for name, c in vars(self).items()})


def joined(*nodes: Nodes) -> Nodes:
    """All nodes in one."""
    some = [n for n in nodes if len(n)] or nodes[:1]
    if len(some) == 1:
        return some[0]
    return Nodes(**{name: np.concatenate([getattr(n, name) for n in some]) for name in COLUMNS})


COLUMNS = tuple(Nodes.__dataclass_fields__)


@dataclass(frozen=True, kw_only=True, eq=False)
class Placed:
    """The shapes of n nodes as they stand at one angle each.

    Attributes:
        groups: rows of nodes whose shapes are alike, their moving and their standing shapes.
        sag: what each side's chord may hide, shape (n, 2) [mm].
        away: the best guess yet at the direction from moving to standing shape, shape (n, 3).
    """

    groups: tuple[tuple[Ints, Convex, Convex], ...]
    sag: Floats
    away: Floats

    def take(self, rows: Bools) -> Placed:
        """The shapes of some of the nodes, by mask."""
        number = np.cumsum(rows) - 1
        kept = [(at[rows[at]], a.take(rows[at]), b.take(rows[at])) for at, a, b in self.groups]
        groups = tuple((number[at], a, b) for at, a, b in kept if len(at))
        return Placed(groups=groups, sag=self.sag[rows], away=self.away[rows])


@dataclass(frozen=True, kw_only=True, eq=False)
class Gaps:
    """What is known of n nodes at one angle each.

    Attributes:
        b: nearest points of the standing hulls' cores, shape (n, 3) [mm].
        away: unit direction from the moving to the standing shape, shape (n, 3); zero where
            their cores meet.
        low: proven least gap, shape (n,) [mm]; negative where the hulls overlap.
        high: a gap that is surely not exceeded, shape (n,) [mm].
        ball: radius of the standing shape's ball [mm], shape (n,).
        sag: what each side's chord may hide, shape (n, 2) [mm].
        at_end: whether the nearest point of each side is at an end that has a flat face which the
            shape does not yet have, shape (n, 2).
    """

    b: Floats
    away: Floats
    low: Floats
    high: Floats
    ball: Floats
    sag: Floats
    at_end: Bools


def placed(scene: Scene, nodes: Nodes) -> Placed:
    """The shapes of every node at its own angle."""
    n = len(nodes)
    both = (scene.moving, scene.standing)
    sag = np.stack([_sag(p, nodes, k) for k, p in enumerate(both)], axis=1).reshape(n, 2)
    away, groups = nodes.away.copy(), []
    for rows in _kinds(scene, nodes):
        own, turn = nodes.take(rows), nodes.at[rows]
        first = _shape(scene.moving, own, 0, sag[rows, 0]).turned(np.cos(turn), np.sin(turn))
        second = _shape(scene.standing, own, 1, sag[rows, 1])
        groups.append((rows, first, second))
        new = (own.away == 0.0).all(axis=1)
        if new.any():
            away[rows[new]] = _between_spines(first.take(new), second.take(new))
    return Placed(groups=tuple(groups), sag=sag, away=away)


def _between_spines(first: Convex, second: Convex) -> Floats:
    """Unit directions between the nearest points of chords, or of blocks' middles."""
    p, q = _spine(first)
    r, s = _spine(second)
    t, u = nearest_on_segments(p, q, r, s)
    away = (r + u[:, None] * (s - r)) - (p + t[:, None] * (q - p))
    size = np.sqrt((away * away).sum(axis=1))
    away[size == 0.0] = (1.0, 0.0, 0.0)
    return np.asarray(away / np.where(size == 0.0, 1.0, size)[:, None])


def _spine(shape: Convex) -> tuple[Floats, Floats]:
    if shape.corners.shape[1] == 2:
        return shape.corners[:, 0], shape.corners[:, 1]
    middle = 0.5 * (shape.corners.min(axis=1) + shape.corners.max(axis=1))
    return middle, middle


def gaps(
    scene: Scene,
    nodes: Nodes,
    shapes: Placed,
    *,
    within: float = 1e-6,
    plenty: float | Floats = np.inf,
) -> Gaps:
    """The gap of every node at its own angle.

    Args:
        scene: what turns and what stands.
        nodes: n nodes.
        shapes: theirs.
        within: how far apart the bounds of the cores' distance may be [mm].
        plenty: gaps proven to be at least this are not looked into further, for all nodes or each
            [mm].
    """
    n = len(nodes)
    plenty = np.broadcast_to(plenty, n)
    a, b, least, share = np.empty((n, 3)), np.empty((n, 3)), np.empty(n), np.full((n, 2), 0.5)
    hard = []
    for rows, first, second in shapes.groups:
        if _are_segments(first, second):
            a[rows], b[rows], least[rows], share[rows] = _of_segments(first, second)
        else:
            hard.append((rows, first, second))
    if hard:
        rows = np.concatenate([at for at, _, _ in hard])
        first, second = together([h[1] for h in hard]), together([h[2] for h in hard])
        enough = plenty[rows] + first.ball + second.ball
        met = nearest(first, second, shapes.away[rows], within=within, plenty=enough)
        a[rows], b[rows], least[rows] = met.a, met.b, met.low
        for at, one, other in hard:
            share[at] = np.stack([_share(one, a[at]), _share(other, b[at])], axis=1)
    return _weighed(scene, nodes, shapes.sag, (a, b, least, share))


def _kinds(scene: Scene, nodes: Nodes) -> list[Ints]:
    """The nodes sorted by what their two shapes are, each kind's shapes being alike."""
    block = np.stack(
        [scene.moving.block[nodes.piece[:, 0]] >= 0, scene.standing.block[nodes.piece[:, 1]] >= 0],
        axis=1,
    )
    kind = (2 * block + nodes.flat) @ np.array([1, 4])
    return [np.nonzero(kind == k)[0] for k in np.unique(kind)]


def _sag(pieces: Pieces, nodes: Nodes, side: int) -> Floats:
    """How far the arc, or with flat ends its outer side, stands off its chord [mm]."""
    rows = nodes.piece[:, side]
    turn = pieces.turn[rows] * (nodes.part[:, side, 1] - nodes.part[:, side, 0])
    radius = pieces.bend[rows] + np.where(nodes.flat[:, side], pieces.radius[rows], 0.0)
    return np.asarray(2.0 * radius * np.sin(0.25 * turn) ** 2)


def _shape(pieces: Pieces, nodes: Nodes, side: int, sag: Floats) -> Convex:
    """The shapes of one side of nodes that are all of one kind."""
    rows = nodes.piece[:, side]
    if pieces.block[rows[0]] >= 0:
        return Convex(corners=pieces.corners[pieces.block[rows]], ball=np.zeros(len(rows)))
    t0, t1 = nodes.part[:, side, 0], nodes.part[:, side, 1]
    ends = np.stack([pieces.at(rows, t0), pieces.at(rows, t1)], axis=1)
    if not nodes.flat[0, side]:
        return Convex(corners=ends, ball=pieces.radius[rows] + sag)
    axes = np.stack([pieces.heading(rows, t0), pieces.heading(rows, t1)], axis=1)
    return Convex(corners=ends, ball=sag, disc=pieces.radius[rows], axes=axes)


def _are_segments(first: Convex, second: Convex) -> bool:
    return (
        first.corners.shape[1] == second.corners.shape[1] == 2
        and first.disc is None
        and second.disc is None
    )


def _of_segments(first: Convex, second: Convex) -> tuple[Floats, Floats, Floats, Floats]:
    """Nearest points of two chords, their distance, and shares along them."""
    p, q = first.corners[:, 0], first.corners[:, 1]
    r, s = second.corners[:, 0], second.corners[:, 1]
    t, u = nearest_on_segments(p, q, r, s)
    a, b = p + t[:, None] * (q - p), r + u[:, None] * (s - r)
    return a, b, np.linalg.norm(b - a, axis=1), np.stack([t, u], axis=1)


def _share(shape: Convex, at: Floats) -> Floats:
    """How far along its chord a point lies, 0..1; the middle for what is not a chord."""
    if shape.corners.shape[1] != 2 or shape.disc is not None:
        return np.full(len(at), 0.5)
    d = shape.corners[:, 1] - shape.corners[:, 0]
    size = np.maximum((d * d).sum(axis=1), 1e-300)
    return np.asarray(((at - shape.corners[:, 0]) * d).sum(axis=1) / size)


END = 1e-9
"""A point this near an end is at the end, as a share of the length."""


def _weighed(
    scene: Scene, nodes: Nodes, sag: Floats, met: tuple[Floats, Floats, Floats, Floats]
) -> Gaps:
    """Distances of cores made into bounds of the gap between what they stand for."""
    a, b, least, share = met
    away = b - a
    size = np.sqrt((away * away).sum(axis=1))
    size = np.where(size <= 2.0 * TOUCHING, 0.0, size)
    away *= np.where(size > 0.0, 1.0 / np.where(size > 0.0, size, 1.0), 0.0)[:, None]
    at_end = np.empty((len(nodes), 2), dtype=bool)
    low, high = least.copy(), size.copy()
    for k, pieces in enumerate((scene.moving, scene.standing)):
        rows, flat = nodes.piece[:, k], nodes.flat[:, k]
        toward = away if k else spun(away, -nodes.at)
        at_end[:, k] = ~flat & _is_free_end(pieces, nodes, k, share[:, k], toward)
        ball = np.where(flat, 0.0, pieces.radius[rows])
        low -= ball + sag[:, k]
        high += np.where(at_end[:, k], 0.0, sag[:, k] - ball)
    return Gaps(b=b, away=away, low=low, high=high, ball=ball, sag=sag, at_end=at_end)


def _is_free_end(pieces: Pieces, nodes: Nodes, side: int, share: Floats, away: Floats) -> Bools:
    """Whether the ball round the nearest point may stand out of a flat end in the open there.

    The ball's point in the direction of the other shape lies as far along the bar from the
    nearest point as that direction leans along the chord, and on an arc as the chord leans.
    """
    rows, part = nodes.piece[:, side], nodes.part[:, side]
    length = pieces.length[rows]
    along = length * (part[:, 0] + np.clip(share, 0.0, 1.0) * (part[:, 1] - part[:, 0]))
    heading = pieces.heading(rows, part.mean(axis=1))
    lean = np.abs((heading * away).sum(axis=1))
    lean += 0.5 * pieces.turn[rows] * (part[:, 1] - part[:, 0])
    reach = pieces.radius[rows] * lean + END * length
    free = pieces.free[rows]
    return np.asarray((free[:, 0] & (along <= reach)) | (free[:, 1] & (length - along <= reach)))


def spun(d: Floats, angle: Floats) -> Floats:
    """Directions turned about the z axis by their own angles [rad]."""
    c, s = np.cos(angle), np.sin(angle)
    turned = d.copy()
    turned[:, 0] = c * d[:, 0] - s * d[:, 1]
    turned[:, 1] = s * d[:, 0] + c * d[:, 1]
    return turned
