"""Rows of convex hulls: how far each reaches, its faces, its edges, the box round it.

A rod keeps its round: it is two centres and a radius, and its reach is exact. Its faces and
edges are a choice of directions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats, cross_of

ROUND = 16
"""Sides by which a rod's directions are chosen."""
STAVE_FACES = [0, 1, 2, 3, 5]
"""Of a stave's faces all but the outer side: both ends, the inner side, the two cuts."""
STAVE_EDGES = [0, 1, 2, 3, 4, 8]
"""Of a stave's edges one upright, those round the lower end, the inner one of the upper."""
MIRROR = np.array([1.0, -1.0, 1.0])
"""What mirrors points and directions in the vehicle's centre plane."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Hull:
    """One convex hull.

    Attributes:
        corners: shape (v, 3) [mm]; a rod's two centres.
        radius: of a rod [mm]; 0 for a block.
        axis: a rod's unit axis, zero for a block, shape (3,).
        faces, edges: unit normals and edge directions, either sign, shapes (f, 3) and (e, 3).
    """

    corners: Floats
    radius: float
    axis: Floats
    faces: Floats
    edges: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Hulls:
    """n hulls, padded to the richest: corners by the first, faces and edges by zeros.

    Attributes:
        owner: whose each is, shape (n,).
        corners, radius, axis, faces, edges: as in Hull, with n in front.
        sizes: how many corners, faces and edges are its own, shape (n, 3).
        low, high: the box round each, shape (n, 3) [mm].
    """

    owner: Ints
    corners: Floats
    radius: Floats
    axis: Floats
    faces: Floats
    edges: Floats
    sizes: Ints
    low: Floats
    high: Floats

    def __len__(self) -> int:
        return len(self.owner)

    def take(self, rows: Ints | Bools | slice) -> Hulls:
        """Some of them, by index, mask or slice."""
        return Hulls(**{name: column[rows] for name, column in vars(self).items()})

    def of(self, owner: int) -> Hulls:
        """Those of one owner; they have to be sorted by owner."""
        first, end = np.searchsorted(self.owner, (owner, owner + 1))
        return self.take(slice(first, end))

    def placed(self, matrix: Floats, shift: Floats) -> Hulls:
        """All of them turned by a matrix (3, 3) and shifted by (3,) [mm]."""
        corners = self.corners @ matrix.T + shift
        axis = self.axis @ matrix.T
        low, high = _boxes(corners, self.radius, axis)
        return Hulls(
            owner=self.owner,
            corners=corners,
            radius=self.radius,
            axis=axis,
            faces=self.faces @ matrix.T,
            edges=self.edges @ matrix.T,
            sizes=self.sizes,
            low=low,
            high=high,
        )

    def mirrored(self) -> Hulls:
        """All of them on the other side of the vehicle's centre plane."""
        low, high = self.low * MIRROR, self.high * MIRROR
        return Hulls(
            owner=self.owner,
            corners=self.corners * MIRROR,
            radius=self.radius,
            axis=self.axis * MIRROR,
            faces=self.faces * MIRROR,
            edges=self.edges * MIRROR,
            sizes=self.sizes,
            low=np.minimum(low, high),
            high=np.maximum(low, high),
        )


def stacked(flat: Sequence[Hull]) -> Hulls:
    """Hulls as rows, all of owner 0."""
    corners = _padded([h.corners for h in flat], repeat=True)
    radius = np.array([h.radius for h in flat], dtype=float)
    axis = np.array([h.axis for h in flat], dtype=float).reshape(-1, 3)
    sizes = np.array([(len(h.corners), len(h.faces), len(h.edges)) for h in flat], dtype=np.intp)
    low, high = _boxes(corners, radius, axis)
    return Hulls(
        owner=np.zeros(len(flat), dtype=np.intp),
        corners=corners,
        radius=radius,
        axis=axis,
        faces=_padded([h.faces for h in flat]),
        edges=_padded([h.edges for h in flat]),
        sizes=sizes.reshape(-1, 3),
        low=low,
        high=high,
    )


def joined(*many: Hulls) -> Hulls:
    """Several sets of hulls as one; owners count on as they are."""
    kept = [h for h in many if len(h)] or list(many[:1])
    wide = [max(getattr(h, name).shape[1] for h in kept) for name in ("corners", "faces", "edges")]
    return Hulls(
        owner=np.concatenate([h.owner for h in kept]),
        corners=np.concatenate([_widened(h.corners, wide[0], repeat=True) for h in kept]),
        radius=np.concatenate([h.radius for h in kept]),
        axis=np.concatenate([h.axis for h in kept]),
        faces=np.concatenate([_widened(h.faces, wide[1]) for h in kept]),
        edges=np.concatenate([_widened(h.edges, wide[2]) for h in kept]),
        sizes=np.concatenate([h.sizes for h in kept]),
        low=np.concatenate([h.low for h in kept]),
        high=np.concatenate([h.high for h in kept]),
    )


def whose(many: Hulls, owner: ArrayLike) -> Hulls:
    """The same hulls, owned by others, shape (n,)."""
    return replace(many, owner=np.asarray(owner, dtype=np.intp))


def owned(many: Hulls, owner: int) -> Hulls:
    """The same hulls, all of one owner."""
    return whose(many, np.full(len(many), owner))


