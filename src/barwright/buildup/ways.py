"""Which way one piece comes out from among others: straight, by two moves, or tilted first.

Straight moves are exact for each direction tried: what blocks a direction is the cone of shifts
at which two convex hulls meet (see `differences`). The directions tried are the axes of the
piece and of the vehicle, the normals of all that touches it, and the lines square to two such
normals: where contacts alone leave a cone of directions free, its edges are among these.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, count

import numpy as np

from barwright.buildup.differences import depths, near_pairs
from barwright.buildup.hulls import Hulls, joined, owned
from barwright.buildup.rays import entries
from barwright.buildup.results import Move
from barwright.geometry.convex import Bools
from barwright.geometry.pose import turned
from barwright.geometry.vectors import Floats, cross_of, point

SLACK = 0.35
"""Overlap let pass as sliding [mm]: fits are worked out elsewhere, arcs are chords here."""
NEAR = 0.6
"""Hulls this near [mm] touch, and their normals are tried as directions."""
MOST_NORMALS = 8
"""Distinct contact normals that are crossed with one another."""
AIR = 2.0
"""A first move stops this short of what it meets, and goes this far past what it leaves [mm]."""
WORTH = 4.0
"""A first move shorter than this [mm] is not worth trying."""
TILTS = tuple(math.radians(a) for a in (12.0, 30.0, 60.0, 90.0))
"""Turns after which a straight move is tried."""
FARTHEST = 5
"""First moves followed up, those that go farthest."""
PATIENCE = 4
"""Steps after which a turn that has not come to anything is given up."""
FEWEST = math.radians(2.0)
"""A turn less than this is none."""
LEAST = math.radians(0.05)
"""A turn that goes on by less than this at a step has come to its end."""
ROOM = 20.0
"""Farther gaps are not told apart [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Out:
    """What was found for one piece.

    Attributes:
        moves: how it comes out; empty where no way was found.
        free: directions of one straight move right out, shape (k, 3).
        best: the direction in which it goes farthest, shape (3,).
        goes: how far [mm]; inf where it comes right out.
        by: owners of what it meets first in any direction; empty where it comes out.
    """

    moves: tuple[Move, ...]
    free: Floats
    best: Floats
    goes: float
    by: tuple[int, ...]


def directions(piece: Hulls, others: Hulls, more: Floats | None = None) -> Floats:
    """Directions worth trying, unit, each once: `more` first, then the piece's own, (m, 3)."""
    rods = piece.axis[piece.radius > 0.0]
    flat = piece.faces[np.arange(len(piece)), 0] if len(piece) else np.zeros((0, 3))
    normals = contact_normals(piece, others)
    pairs = np.array(list(combinations(range(len(normals)), 2)), dtype=int).reshape(-1, 2)
    crosses = cross_of(normals[pairs[:, 0]], normals[pairs[:, 1]])
    mean = normals.sum(axis=0, keepdims=True)
    rows = [
        np.zeros((0, 3)) if more is None else more,
        rods,
        flat,
        np.eye(3),
        normals,
        mean,
        crosses,
    ]
    one = np.vstack(rows)
    size = np.sqrt((one * one).sum(axis=1))
    one = one[size > 1e-6] / size[size > 1e-6, None]
    return both(one)


def both(ways: Floats) -> Floats:
    """Each direction and its opposite, each once, in the order given."""
    rows = np.stack([ways, -ways], axis=1).reshape(-1, 3)
    same = rows @ rows.T > 1.0 - 1e-6
    return np.asarray(rows[~np.tril(same, -1).any(axis=1)])


def contact_normals(piece: Hulls, others: Hulls) -> Floats:
    """Directions away from what touches, each once, the commonest first, shape (k, 3)."""
    i, j = near_pairs(piece, others, NEAR)
    found = depths(piece, others, i, j, least=-NEAR)
    away = found.away[np.abs(found.depth) <= NEAR]
    if len(away) == 0:
        return np.zeros((0, 3))
    rows, count = np.unique(np.round(away, 2), axis=0, return_counts=True)
    rows = rows[np.argsort(-count, kind="stable")]
    rows = rows / np.linalg.norm(rows, axis=1)[:, None]
    same = rows @ rows.T > math.cos(math.radians(8.0))
    return np.asarray(rows[~np.tril(same, -1).any(axis=1)][:MOST_NORMALS])


def way_out(
    piece: Hulls,
    others: Hulls,
    *,
    tries: Floats | None = None,
    skip: Bools | None = None,
    moves: int = 1,
) -> Out:
    """How a piece comes out.

    Args:
        piece: what is to come out, as it stands.
        others: all that stays.
        tries: unit directions to try first, shape (k, 3): and their opposites.
        skip: pairs that do not count, shape (len(piece), len(others)).
        moves: 0 for a straight move along `tries` only, 1 for one along any direction, 2 for a
            second move after a straight one or a tilt.
    """
    ways = both(tries) if moves == 0 and tries is not None else directions(piece, others, tries)
    found = entries(piece, others, ways, slack=SLACK, skip=skip)
    free = ways[np.isinf(found.first)]
    best = int(found.first.argmax())
    if len(free):
        return _straight(free)
    by = tuple(sorted({int(others.owner[r]) for r in found.by if r >= 0}))
    goes = float(found.first[best])
    path: tuple[Move, ...] = ()
    if moves > 1:
        few = _few(ways, found.first, tries)
        path = _slid(piece, others, (ways, found.first), few, skip)
        path = path or _tilted(piece, others, few, skip)
    return Out(moves=path, free=free, best=ways[best], goes=goes, by=by)


def _straight(free: Floats) -> Out:
    out = (Move(along=point(free[0]), far=math.inf),)
    return Out(moves=out, free=free, best=free[0], goes=math.inf, by=())


def blockers(
    piece: Hulls, others: Hulls, way: Floats, skip: Bools | None = None
) -> tuple[int, ...]:
    """Owners of everything a piece meets on its way straight out."""
    left, found = others, list[int]()
    kept = skip
    while len(left):
        hit = entries(piece, left, way[None], slack=SLACK, skip=kept)
        if hit.by[0] < 0:
            break
        owner = int(left.owner[hit.by[0]])
        found.append(owner)
        stay = left.owner != owner
        left, kept = left.take(stay), None if kept is None else kept[:, stay]
    return tuple(found)


def _few(ways: Floats, first: Floats, tries: Floats | None) -> Floats:
    """The directions that are tried after a first move: those asked for, the axes, the farthest."""
    asked = np.zeros((0, 3)) if tries is None else tries
    far = ways[np.argsort(-first, kind="stable")[:FARTHEST]]
    return both(np.vstack([asked, far, np.eye(3)]))


def _slid(
    piece: Hulls, others: Hulls, found: tuple[Floats, Floats], few: Floats, skip: Bools | None
) -> tuple[Move, ...]:
    """Two straight moves: as far as it goes, or just past what it leaves; then right out."""
    ways, first = found
    for k in np.argsort(-first, kind="stable")[:FARTHEST]:
        for far in _stops(piece, ways[k], float(first[k])):
            there = piece.placed(np.eye(3), far * ways[k])
            after = entries(there, others, few, slack=SLACK, skip=skip)
            if np.isinf(after.first).any():
                last = few[int(np.isinf(after.first).argmax())]
                return (
                    Move(along=point(ways[k]), far=far),
                    Move(along=point(last), far=math.inf),
                )
    return ()


def _stops(piece: Hulls, way: Floats, first: float) -> list[float]:
    """Where a first move may stop [mm]."""
    heights = piece.corners @ way
    own = float(heights.max() - heights.min()) + AIR
    stops = [own, 0.5 * own, first - AIR]
    return [s for s in stops if WORTH <= s <= first - 0.5 * AIR]


def _tilted(piece: Hulls, others: Hulls, few: Floats, skip: Bools | None) -> tuple[Move, ...]:
    """A turn about an axis through one of the piece's ends, then straight out."""
    axes = [(p, sense * axis) for p, axis in _axes(piece) for sense in (1.0, -1.0)]
    reached = turns(piece, others, axes, TILTS[-1], skip)
    for (through, axis), most in zip(axes, reached, strict=True):
        for angle in sorted({min(a, float(most)) for a in TILTS if most > FEWEST}):
            pose = turned(through, axis, angle)
            there = piece.placed(np.array(pose.matrix), np.array(pose.shift))
            more = np.vstack([few, few @ np.array(pose.matrix).T])
            after = entries(there, others, more, slack=SLACK, skip=skip)
            if np.isinf(after.first).any():
                tilt = Move(along=point(axis), turn=angle, through=point(through))
                last = more[int(np.isinf(after.first).argmax())]
                return tilt, Move(along=point(last), far=math.inf)
    return ()


def _axes(piece: Hulls) -> list[tuple[Floats, Floats]]:
    """Axes worth turning about: the piece's own, through its middle and ends; not where round."""
    corners = piece.corners.reshape(-1, 3)
    middle = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    _, size, own = np.linalg.svd(corners - corners.mean(axis=0), full_matrices=True)
    along = (corners - middle) @ own[0]
    ends = [middle + along.min() * own[0], middle + along.max() * own[0]]
    axes = [own[k] for k in (2, 1, 0) if not _alike(size, k) and not _is_rod(piece, own[k])]
    return [(p, axis) for axis in axes for p in (*ends, middle)]


def _alike(size: Floats, k: int) -> bool:
    """Whether the piece is as wide one way as the other about an axis: a turn brings nothing."""
    other = [size[j] for j in range(3) if j != k]
    return bool(abs(other[0] - other[1]) < 0.01 * other[0])


def _is_rod(piece: Hulls, axis: Floats) -> bool:
    return len(piece) == 1 and bool(abs(axis @ piece.axis[0]) > math.cos(FEWEST))


def turns(
    piece: Hulls,
    others: Hulls,
    axes: Sequence[tuple[Floats, Floats]],
    most: float,
    skip: Bools | None = None,
) -> Floats:
    """How far a piece turns about each axis before it meets something, shape (m,) [rad].

    Each is proven up to there: no point moves by more than its distance from the axis a radian,
    and each step is the room there is over the greatest such distance, so nothing is jumped over.

    Args:
        piece: what turns.
        others: all that stays.
        axes: a point [mm] and a unit direction each.
        most: as far as is looked [rad].
        skip: pairs that do not count, shape (len(piece), len(others)).
    """
    far = np.array([_farthest(piece, *axis) for axis in axes])
    angle = np.zeros(len(axes))
    going = np.arange(len(axes))
    room = np.full(len(axes), _rooms([piece], others, skip)[0]) if axes else angle
    for steps in count(1):
        step = (room + SLACK) / far[going]
        on = step >= LEAST
        going, step = going[on], step[on]
        angle[going] = np.minimum(angle[going] + step, most)
        going = going[(angle[going] < most) & ((steps < PATIENCE) | (angle[going] >= FEWEST))]
        if len(going) == 0:
            return angle
        poses = [turned(axes[k][0], axes[k][1], float(angle[k])) for k in going]
        there = [piece.placed(np.array(p.matrix), np.array(p.shift)) for p in poses]
        room = _rooms(there, others, skip)
    raise AssertionError


def _farthest(piece: Hulls, through: Floats, axis: Floats) -> float:
    off = piece.corners - through
    out = off - (off @ axis)[..., None] * axis
    return float((np.sqrt((out * out).sum(axis=2)) + piece.radius[:, None]).max()) + 1e-9


def _rooms(there: Sequence[Hulls], others: Hulls, skip: Bools | None) -> Floats:
    """The least gap of each to anything [mm], at most 20; below 0 the depth of an overlap."""
    all_ = joined(*(owned(h, k) for k, h in enumerate(there)))
    rows = len(there[0])
    room = np.full(len(there), ROOM)
    for within in (1.0, ROOM):
        i, j = near_pairs(all_, others, within)
        kept = room[all_.owner[i]] >= ROOM
        if skip is not None:
            kept &= ~skip[i % rows, j]
        i, j = i[kept], j[kept]
        deep = np.full(len(there), -ROOM)
        np.maximum.at(deep, all_.owner[i], depths(all_, others, i, j, least=-0.2).depth)
        room = np.where((-deep <= within) & (room >= ROOM), -deep, room)
    return room
