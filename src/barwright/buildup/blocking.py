"""Who blocks whom, and in what order things come apart: blocking graphs.

In one direction, A is blocked by B when A, pushed that way, meets B. A set of parts comes off in
that direction when nothing outside it blocks any part of it; the smallest such sets are the
strongly connected components with no way out (R. H. Wilson, J.-C. Latombe, "Geometric reasoning
about mechanical assembly", Artificial Intelligence 71 (1994); the same authors, AAAI-92).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from barwright.buildup.hulls import Hulls
from barwright.buildup.rays import entries
from barwright.buildup.ways import SLACK, both, contact_normals, directions
from barwright.geometry.vectors import Floats

Graph = dict[int, set[int]]
"""For each part, those that block it."""


def blocked(parts: Hulls, way: Floats, *, slack: float = SLACK) -> Graph:
    """For each owner, which other owners it meets when pushed along a unit direction alone."""
    names = sorted({int(k) for k in parts.owner})
    graph: Graph = {k: set() for k in names}
    for k in names:
        mine, rest = parts.take(parts.owner == k), parts.take(parts.owner != k)
        while len(rest):
            hit = entries(mine, rest, way[None], slack=slack)
            if hit.by[0] < 0:
                break
            by = int(rest.owner[hit.by[0]])
            graph[k].add(by)
            rest = rest.take(rest.owner != by)
    return graph


def removable(graph: Mapping[int, set[int]]) -> list[frozenset[int]]:
    """Smallest sets of parts that come off together in the graph's direction, smallest first.

    A set that is everything is no answer: then nothing comes off.

    >>> removable({0: {1}, 1: {2}, 2: set()})
    [frozenset({2})]
    >>> removable({0: {1}, 1: {0}})
    []
    """
    found = [c for c in components(graph) if all(graph[k] <= c for k in c)]
    return sorted((c for c in found if len(c) < len(graph)), key=lambda c: (len(c), sorted(c)))


def components(graph: Mapping[int, set[int]]) -> list[frozenset[int]]:
    """Strongly connected components: sets in which each blocks each, directly or by others."""
    reach = {k: _reached(graph, k) for k in graph}
    return list(dict.fromkeys(frozenset(j for j in reach[k] if k in reach[j]) for k in graph))


def _reached(graph: Mapping[int, set[int]], start: int) -> set[int]:
    seen, todo = {start}, [start]
    while todo:
        more = graph[todo.pop()] - seen
        seen |= more
        todo += more
    return seen


def candidates(parts: Hulls) -> Floats:
    """Directions worth trying for any of the parts, each once, shape (m, 3)."""
    rows = []
    for k in sorted({int(x) for x in parts.owner}):
        mine, rest = parts.take(parts.owner == k), parts.take(parts.owner != k)
        rows += [directions(mine, rest), contact_normals(mine, rest)]
    return both(np.vstack(rows))


def apart(parts: Hulls, ways: Floats | None = None) -> tuple[tuple[frozenset[int], Floats], ...]:
    """Take an assembly apart: which parts come off together, and along which way, in order.

    At each turn the smallest set that comes off in any of the directions is taken. What is left
    when nothing more comes off is not told: it is caught in itself, or there is one part left.

    Args:
        parts: at least one part; `owner` says whose each hull is.
        ways: unit directions to try, shape (m, 3); None finds them.
    """
    found, left = list[tuple[frozenset[int], Floats]](), parts
    while len({int(k) for k in left.owner}) > 1:
        step = _next(left, candidates(left) if ways is None else ways)
        if step is None:
            break
        found.append(step)
        left = left.take(~np.isin(left.owner, sorted(step[0])))
    return tuple(found)


def _next(parts: Hulls, ways: Floats) -> tuple[frozenset[int], Floats] | None:
    """The smallest set that comes off: single parts by all directions at once, then groups."""
    names = sorted({int(k) for k in parts.owner})
    for k in names:
        mine, rest = parts.take(parts.owner == k), parts.take(parts.owner != k)
        free = np.isinf(entries(mine, rest, ways, slack=SLACK).first)
        if free.any():
            return frozenset({k}), ways[int(free.argmax())]
    best: tuple[frozenset[int], Floats] | None = None
    for way in ways:
        sets = removable(blocked(parts, way))
        if sets and (best is None or len(sets[0]) < len(best[0])):
            best = sets[0], way
    return best


def orders(parts: Hulls, ways: Floats) -> list[tuple[int, ...]]:
    """Every order in which single parts come off one by one until one is left, that one last."""
    names = sorted({int(k) for k in parts.owner})
    if len(names) == 1:
        return [(names[0],)]
    found = []
    for k in names:
        mine, rest = parts.take(parts.owner == k), parts.take(parts.owner != k)
        if np.isinf(entries(mine, rest, ways, slack=SLACK).first).any():
            found += [(k, *more) for more in orders(rest, ways)]
    return found


def rounds(needs: Mapping[str, Sequence[str]]) -> list[list[str]]:
    """Names in rounds: each needs only names of rounds before it; rings go in together.

    >>> rounds({"brace": ["sill", "hoop"], "hoop": ["sill"], "sill": []})
    [['sill'], ['hoop'], ['brace']]
    """
    left, done, out = dict(needs), set[str](), list[list[str]]()
    while left:
        ready = [n for n in left if {*left[n]} & {*needs} <= done]
        if not ready:
            ready = _ring(left, done)
        out.append(ready)
        done |= {*ready}
        left = {n: v for n, v in left.items() if n not in done}
    return out


def _ring(left: Mapping[str, Sequence[str]], done: set[str]) -> list[str]:
    """The smallest ring among those left that needs nothing outside itself."""
    names = list(left)
    graph = {
        i: {names.index(n) for n in left[name] if n in left and n not in done}
        for i, name in enumerate(names)
    }
    rings = [c for c in components(graph) if all(graph[k] <= c for k in c)]
    smallest: list[int] = min((sorted(c) for c in rings), key=len)
    return [names[k] for k in smallest]
