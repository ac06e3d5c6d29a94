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

from collections.abc import Iterator, Sequence

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.equations import Network
from barwright.survey.grow import regrown
from barwright.survey.links import Link, links_of, ties_of
from barwright.survey.place import Ties, loss, misfit_at, refined, spots

APART = 3.0
"""Two answers for a mark closer than this are one [mm]."""
HOPELESS = 80.0
"""A change that makes the forgiving misfit this much worse, all others held, is not tried."""
LARGEST, SLACKEST = 5, 14
"""Up to how many marks are taken out together and placed anew, and how many such sets."""
WEAK = 4.0
"""Motions better known than this are not stepped along [mm, one sd]."""


def _mirror_image(ties: Ties, here: Floats) -> Floats | None:
    """A mark (3,) reflected in the plane nearest to its neighbours, where there are three."""
    if len(ties.radii) < 3:
        return None
    c = ties.centres[0]
    middle = c.mean(axis=0)
    normal = np.linalg.svd(c - middle)[2][2]
    return np.asarray(here - 2.0 * ((here - middle) @ normal) * normal)


def _other_places(
    mark: int, links: Sequence[Link], x: Floats, without: int | None = None
) -> Iterator[tuple[float, Floats]]:
    """Other places for one mark, all others held, with how much worse each is (forgiving)."""
    around = [True] * len(x)
    around[mark] = False
    if without is not None:
        links = [k for k in links if without not in k.marks]
    ties = ties_of(mark, links, x[None], around)
    if ties.count < 3:
        return
    here = x[mark]
    found = spots(ties, here[None], 1000.0)
    image = _mirror_image(ties, here)
    if image is not None:
        found = np.concatenate((found, image[None, None]), axis=1)
    found, _ = refined(ties, found)
    now = float(loss(misfit_at(ties, here[None, None]))[0, 0])
    worse = loss(misfit_at(ties, found))[0] - now
    taken: list[Floats] = [here]
    for k in np.argsort(worse, kind="stable"):
        if all(np.linalg.norm(found[0, k] - t) > APART for t in taken):
            taken.append(found[0, k])
            yield float(worse[k]), found[0, k]


def _singles(links_by: Sequence[Sequence[Link]], x: Floats) -> Iterator[tuple[float, Floats]]:
    for mark, links in enumerate(links_by):
        for worse, place in _other_places(mark, links, x):
            image = x.copy()
            image[mark] = place
            yield worse, image


def _pairs(
    network: Network, links_by: Sequence[Sequence[Link]], x: Floats
) -> Iterator[tuple[float, Floats]]:
    for r in network.readings:
        if r.kind != "pair":
            continue
        left, right = (network.index[m] for m in r.marks)
        for one, other in ((left, right), (right, left)):
            for worse, place in _other_places(one, links_by[one], x, without=other):
                image = x.copy()
                image[one] = place
                image[other] = place * np.array((1.0, -1.0, 1.0))
                yield 2.0 * worse, image


def _spread(covariance: Floats) -> Floats:
    """The largest sd of every mark in any direction [mm], (n,)."""
    n = len(covariance) // 3
    blocks = covariance.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n), :]
    return np.asarray(np.sqrt(np.maximum(np.linalg.eigvalsh(blocks)[:, -1], 0.0)))


def _to_spare(links_by: Sequence[Sequence[Link]], marks: frozenset[int]) -> int:
    """Readings that touch any of some marks, less what it takes to place them."""
    return len({id(k) for m in marks for k in links_by[m]}) - 3 * len(marks)


def _slack_sets(links_by: Sequence[Sequence[Link]], spread: Floats) -> list[tuple[int, ...]]:
    """Small sets of neighbouring marks with the fewest readings to spare, the slackest first.

    Each is grown from one mark by the neighbour that leaves the fewest to spare, the less known
    one where several do.
    """
    found: dict[frozenset[int], int] = {}
    for i in range(len(spread)):
        grown = frozenset((i,))
        for _ in range(LARGEST - 1):
            near = {
                m for j in grown for k in links_by[j] if len(k.marks) <= 3 for m in k.marks
            } - grown
            if not near:
                break
            best = min(near, key=lambda m: (_to_spare(links_by, grown | {m}), -spread[m]))
            grown |= {best}
            found[grown] = _to_spare(links_by, grown)
    ranked = sorted(found, key=lambda s: (found[s], len(s), sorted(s)))
    return [tuple(sorted(s)) for s in ranked[:SLACKEST]]


def _placed_anew(
    network: Network,
    links: Sequence[Link],
    links_by: Sequence[Sequence[Link]],
    x: Floats,
    covariance: Floats,
) -> Iterator[Floats]:
    size = float(np.ptp(x, axis=0).max())
    for dropped in _slack_sets(links_by, _spread(covariance)):
        grown = regrown(network, links, x, dropped, size=size)
        if not grown.placed.all():
            continue
        for answer, score in zip(grown.x, grown.score, strict=True):
            off = float(np.abs(answer - x).max())
            if score < grown.score[0] + HOPELESS / 2.0 and off > 2.0 * APART:
                yield answer


def _weak_steps(covariance: Floats, x: Floats) -> Iterator[Floats]:
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
    links_by = [[k for k in links if m in k.marks] for m in range(len(x))]
    found = [*_singles(links_by, x), *_pairs(network, links_by, x)]
    found.sort(key=lambda pair: pair[0])
    starts = [image for worse, image in found[:most] if worse < HOPELESS]
    if covariance is not None:
        starts += [*_weak_steps(covariance, x), *_mirrors(x)]
        starts += _distinct(_placed_anew(network, links, links_by, x, covariance))
    return tuple(starts)
