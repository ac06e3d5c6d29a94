"""What holds a part in place when it is put in, and what is still left open.

Every touching pair of hulls gives lines along which the part cannot move: its normal, through the
corners of the patch where they touch. A motion (v, w) is stopped by a line n through p when
n . v + (p x n) . w is not 0; what no line stops is left open (screw theory; M. T. Mason,
"Mechanics of Robotic Manipulation", MIT 2001, from memory). Contacts count both ways: the part is
held against them by hand, clamp or magnet until it is tacked. Lines that differ by less than a
tenth, turns counted at half the part's own size, count once: a tab 3 mm wide does not hold a long
plate square.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barwright.buildup.bearings import line
from barwright.buildup.hulls import Hulls
from barwright.buildup.results import Freedom
from barwright.buildup.things import HELD, Thing, Things
from barwright.buildup.touching import Contacts
from barwright.geometry.convex import Ints
from barwright.geometry.vectors import Floats, cross_of

DEEP = 2.0
"""Parts that stand deeper in one another than this [mm] clash: that holds nothing."""
WEAK = 0.12
"""A line that adds less than this to what is held already holds nothing."""


def contacts(all_: Things) -> Contacts:
    """Where parts hold one another."""
    found = all_.touching
    return found.take((found.depth > -HELD) & (found.depth < DEEP))


def freedom(all_: Things, name: str, placed: Sequence[str], found: Contacts) -> Freedom:
    """What is left open of one part when it is put among those placed before it."""
    hulls = all_.fine
    order = np.full(len(all_.all), -1)
    order[[all_.index[n] for n in placed if n != name]] = [
        k for k, n in enumerate(placed) if n != name
    ]
    at = all_.index[name]
    mine = hulls.owner == at
    met = found.of(mine)
    there = order[hulls.owner[met.j]] >= 0
    i, j, away = met.i[there], met.j[there], met.away[there]
    low, high = hulls.low[mine].min(axis=0), hulls.high[mine].max(axis=0)
    about = 0.5 * (low + high), 0.5 * float(np.linalg.norm(high - low))
    left = _left(_held(_lines(hulls, hulls, (i, j), away, about)))
    by = sorted(set(hulls.owner[j].tolist()), key=lambda k: int(order[k]))
    names = tuple(all_.all[k].name for k in by)
    return Freedom(
        name=name,
        left=len(left),
        ways=tuple(_say(m) for m in left),
        by=names,
        fix=_fix(all_.all[at], left, names),
    )


def _lines(
    a: Hulls, b: Hulls, rows: tuple[Ints, Ints], away: Floats, about: tuple[Floats, float]
) -> Floats:
    """The lines (n, (p - c) x n / size) at the corners of every patch, shape (k, 6)."""
    i, j = rows
    middle, size = about
    low, high = np.maximum(a.low[i], b.low[j]), np.minimum(a.high[i], b.high[j])
    centre, half = 0.5 * (low + high), 0.35 * np.maximum(high - low, 0.0)
    seed = np.where(np.abs(away[:, 2:]) < 0.9, (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    u = cross_of(away, seed)
    u = u / np.linalg.norm(u, axis=1, keepdims=True)
    v = cross_of(away, u)
    x, y = (2.0 * (np.abs(w) * half).sum(axis=1, keepdims=True) * w for w in (u, v))
    rows_ = [
        np.hstack([away, cross_of(centre + p * x + q * y - middle, away) / size])
        for p, q in ((-1, -1), (-1, 1), (1, -1), (1, 1))
    ]
    return _each_once(np.round(np.vstack(rows_), 4))


def _each_once(rows: Floats) -> Floats:
    """Rows (n, 6), sorted, those alike once: what np.unique does, much quicker."""
    order = np.lexsort(rows.T[::-1])
    sorted_ = rows[order]
    new = np.ones(len(rows), dtype=bool)
    new[1:] = (sorted_[1:] != sorted_[:-1]).any(axis=1)
    return sorted_[new]


def _held(lines: Floats) -> Floats:
    """Orthonormal motions that are stopped, the best held first, shape (k, 6)."""
    basis: list[Floats] = []
    left = lines.copy()
    while len(left) and len(basis) < 6:
        size = np.linalg.norm(left, axis=1)
        k = int(size.argmax())
        if size[k] < WEAK:
            break
        q = left[k] / size[k]
        basis.append(q)
        left = left - np.outer(left @ q, q)
    return np.array(basis).reshape(-1, 6)


def _left(held: Floats) -> list[Floats]:
    """Motions still open, plain shifts first where there are any."""
    whole = np.eye(6) - held.T @ held
    values, vectors = np.linalg.eigh(whole)
    space = vectors[:, values > 0.5]
    if space.shape[1] == 0:
        return []
    _, _, turn = np.linalg.svd(space[3:])
    return [space @ t for t in turn[::-1]]


def _say(motion: Floats) -> str:
    shift, turn = float(np.linalg.norm(motion[:3])), float(np.linalg.norm(motion[3:]))
    if turn < 0.3 * shift or turn < WEAK:
        return f"slides along {line(motion[:3])}"
    return f"turns about {line(motion[3:])}"


def _fix(  # noqa: PLR0911 - one return a case
    thing: Thing, left: list[Floats], by: tuple[str, ...]
) -> str:
    """What holds the rest."""
    if not left:
        return ""
    if not by:
        return "nothing to bear on: a fixture, or measure it in"
    turns = sum(np.linalg.norm(m[3:]) > WEAK for m in left)
    if thing.kind == "bar":
        return "a magnet or clamp at each end, and measure to its marks"
    if thing.kind == "hardware":
        return "" if turns else "its nut"
    if turns and len(left) == 1:
        return "a second bolt or a tab stops the turn"
    if turns:
        return "a third hole or a second tab; until then a magnet square"
    return "a tab into a slot, or a magnet against the tube"
