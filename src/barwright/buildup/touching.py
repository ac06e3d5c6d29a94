"""Where parts touch, or stand in one another, as they truly are: found once for all who ask.

What mirrors something else to the last digit is not looked at again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.buildup.differences import depths
from barwright.buildup.hulls import Hulls
from barwright.buildup.owners import near_of
from barwright.buildup.rows import MIRROR
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Contacts:
    """Pairs of hulls; each pair of parts is told once, either way round.

    Attributes:
        i, j: rows of the parts' hulls, shape (n,) each.
        away: unit direction from the second to the first, shape (n, 3).
        depth: the least shift that parts them [mm]; below 0 they are apart, shape (n,).
    """

    i: Ints
    j: Ints
    away: Floats
    depth: Floats

    def take(self, rows: Ints | Bools) -> Contacts:
        """Some of them, by index or mask."""
        return Contacts(**{name: column[rows] for name, column in vars(self).items()})

    def of(self, mine: Bools) -> Contacts:
        """Those of some hulls, shape (hulls,), told as seen from these."""
        first, second = self.take(mine[self.i]), self.take(mine[self.j])
        turned = Contacts(i=second.j, j=second.i, away=-second.away, depth=second.depth)
        return joined(first, turned)


def joined(*many: Contacts) -> Contacts:
    """Several lots of contacts as one."""
    return Contacts(
        **{name: np.concatenate([getattr(c, name) for c in many]) for name in vars(many[0])}
    )


def touching(hulls: Hulls, mirrors: Ints, pairs: Ints, within: float) -> Contacts:
    """Where parts come within a distance of one another.

    Args:
        hulls: of all parts, sorted by owner.
        mirrors: which part each one mirrors to the last digit; -1 for none, shape (parts,).
        pairs: of parts, each once, shape (n, 2).
        within: how far apart is still told [mm].
    """
    there = mirrors[pairs]
    code, mirrored = (p[:, 0] * len(mirrors) + p[:, 1] for p in (pairs, there))
    twins = (there >= 0).all(axis=1) & np.isin(mirrored, code)
    p, q = pairs[~twins].T
    _, i, j = near_of(hulls, hulls, (p, q), within)
    deep = depths(hulls, hulls, i, j, least=-within)
    some = deep.depth > -within
    found = Contacts(i=i[some], j=j[some], away=deep.away[some], depth=deep.depth[some])
    return joined(found, *_mirrored(hulls, found, pairs[twins], there[twins]))


def _mirrored(hulls: Hulls, found: Contacts, pairs: Ints, there: Ints) -> list[Contacts]:
    """The contacts of pairs (n, 2) that mirror others (n, 2), whose contacts are found."""
    begin = np.searchsorted(hulls.owner, np.arange(max(pairs.max(initial=0), 0) + 1))
    one, other = hulls.owner[found.i], hulls.owner[found.j]
    lots = []
    for (p, q), (a, b) in zip(pairs.tolist(), there.tolist(), strict=True):
        met = found.take((one == a) & (other == b))
        i, j = met.i - begin[a] + begin[p], met.j - begin[b] + begin[q]
        lots.append(Contacts(i=i, j=j, away=met.away * MIRROR, depth=met.depth))
    return lots
