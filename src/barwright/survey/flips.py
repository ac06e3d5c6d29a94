"""Other places where marks could stand and nearly fit: where to look for a second answer.

A weakly tied mark often has two places, mirror images in the plane of what it is tied to, and
readings that hardly tell them apart. The formal sd knows nothing of that. Looked at are:

* every mark by itself, all others held: every place its readings allow (`place.answers`), and
  its mirror image in the plane of its neighbours;
* marks joined by `pair`, both at once;
* small sets of neighbouring marks with few readings to spare, taken out together and placed
  anew from the others;
* steps along the motions the survey knows least about;
* the whole, mirrored in each plane.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.equations import Network
from barwright.survey.grow import regrown
from barwright.survey.links import Link, by_mark, links_of
from barwright.survey.place import Ties, loss, misfit_at, refined, spots
from barwright.survey.ties import Plan, plan_of, ties_of

APART = 3.0
"""Two answers for a mark closer than this are one [mm]."""
HOPELESS = 80.0
"""A change that makes the forgiving misfit this much worse, all others held, is not tried."""
LARGEST, SLACKEST = 5, 14
"""Up to how many marks are taken out together and placed anew, and how many such sets."""
WEAK = 4.0
"""Motions better known than this are not stepped along [mm, one sd]."""


def _images(ties: Ties, here: Floats) -> Floats:
    """Marks (B, 3) reflected in the planes nearest to their neighbours, where there are three."""
    told = ties.sphere_weight > 0.0
    count = np.maximum(told.sum(axis=1), 1)[:, None]
    middle = np.sum(ties.centres * told[..., None], axis=1) / count
    y = (ties.centres - middle[:, None]) * told[..., None]
    if y.shape[1] < 3:
        return here
    normal = np.linalg.svd(y, full_matrices=False)[2][:, 2]
    off = np.einsum("bd,bd->b", here - middle, normal) * (count[:, 0] >= 3)
    return np.asarray(here - 2.0 * off[:, None] * normal)


def _other_places(plans: Sequence[Plan], x: Floats) -> Iterator[tuple[int, float, Floats]]:
    """Other places for one mark, all others held: which plan's, how much worse, and where."""
    for kind in dict.fromkeys(plan.kind for plan in plans):
        which = np.array([i for i, plan in enumerate(plans) if plan.kind == kind])
        here = x[[plans[i].mark for i in which]]
        mine = [plans[i] for i in which]
        ties = ties_of(mine, np.arange(len(mine)), np.broadcast_to(x, (len(mine), *x.shape)))
        begin = spots(ties, kind, lambda here=here: here, 1000.0)  # type: ignore[misc]
        found, r = refined(ties, np.concatenate((begin, _images(ties, here)[:, None]), axis=1))
        worse = loss(r) - loss(misfit_at(ties, here[:, None]))
        stand = np.concatenate((here[:, None], found), axis=1)
        apart = np.linalg.norm(stand[:, :, None] - stand[:, None], axis=3)
        for b, i in enumerate(which):
            for k in _apart(apart[b].tolist(), worse[b]):
                yield int(i), float(worse[b, k]), found[b, k]


def _apart(apart: Sequence[Sequence[float]], worse: Floats) -> list[int]:
    """The places (k,) that are not hopeless, away from here and from better ones.

    Args:
        apart: how far apart are here (first) and the places [mm].
        worse: how much worse each place is.
    """
    kept: list[int] = []
    for k in np.argsort(worse, kind="stable").tolist():
        if worse[k] >= HOPELESS:
            break
        if all(apart[k + 1][t] > APART for t in (0, *(other + 1 for other in kept))):
            kept.append(k)
    return kept


def _singles(ties: Sequence[Sequence[Link]], x: Floats) -> Iterator[tuple[float, Floats]]:
    """One mark moved, all others held."""
    plans = _plans(((m, links) for m, links in enumerate(ties)), len(x))
    for i, worse, place in _other_places(plans, x):
        image = x.copy()
        image[plans[i].mark] = place
        yield worse, image


def _plans(marks: Iterable[tuple[int, Iterable[Link]]], count: int) -> list[Plan]:
    """What ties each of some marks to all others, where that is enough to place it."""
    plans = []
    for mark, links in marks:
        around = [True] * count
        around[mark] = False
        plans.append(plan_of(mark, links, around))
    return [plan for plan in plans if plan.count >= 3]


def _pairs(
    network: Network, ties: Sequence[Sequence[Link]], x: Floats
) -> Iterator[tuple[float, Floats]]:
    """Both marks of a pair moved, each seen without the other."""
    for r in network.readings:
        if r.kind != "pair":
            continue
        left, right = (network.index[m] for m in r.marks)
        for one, other in ((left, right), (right, left)):
            alone = [k for k in ties[one] if other not in k.marks]
            for _, worse, place in _other_places(_plans([(one, alone)], len(x)), x):
                image = x.copy()
                image[one] = place
                image[other] = place * np.array((1.0, -1.0, 1.0))
                yield 2.0 * worse, image


