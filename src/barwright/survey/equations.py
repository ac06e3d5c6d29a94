"""What each reading demands of the marks: one residual row or several, and their gradients.

All forms are written for points in D dimensions, D = 3 in truth. The search for a start
(`start.py`) lends the marks a dimension or two more, so that a mark can pass round the plane
in which it would otherwise be stuck on the wrong side.

Let P be the marks of a row, f what the row measures, v what was read, s its plus/minus.
Every row is the whitened residual (f(P) - v)/s:

====================  =============================================================
tape, over, between   f = |A - B| (over: less rA + rB; between: plus rA + rB)
height/station/offset f = z, x, y of A;  fixed: three rows
level, plumb          f = zA - zB;  xA - xB and yA - yB
middle                f = M - (A + B)/2, three rows
pair                  f = xL - xR, yL + yR, zL - zR
incline               f = atan2(zB - zA, level distance)
corner                f = the angle at B between A and C
line, flat            the departures from the best line (plane) through the marks: for m
                      marks 2(m - 2) rows (m - 3 rows), free of the order of the marks
====================  =============================================================

For `line` and `flat`, let Y be the m points less their mean, and N an orthonormal base of the
part of R^m square to 1 and to the marks' positions along the best line (plane). The rows are
NᵀY e for the directions e square to it. Their sum of squares is the least sum of squared
departures, and NᵀN = 1 leaves the rows independent with sd s each: s is how far a single mark
may stand off the straightedge.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import groupby
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.job.schema import Reading
from barwright.survey.adjust import Block, Linearised

Indices: TypeAlias = NDArray[np.intp]

Form: TypeAlias = Callable[[Floats], tuple[Floats, Floats]]
"""Points (m, p, D) to measured values (m,) and their gradients (m, p, D)."""

AXES: Mapping[str, int] = {"station": 0, "offset": 1, "height": 2}
LENGTHS = frozenset({"tape", "over", "between", "height", "station", "offset"})
ANGLES = frozenset({"incline", "corner"})
_SMALL = 1e-9


@dataclass(frozen=True, kw_only=True, eq=False)
class Rows:
    """Rows of one form: m rows about p marks each.

    Attributes:
        marks: (m, p) which marks.
        value: (m,) what the form should come to [mm or rad].
        sd: (m,) one standard deviation [mm or rad].
        reading: (m,) which reading each row belongs to.
        weight, axis: for linear rows only: (m, p) factors and (m,) coordinate axes.
        form: for the others.
    """

    marks: Indices
    value: Floats
    sd: Floats
    reading: Indices
    weight: Floats | None = None
    axis: Indices | None = None
    form: Form | None = None

    def columns(self, d: int) -> Indices:
        """Which unknowns of points in d dimensions each row is about, (m, k)."""
        if self.form is None and self.axis is not None:
            return self.marks * d + self.axis[:, None]
        return (self.marks[:, :, None] * d + np.arange(d)).reshape(len(self.marks), -1)


@dataclass(frozen=True, kw_only=True, eq=False)
class Straight:
    """One `line` (rank 1) or `flat` (rank 2) reading over three (four) marks or more."""

    marks: Indices
    rank: int
    sd: float
    reading: int


@dataclass(frozen=True, kw_only=True, eq=False)
class Network:
    """Readings made ready for the solver.

    Attributes:
        names: the marks, n of them, in the order they are first named.
        readings: the readings used, in their order.
        rows: the rows by form.
        straights: the readings with a line or a plane in them.
    """

    names: tuple[str, ...]
    readings: tuple[Reading, ...]
    rows: tuple[Rows, ...]
    straights: tuple[Straight, ...]

    @cached_property
    def alike(self) -> tuple[tuple[Straight, ...], ...]:
        """The straights, those that follow one another with one rank and length together."""
        runs = groupby(self.straights, key=lambda s: (s.rank, len(s.marks)))
        return tuple(tuple(run) for _, run in runs)

    @cached_property
    def reading_of_row(self) -> Indices:
        """(rows,) the reading behind every row in three dimensions, in their order."""
        parts = [r.reading for r in self.rows]
        parts += [
            np.full((3 - s.rank) * (len(s.marks) - 1 - s.rank), s.reading, dtype=np.intp)
            for s in self.straights
        ]
        return np.concatenate(parts) if parts else np.zeros(0, dtype=np.intp)

    @cached_property
    def sd_of_row(self) -> Floats:
        """(rows,) the plus/minus of every row in three dimensions [mm or rad]."""
        return np.array([self.readings[i].plus_minus for i in self.reading_of_row])

    @cached_property
    def index(self) -> dict[str, int]:
        """Which number a mark has."""
        return {name: i for i, name in enumerate(self.names)}


def distance(points: Floats) -> tuple[Floats, Floats]:
    """|A - B| and its gradient; points (m, 2, D).

    >>> f, g = distance(np.array([[[0.0, 0, 0], [3.0, 4, 0]]]))
    >>> f.tolist(), g[0, 1].tolist()
    ([5.0], [0.6, 0.8, 0.0])
    """
    d = points[:, 1] - points[:, 0]
    length = np.sqrt(np.einsum("md,md->m", d, d))
    toward = d / np.maximum(length, _SMALL)[:, None]
    return length, np.stack((-toward, toward), axis=1)


def incline(points: Floats) -> tuple[Floats, Floats]:
    """The angle of A to B above level and its gradient; points (m, 2, D), up is axis 2."""
    d = points[:, 1] - points[:, 0]
    rise = d[:, 2].copy()
    d[:, 2] = 0.0
    level = np.maximum(np.sqrt(np.einsum("md,md->m", d, d)), _SMALL)
    square = np.maximum(rise**2 + level**2, _SMALL**2)
    g = -d * (rise / (level * square))[:, None]
    g[:, 2] = level / square
    return np.arctan2(rise, level), np.stack((-g, g), axis=1)


def corner(points: Floats) -> tuple[Floats, Floats]:
    """The angle at B between A and C and its gradient; points (m, 3, D) as A, B, C."""
    u, v = points[:, 0] - points[:, 1], points[:, 2] - points[:, 1]
    lu = np.maximum(np.sqrt(np.einsum("md,md->m", u, u)), _SMALL)[:, None]
    lv = np.maximum(np.sqrt(np.einsum("md,md->m", v, v)), _SMALL)[:, None]
    u, v = u / lu, v / lv
    cos = np.einsum("md,md->m", u, v)[:, None]
    across_u, across_v = v - cos * u, u - cos * v
    sin = np.maximum(np.sqrt(np.einsum("md,md->m", across_u, across_u)), _SMALL)[:, None]
    ga, gc = -across_u / (sin * lu), -across_v / (sin * lv)
    return np.arctan2(sin, cos)[:, 0], np.stack((ga, -ga - gc, gc), axis=1)


def _linear(rows: Rows, x: Floats) -> tuple[Floats, Floats]:
    assert rows.weight is not None  # noqa: S101 - narrows the type
    assert rows.axis is not None  # noqa: S101 - narrows the type
    f = np.einsum("mp,smp->sm", rows.weight, x[:, rows.marks, rows.axis[:, None]])
    return f, np.broadcast_to(rows.weight, (len(x), *rows.weight.shape))


def _curved(rows: Rows, x: Floats) -> tuple[Floats, Floats]:
    assert rows.form is not None  # noqa: S101 - narrows the type
    (m, p), d = rows.marks.shape, x.shape[2]
    f, gradient = rows.form(x[:, rows.marks].reshape(-1, p, d))
    return f.reshape(-1, m), gradient.reshape(-1, m, p * d)


def _whitened(rows: Rows, x: Floats) -> tuple[Floats, Block]:
    f, values = _linear(rows, x) if rows.form is None else _curved(rows, x)
    values = values / rows.sd[:, None]
    return (f - rows.value) / rows.sd, Block(columns=rows.columns(x.shape[2]), values=values)


def departures(points: Floats, rank: int) -> Floats:
    """How far each of m points (m, D) stands off their best line (rank 1) or plane (rank 2)."""
    y = points - points.mean(axis=0)
    across = np.linalg.svd(y)[2][rank:]
    return np.asarray(np.sqrt(np.sum((y @ across.T) ** 2, axis=1)))


@lru_cache(maxsize=64)
def _apart(m: int) -> Floats:
    """(m, m - 1) an orthonormal base of all that is square to 1 (Helmert's)."""
    k = np.arange(1, m)
    base = (np.tri(m - 1, m) - np.diag(k, 1)[:-1]) / np.sqrt(k * (k + 1.0))[:, None]
    return np.asarray(base.T)


def _straight(same: Sequence[Straight], x: Floats) -> tuple[Floats, Block]:
    """Readings of one rank over equally many marks, all at once.

    With H square to 1 and HᵀY = U S Vᵀ, N is H times the later columns of U and e runs over the
    later ones of V, so that the rows are the later singular values, and nought.
    """
    marks = np.stack([s.marks for s in same])
    rank, sd = same[0].rank, np.array([s.sd for s in same])
    (k, m), d, helmert = marks.shape, x.shape[2], _apart(marks.shape[1])
    u, size, vt = np.linalg.svd(helmert.T @ x[:, marks], full_matrices=True)
    base, across = helmert @ u[..., rank:], vt[..., rank:, :]
    a, e = m - 1 - rank, d - rank
    residual = np.zeros((len(x), k, a, e))
    few = np.arange(min(a, e))
    residual[..., few, few] = size[..., rank:]
    gradient = np.einsum("skja,sked->skaejd", base, across).reshape(len(x), k * a * e, m * d)
    columns = (marks[:, :, None] * d + np.arange(d)).reshape(k, m * d).repeat(a * e, axis=0)
    sd = sd.repeat(a * e)
    whitened = residual.reshape(len(x), -1) / sd
    return whitened, Block(columns=columns, values=gradient / sd[:, None])


def linearise(network: Network, x: Floats) -> Linearised:
    """Whitened residuals and Jacobian of all readings at positions x of shape (n, D).

    Several sets of positions at once, (s, n, D), give residuals (s, rows) and values (s, m, k).
    """
    every = x.reshape(-1, *x.shape[-2:])
    parts = [_whitened(rows, every) for rows in network.rows]
    parts += [_straight(same, every) for same in network.alike]
    residual = np.concatenate([r for r, _ in parts], axis=1) if parts else np.zeros((len(every), 0))
    if x.ndim > 2:
        return Linearised(residual=residual, blocks=tuple(b for _, b in parts))
    blocks = tuple(Block(columns=b.columns, values=b.values[0]) for _, b in parts)
    return Linearised(residual=residual[0], blocks=blocks)
