"""What is to come out of the finished weldment, what stands round it, and which ways suit it.

Loose pieces are bolts, spacers, latches, and each leaf as it is welded; all else is the weldment.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np

from barwright.buildup.clash import TOUCH, placed
from barwright.buildup.differences import depths, near_pairs
from barwright.buildup.hulls import Hulls, joined
from barwright.buildup.owners import near_of
from barwright.buildup.things import Things, groups
from barwright.buildup.ways import both
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.solids import Rod
from barwright.geometry.vectors import Floats

Piece: TypeAlias = tuple[str, ...]
"""The parts that are one piece, by name."""
CLOSED = "closed"
"""The state in which no leaf stands open; other states are named for the leaf that does."""

CLOSE = 150.0
"""Parts with anything this near to a loose piece [mm] are taken as they truly are."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """All parts as hulls, ready to be taken apart.

    Attributes:
        all: the parts.
        hulls: of all, those near loose pieces as they truly are; `owner` counts `all.all`.
        pieces: the loose pieces, by their parts' names.
        overlaps: rows of hulls that are meant to be in one another and are, shape (k,) each.
    """

    all: Things
    hulls: Hulls
    pieces: tuple[Piece, ...]
    overlaps: tuple[Ints, Ints]

    @cached_property
    def skip(self) -> Bools:
        """The overlaps as a table of all rows by all rows."""
        table = np.zeros((len(self.hulls), len(self.hulls)), dtype=bool)
        table[self.overlaps] = True
        return table

    def hulls_in(self, state: str) -> Hulls:
        """All hulls, in their order, with a leaf and all that rides on it open."""
        motion = next((m for m in self.all.motions if m.leaf == state), None)
        if motion is None:
            return self.hulls
        rides = np.array([t.rides == motion.leaf for t in self.all.all])[self.hulls.owner]
        turned = placed(self.hulls, motion.pose(motion.opens))
        return chosen(rides, turned, self.hulls)


def chosen(some: Bools, one: Hulls, other: Hulls) -> Hulls:
    """Row by row the first's where `some` says so, else the second's; both of one shape."""
    columns = {
        name: np.where(some.reshape(-1, *[1] * (column.ndim - 1)), column, getattr(other, name))
        for name, column in vars(one).items()
    }
    return Hulls(**columns)


def scene(all_: Things) -> Scene:
    """The finished weldment with its loose pieces."""
    whole = groups(all_, [t.name for t in all_.all])
    pieces = tuple(g for g in whole if _loose(all_, g))
    hulls = _hulls(all_, {n for g in pieces for n in g})
    return Scene(all=all_, hulls=hulls, pieces=pieces, overlaps=_overlaps(all_, hulls))


def _loose(all_: Things, names: Sequence[str]) -> bool:
    """Hardware by itself, or what swings: all else is the weldment."""
    return all(all_.named(n).rides or all_.named(n).kind == "hardware" for n in names)


def _hulls(all_: Things, loose: Iterable[str]) -> Hulls:
    """Everything as hulls: as it truly is near hardware, bars elsewhere as their bodies."""
    own = all_.hulls
    at = [i for i, t in enumerate(all_.all) if t.name in loose and t.kind == "hardware"]
    here = own.take(np.isin(own.owner, at))
    i, j = near_pairs(own, here, CLOSE) if len(here) else (np.zeros(0, dtype=np.intp),) * 2
    del j
    near = {k for k in np.unique(own.owner[i]) if all_.all[k].kind != "bar"} | set(at)
    rough, true = (np.isin(h.owner, sorted(near)) for h in (own, all_.fine))
    return joined(own.take(~rough), all_.fine.take(true))


def states(all_: Things, names: Sequence[str]) -> list[str]:
    """Closed, and with the piece's own leaf open."""
    rides = {all_.named(n).rides for n in names} - {""}
    return [CLOSED, *(m.leaf for m in all_.motions if m.leaf in rides)]


def is_bolt(names: Sequence[str]) -> bool:
    """Whether a piece is a bolt by itself."""
    return len(names) == 1 and names[0].removesuffix("-twin").endswith("bolt")


def easiest(left: Sequence[Piece]) -> list[Piece]:
    """Bolts first, then other hardware, then whole leaves."""
    return sorted(left, key=lambda names: (len(names), not is_bolt(names)))


def parted(
    s: Scene, names: Sequence[str], gone: set[str], state: str = CLOSED
) -> tuple[Hulls, Hulls, Bools | None]:
    """A piece where it stands, everything else that is still there, and pairs not to count."""
    own = [s.all.index[n] for n in names]
    away = [s.all.index[n] for n in gone]
    hulls = s.hulls_in(state)
    mask, rest = np.isin(hulls.owner, own), ~np.isin(hulls.owner, own + away)
    return hulls.take(mask), hulls.take(rest), skip_of(s, mask, rest)


def natural(all_: Things, names: Sequence[str]) -> Floats:
    """The ways a piece is made to come out, shape (k, 3).

    A bolt or a ring comes along its axis; a leaf out of its mouth, along its axis and away from
    it; anything else has none.
    """
    bought = all(all_.named(n).kind == "hardware" for n in names)
    rows = [_axes(all_, n) for n in names] if bought else _of_leaves(all_, names)
    return both(np.vstack([np.zeros((0, 3)), *rows]))


def _axes(all_: Things, name: str) -> Floats:
    rods = [s for s in all_.named(name).body.solids if isinstance(s, Rod)]
    rows = np.array([np.subtract(r.end, r.start) for r in rods]).reshape(-1, 3)
    return np.asarray(rows / np.linalg.norm(rows, axis=1, keepdims=True))


def _of_leaves(all_: Things, names: Sequence[str]) -> list[Floats]:
    own = all_.hulls.take(np.isin(all_.hulls.owner, [all_.index[n] for n in names]))
    middle = own.corners.reshape(-1, 3).mean(axis=0)
    found = []
    for m in all_.motions:
        if m.leaf in {all_.named(n).rides for n in names}:
            arm = middle - m.through
            outward = np.cross(m.along, arm) * np.sign(m.opens)
            found.append(np.array([outward, arm, m.along]))
    return [rows / np.linalg.norm(rows, axis=1, keepdims=True) for rows in found]


def first_tries(all_: Things, names: Sequence[str]) -> Floats:
    """The natural ways, then x, y and z; and their opposites, each once, shape (k, 3)."""
    return both(np.vstack([natural(all_, names), np.eye(3)]))


def _overlaps(all_: Things, hulls: Hulls) -> tuple[Ints, Ints]:
    """Rows meant to be in one another that are, as everything stands closed: either way round."""
    rows = [(all_.index[one], all_.index[other]) for one, other in sorted(all_.meant)]
    p, q = np.array(rows, dtype=np.intp).reshape(-1, 2).T
    _, i, j = near_of(hulls, hulls, (p, q), -TOUCH)
    deep = depths(hulls, hulls, i, j, least=TOUCH).depth > TOUCH
    i, j = i[deep], j[deep]
    return np.concatenate([i, j]), np.concatenate([j, i])


def skip_of(s: Scene, mine: Bools, rest: Bools) -> Bools | None:
    """Pairs of a piece and the rest that do not count, by masks of the scene's hulls."""
    i, j = s.overlaps
    some = mine[i] & rest[j]
    if not some.any():
        return None
    skip = np.zeros((int(mine.sum()), int(rest.sum())), dtype=bool)
    skip[(np.cumsum(mine) - 1)[i[some]], (np.cumsum(rest) - 1)[j[some]]] = True
    return skip