def prisms(corners: Floats, *, straight: bool = True) -> Hulls:
    """Blocks whose upper corners stand over their lower ones, shape (n, 2m, 3), owner 0.

    Args:
        corners: m corners of the lower face in order, then those over them [mm].
        straight: whether the upper face is the lower one shifted; else it may lie askew.
    """
    n, m = len(corners), corners.shape[1] // 2
    low, high = corners[:, :m], corners[:, m:]
    base, top = _round(low) - low, _round(high) - high
    up = high - low
    ends = [_newell(low)] if straight else [_newell(low), _newell(high)]
    sides = cross_of(base + top, up + _round(up))
    faces = np.concatenate([*(e[:, None] for e in ends), sides], axis=1)
    edges = np.concatenate([up[:, :1], base, *([] if straight else [up[:, 1:], top])], axis=1)
    return Hulls(
        owner=np.zeros(n, dtype=np.intp),
        corners=corners,
        radius=np.zeros(n),
        axis=np.zeros((n, 3)),
        faces=_ones(faces),
        edges=_ones(edges),
        sizes=np.tile(np.array([2 * m, faces.shape[1], edges.shape[1]], dtype=np.intp), (n, 1)),
        low=corners.min(axis=1),
        high=corners.max(axis=1),
    )


def staved(corners: Floats) -> Hulls:
    """Staves of tubes' walls, shape (n, 8, 3), owner 0: prisms with every direction told once.

    Args:
        corners: inner, inner, outer, outer of the lower end, then those over them; uprights and
            the ends' edges through the wall are parallel, and the upper end is square.
    """
    whole = prisms(corners, straight=False)
    faces, edges = whole.faces[:, STAVE_FACES], whole.edges[:, STAVE_EDGES]
    sizes = np.array([8, len(STAVE_FACES), len(STAVE_EDGES)], dtype=np.intp)
    return replace(whole, faces=faces, edges=edges, sizes=np.tile(sizes, (len(corners), 1)))


def rods(start: Floats, end: Floats, radius: Floats) -> Hulls:
    """Round bars between two points each, owner 0.

    Args:
        start: shape (n, 3) [mm].
        end: shape (n, 3) [mm].
        radius: shape (n,) [mm].
    """
    run = end - start
    size = np.sqrt((run * run).sum(axis=1, keepdims=True))
    axis = run / np.maximum(size, 1e-300)
    x, y = _square(axis)
    ring = _TURNS[:, :1] * x[:, None] + _TURNS[:, 1:] * y[:, None]
    corners = np.stack([start, end], axis=1)
    faces = np.concatenate([axis[:, None], ring], axis=1)
    edges = np.concatenate([axis[:, None], ring[:, ::2]], axis=1)
    low, high = _boxes(corners, radius, axis)
    sizes = np.array([2, faces.shape[1], edges.shape[1]], dtype=np.intp)
    return Hulls(
        owner=np.zeros(len(start), dtype=np.intp),
        corners=corners,
        radius=radius,
        axis=axis,
        faces=faces,
        edges=edges,
        sizes=np.tile(sizes, (len(start), 1)),
        low=low,
        high=high,
    )


def _square(axis: Floats) -> tuple[Floats, Floats]:
    """Two unit directions square to each axis and to one another, shape (n, 3) each."""
    least = np.abs(axis).argmin(axis=1)
    x = _ones(cross_of(axis, np.eye(3)[least])[:, None])[:, 0]
    return x, cross_of(axis, x)


_ANGLES = np.arange(ROUND // 2) * (2.0 * math.pi / ROUND)
_TURNS = np.column_stack([np.cos(_ANGLES), np.sin(_ANGLES)])


def _round(rows: Floats) -> Floats:
    """The next corner to each."""
    return np.concatenate([rows[:, 1:], rows[:, :1]], axis=1)


def _newell(rings: Floats) -> Floats:
    """Normals of polygons (n, m, 3), even where they are not quite flat."""
    middle = rings - rings.mean(axis=1, keepdims=True)
    return np.asarray(cross_of(middle, _round(middle)).sum(axis=1))


def _ones(rows: Floats) -> Floats:
    size = np.sqrt((rows * rows).sum(axis=2, keepdims=True))
    return np.asarray(rows / np.where(size > 1e-9, size, 1.0))


def _widened(rows: Floats, wide: int, *, repeat: bool = False) -> Floats:
    more = wide - rows.shape[1]
    if more == 0:
        return rows
    fill = np.repeat(rows[:, :1], more, axis=1)
    return np.concatenate([rows, fill if repeat else np.zeros_like(fill)], axis=1)


def _padded(rows: list[Floats], *, repeat: bool = False) -> Floats:
    most = max((len(r) for r in rows), default=1)
    out = np.zeros((len(rows), most, 3))
    for i, r in enumerate(rows):
        out[i, : len(r)] = r
        if repeat:
            out[i, len(r) :] = r[0]
    return out


def _boxes(corners: Floats, radius: Floats, axis: Floats) -> tuple[Floats, Floats]:
    """The box round each: a disc of radius r reaches r sqrt(1 - a²) along a coordinate."""
    out = radius[:, None] * np.sqrt(np.maximum(1.0 - axis * axis, 0.0))
    return corners.min(axis=1) - out, corners.max(axis=1) + out