def _spread(covariance: Floats) -> Floats:
    """The largest sd of every mark in any direction [mm], (n,)."""
    n = len(covariance) // 3
    blocks = covariance.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n), :]
    return np.asarray(np.sqrt(np.maximum(np.linalg.eigvalsh(blocks)[:, -1], 0.0)))


def _slack_sets(ties: Sequence[Sequence[Link]], spread: Floats) -> list[tuple[int, ...]]:
    """Small sets of neighbouring marks with the fewest readings to spare, the slackest first.

    Each is grown from one mark by the neighbour that leaves the fewest to spare, the less known
    one where several do. To spare are the readings that touch any of the set, less what it takes
    to place them; which readings touch a mark is kept as the bits of a number.
    """
    bit = {key: 1 << i for i, key in enumerate({id(k) for mine in ties for k in mine})}
    touch = [sum(bit[id(k)] for k in mine) for mine in ties]
    near = [{m for k in mine if len(k.marks) <= 3 for m in k.marks} for mine in ties]
    found: dict[frozenset[int], int] = {}
    for i in range(len(spread)):
        grown, touched, around = frozenset((i,)), touch[i], near[i]
        for _ in range(LARGEST - 1):
            if not around - grown:
                break
            best = _slackest(around - grown, touched, touch, spread)
            grown, touched, around = grown | {best}, touched | touch[best], around | near[best]
            found[grown] = touched.bit_count() - 3 * len(grown)
    ranked = sorted(found, key=lambda s: (found[s], len(s), sorted(s)))
    return [tuple(sorted(s)) for s in ranked[:SLACKEST]]


def _slackest(among: Iterable[int], touched: int, touch: Sequence[int], spread: Floats) -> int:
    """The mark that adds the fewest readings to those touched, of several the least known."""
    return min(among, key=lambda m: ((touched | touch[m]).bit_count(), -spread[m]))


def _placed_anew(
    network: Network, links: Sequence[Link], sets: Sequence[Sequence[int]], x: Floats
) -> Iterator[Floats]:
    """Sets of marks taken out together and placed anew."""
    size = float(np.ptp(x, axis=0).max())
    for grown in regrown(network, links, x, sets, size=size):
        if not grown.placed.all():
            continue
        off = np.abs(grown.x - x).max(axis=(1, 2))
        yield from grown.x[(grown.score < grown.score[0] + HOPELESS / 2.0) & (off > 2.0 * APART)]


def _weak_steps(covariance: Floats, x: Floats) -> Iterator[Floats]:
    if np.linalg.norm(covariance) < WEAK**2:  # no eigenvalue is larger than that
        return
    values, vectors = np.linalg.eigh(covariance)
    for k in range(1, min(2, len(values)) + 1):
        sd = float(np.sqrt(max(values[-k], 0.0)))
        if sd < WEAK:
            return
        mode = vectors[:, -k].reshape(-1, 3)
        longest = float(np.linalg.norm(mode, axis=1).max())
        for reach in (40.0, 80.0, 160.0):
            for sign in (1.0, -1.0):
                yield x + sign * reach / longest * mode


def _mirrors(x: Floats) -> Iterator[Floats]:
    for axis in range(3):
        image = x.copy()
        image[:, axis] *= -1.0
        yield image
        image = x.copy()
        image[:, axis] = 2.0 * x[:, axis].mean() - x[:, axis]
        yield image


def _distinct(starts: Iterator[Floats]) -> list[Floats]:
    kept: list[Floats] = []
    for start in starts:
        if all(float(np.abs(start - k).max()) > 4.0 * APART for k in kept):
            kept.append(start)
    return kept


def other_starts(
    network: Network, x: Floats, covariance: Floats | None, *, most: int = 10
) -> tuple[Floats, ...]:
    """Starts (n, 3) from which a second answer might be reached, likeliest first.

    Args:
        network: the readings.
        x: (n, 3) the answer at hand.
        covariance: its covariance; None leaves the weak motions out.
        most: how many changes of single marks and pairs are tried.
    """
    links = links_of(network)
    ties = by_mark(links, len(x))
    found = [*_singles(ties, x), *_pairs(network, ties, x)]
    found.sort(key=lambda pair: pair[0])
    starts = [image for worse, image in found[:most] if worse < HOPELESS]
    if covariance is not None:
        starts += [*_weak_steps(covariance, x), *_mirrors(x)]
        sets = _slack_sets(ties, _spread(covariance))
        starts += _distinct(_placed_anew(network, links, sets, x))
    return tuple(starts)
