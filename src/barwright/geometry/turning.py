"""Gaps between pieces that turn about the z axis and pieces that stand: at an angle, over a span.

Work goes on over nodes. A node is a length of a moving piece, a length of a standing piece and
a span of angle; its shapes are convex, so a plane between them at the middle angle proves a
least gap over the whole span (see `over_span`). What is lost by it falls with the square of the
span, and with the square of the length of arc taken as a chord.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.convex import Bools, Convex, Ints
from barwright.geometry.gjk import nearest
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
        low: proven least gap over the span so far, shape (n,) [mm].
    """

    piece: Ints
    part: Floats
    flat: Bools
    span: Floats
    low: Floats

    def __len__(self) -> int:
        return len(self.low)

    def take(self, rows: Ints | Bools) -> Nodes:
        """Some of the nodes, by index or mask."""
        return Nodes(
            piece=self.piece[rows],
            part=self.part[rows],
            flat=self.flat[rows],
            span=self.span[rows],
            low=self.low[rows],
        )


def joined(*nodes: Nodes) -> Nodes:
    """All nodes in one."""
    return Nodes(
        piece=np.concatenate([n.piece for n in nodes]),
        part=np.concatenate([n.part for n in nodes]),
        flat=np.concatenate([n.flat for n in nodes]),
        span=np.concatenate([n.span for n in nodes]),
        low=np.concatenate([n.low for n in nodes]),
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Gaps:
    """What is known of n nodes at one angle each.

    Attributes:
        a, b: nearest points of the two hulls' cores, shape (n, 3) [mm].
        away: unit direction from a to b, shape (n, 3); nothing sensible where they meet.
        low: proven least gap, shape (n,) [mm]; negative where the hulls overlap.
        high: a gap that is surely not exceeded, shape (n,) [mm]; inf where nothing is known.
        balls: radius of the standing shape's ball [mm], shape (n,).
        sag: what each side's chord may hide, shape (n, 2) [mm].
        at_end: whether the nearest point of each side is an end that has a flat face which the
            shape does not yet have, shape (n, 2).
        first, second: the two shapes, the first as it stands at the angle.
    """

    a: Floats
    b: Floats
    away: Floats
    low: Floats
    high: Floats
    balls: Floats
    sag: Floats
    at_end: Bools
    shapes: tuple[tuple[Ints, Convex, Convex], ...]


def gaps(scene: Scene, nodes: Nodes, angle: Floats, *, within: float = 1e-6) -> Gaps:
    """The gap of every node at its own angle [rad], shape (n,).

    Args:
        scene: what turns and what stands.
        nodes: n nodes.
        angle: of each [rad], shape (n,).
        within: how far apart the bounds of the cores' distance may be [mm].
    """
    n = len(nodes)
    a, b = np.empty((n, 3)), np.empty((n, 3))
    sag = np.stack(
        [_sag(p, nodes, k) for k, p in enumerate((scene.moving, scene.standing))], axis=1
    )
    least = np.empty(n)
    share = np.full((n, 2), 0.5)
    groups = []
    for rows in _kinds(scene, nodes):
        own = nodes.take(rows)
        first = _shape(scene.moving, own, 0, sag[rows, 0]).turned(
            np.cos(angle[rows]), np.sin(angle[rows])
        )
        second = _shape(scene.standing, own, 1, sag[rows, 1])
        a[rows], b[rows], least[rows], share[rows] = _meet(first, second, within)
        groups.append((rows, first, second))
    return _weighed(scene, nodes, angle, (a, b, least, share, sag), tuple(groups))


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


def _meet(first: Convex, second: Convex, within: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Nearest points, proven least distance of the cores, and shares along them if segments."""
    n = len(first.ball)
    if first.corners.shape[1] == second.corners.shape[1] == 2 and not (
        first.disc is not None or second.disc is not None
    ):
        p, q = first.corners[:, 0], first.corners[:, 1]
        r, s = second.corners[:, 0], second.corners[:, 1]
        t, u = nearest_on_segments(p, q, r, s)
        a, b = p + t[:, None] * (q - p), r + u[:, None] * (s - r)
        return a, b, np.linalg.norm(b - a, axis=1), np.stack([t, u], axis=1)
    guess = second.corners.mean(axis=1) - first.corners.mean(axis=1)
    guess[(guess == 0.0).all(axis=1)] = (1.0, 0.0, 0.0)
    found = nearest(first, second, guess, within=within)
    share = np.stack([_share(first, found.a), _share(second, found.b)], axis=1)
    return found.a, found.b, found.low, share.reshape(n, 2)


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
    scene: Scene,
    nodes: Nodes,
    angle: Floats,
    met: tuple[Floats, Floats, Floats, Floats, Floats],
    groups: tuple[tuple[Ints, Convex, Convex], ...],
) -> Gaps:
    """Distances of cores made into bounds of the gap between what they stand for."""
    a, b, least, share, sag = met
    away = b - a
    size = np.sqrt((away * away).sum(axis=1))
    away /= np.maximum(size, 1e-300)[:, None]
    at_end = np.empty((len(nodes), 2), dtype=bool)
    low, high = least.copy(), size.copy()
    for k, pieces in enumerate((scene.moving, scene.standing)):
        rows, flat = nodes.piece[:, k], nodes.flat[:, k]
        at_end[:, k] = ~flat & _is_free_end(
            pieces, nodes, k, share[:, k], away if k else _spun(away, -angle)
        )
        ball = np.where(flat, 0.0, pieces.radius[rows])
        low -= ball + sag[:, k]
        high += np.where(at_end[:, k], 0.0, sag[:, k] - ball)
    return Gaps(
        a=a,
        b=b,
        away=away,
        low=low,
        high=high,
        balls=np.where(nodes.flat[:, 1], 0.0, scene.standing.radius[nodes.piece[:, 1]]),
        sag=sag,
        at_end=at_end,
        shapes=groups,
    )


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


def over_span(nodes: Nodes, found: Gaps, back: Floats, forth: Floats) -> Floats:
    """The proven least gap while each moving shape turns back and forth from where it was found.

    With n from the moving to the standing shape held fixed, the gap is at least the standing
    shape's least reach along n less the moving shape's greatest. A turn of the shape is a turn of
    n the other way. As n turns from one end of the span to the other, what it has square to the
    axis is a sum of its two end directions with weights that add up to 1 .. 1/cos(span/2); a
    reach is no more than the sum of the reaches along the parts (a support function is
    sublinear). Hence, h the reach of the moving core:

        h(n at t) <= m max(h(n back), h(n forth), 0 ..) + (m - 1) h(-n's part along the axis)

    with m = 1/cos(span/2) where that makes it larger, else 1.

    Args:
        nodes: n nodes.
        found: what `gaps` said of them.
        back: how far each turns back [rad], not negative, shape (n,).
        forth: how far each turns on [rad]; both together less than half a turn.
    """
    n = len(nodes)
    low = np.full(n, -np.inf)
    for rows, first, second in found.shapes:
        away = found.away[rows]
        stand = -second.reach(-away) - second.ball
        move = _greatest(first, away, back[rows], forth[rows]) + first.ball
        low[rows] = stand - move
    return np.asarray(np.where(found.low > -np.inf, low, -np.inf))


def _greatest(shape: Convex, away: Floats, back: Floats, forth: Floats) -> Floats:
    """The most a shape's core reaches along a fixed direction over a span of turning.

    Heights are counted from the shape's own middle height, so that the shares that do not add up
    to one cost least.
    """
    level = shape.corners[:, :, 2].mean(axis=1)
    rise = away[:, 2] * level
    behind = shape.reach(_spun(away, back)) - rise
    ahead = shape.reach(_spun(away, -forth)) - rise
    upright = np.zeros_like(away)
    upright[:, 2] = -away[:, 2]
    spare = shape.reach(upright) + rise
    grow = 1.0 / np.cos(0.5 * np.minimum(back + forth, 3.0))
    most = np.maximum(behind, ahead)
    return np.asarray(
        rise + np.where(most > 0.0, most * grow, most) + (grow - 1.0) * np.maximum(spare, 0.0)
    )


def _spun(d: Floats, angle: Floats) -> Floats:
    """Directions turned about the z axis by their own angles [rad]."""
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([c * d[:, 0] - s * d[:, 1], s * d[:, 0] + c * d[:, 1], d[:, 2]], axis=1)
