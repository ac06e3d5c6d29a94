"""What stands in each loose piece's ways, as far as it has been looked at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from barwright.buildup.hulls import Hulls
from barwright.buildup.service import Piece, Scene, first_tries, natural
from barwright.buildup.sliding import in_the_way
from barwright.buildup.ways import SLACK
from barwright.geometry.convex import Ints
from barwright.geometry.vectors import Floats

Owners: TypeAlias = frozenset[int]
"""Parts, by where they are in the scene's list."""
Asked: TypeAlias = tuple[Piece, str, int]
"""A piece, the leaf that stands open or "closed", and 0 for the natural ways, 1 for x, y and z."""
Seen: TypeAlias = dict[Asked, tuple[Floats, list[Owners]]]
"""The ways, and for each all that stands in it, whatever is gone already."""


def look(s: Scene, asked: Iterable[Asked], seen: Seen) -> None:
    """Look at what has not been looked at yet, all of a state at once."""
    new = [a for a in dict.fromkeys(asked) if a not in seen]
    for state in dict.fromkeys(a[1] for a in new):
        some = [a for a in new if a[1] == state]
        ways = [ways_of(s, piece, lot) for piece, _, lot in some]
        met = met_by(s, [a[0] for a in some], ways, state)
        seen.update(zip(some, zip(ways, met, strict=True), strict=True))


def ways_of(s: Scene, piece: Piece, lot: int) -> Floats:
    """A piece's natural ways, or those of x, y and z that are not among them."""
    first = natural(s.all, piece)
    return first if lot == 0 else first_tries(s.all, piece)[len(first) :]


def met_by(
    s: Scene,
    pieces: Sequence[Piece],
    ways: Sequence[Floats],
    state: str,
    among: Sequence[Owners] | None = None,
) -> list[list[Owners]]:
    """For each piece and each of its ways, all parts in its way; of those among, if given."""
    of = np.repeat(np.arange(len(pieces)), [len(w) for w in ways])
    if len(of) == 0:
        return [[] for _ in pieces]
    own = [[s.all.index[n] for n in piece] for piece in pieces]
    may = np.ones((len(pieces), len(s.all.all)), dtype=bool)
    if among is not None:
        may[:] = False
        for k, some in enumerate(among):
            may[k, sorted(some)] = True
    for k, rows in enumerate(own):
        may[k, rows] = False
    hulls = s.hulls_in(state)
    movers, rows_ = _movers(hulls, own)
    hit = in_the_way(movers, hulls, np.vstack(ways), of, slack=SLACK, may=may, skip=s.skip[rows_])
    met = [frozenset(np.nonzero(row)[0].tolist()) for row in hit]
    ends = np.cumsum([0, *(len(w) for w in ways)])
    return [met[a:b] for a, b in pairwise(ends)]


def _movers(hulls: Hulls, own: Sequence[Sequence[int]]) -> tuple[Hulls, Ints]:
    """The pieces' hulls, owned by pieces; a piece asked about twice is there twice."""
    rows = [np.nonzero(np.isin(hulls.owner, some))[0] for some in own]
    flat = np.concatenate(rows)
    owner = np.repeat(np.arange(len(own)), [len(r) for r in rows])
    return replace(hulls.take(flat), owner=owner), flat
