"""The fewest bars: linear relaxation over cutting patterns, then a mixed-integer program.

A pattern is what one bar is cut into. The relaxation (Gilmore and Gomory 1961) takes fractions
of patterns; new ones are priced out by a knapsack until none helps, and the optimum, rounded
up, bounds every plan from below. The patterns found are then offered to a mixed-integer program
(HiGHS); where that misses the bound and the bar has few positions, an arc-flow program (Valério
de Carvalho 1999), which knows every pattern, is tried. Sizes are whole numbers.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping

import numpy as np

from barwright.geometry.vectors import Floats

_SECONDS = 20.0
"""After this the mixed-integer program gives the best it has; the gap is told."""
_ROUNDS = 200
"""So many patterns are priced out at the most; a shop's own list needs a few dozen."""
_POSITIONS = 2000
"""More positions than this along the bar and the arc-flow program grows too large."""


def pattern_bound(wanted: Mapping[int, int], room: int) -> int:
    """No plan does with fewer bars than this.

    Args:
        wanted: how many of each size; every size fits in the room.
        room: what one bar gives.

    >>> pattern_bound({6: 2, 4: 2}, 10)
    2
    """
    small, space = _shrunk(wanted, room)
    _, value = _relaxed(small, space)
    tube = sum(size * count for size, count in small.items()) / space
    return math.ceil(max(value, tube) - 1e-6)


def fewest(wanted: Mapping[int, int], room: int, bound: int) -> list[list[int]]:
    """The best plan found: for each bar its sizes, largest first.

    Args:
        wanted: how many of each size; every size fits in the room.
        room: what one bar gives.
        bound: from `pattern_bound`: a plan that meets it ends the search.
    """
    scale = math.gcd(*wanted)
    small, space = _shrunk(wanted, room)
    patterns, _ = _relaxed(small, space)
    plan = _by_patterns(small, patterns)
    if len(plan) > bound and space <= _POSITIONS:
        plan = min(plan, _by_flow(small, space) or plan, key=len)
    return [sorted((scale * size for size in bar), reverse=True) for bar in plan]


def _shrunk(wanted: Mapping[int, int], room: int) -> tuple[dict[int, int], int]:
    """The same problem in units of the sizes' common divisor."""
    scale = math.gcd(*wanted)
    return {size // scale: n for size, n in sorted(wanted.items(), reverse=True)}, room // scale


def _relaxed(wanted: dict[int, int], room: int) -> tuple[Floats, float]:
    """Patterns, shape (sizes, patterns), and the relaxation's optimum or what lies below it.

    Where new patterns still help after `_ROUNDS`, the relaxation's value over the worth of the
    best new one bounds the optimum from below (Farley 1990, from memory).
    """
    from scipy.optimize import linprog

    sizes, demand = np.array(list(wanted)), np.array(list(wanted.values()), dtype=float)
    patterns = np.diag(np.minimum(room // sizes, demand))
    for _ in range(_ROUNDS):
        found = linprog(np.ones(patterns.shape[1]), A_ub=-patterns, b_ub=-demand, method="highs")
        worth = -found.ineqlin.marginals
        new, value = _knapsack(sizes, demand.astype(int), worth, room)
        if value <= 1.0 + 1e-9:
            return patterns, float(found.fun or 0.0)
        below = float(found.fun or 0.0) / value
        patterns = np.column_stack([patterns, new])
    return patterns, below


def _knapsack(
    sizes: np.ndarray[tuple[int], np.dtype[np.int64]],
    demand: np.ndarray[tuple[int], np.dtype[np.int64]],
    worth: Floats,
    room: int,
) -> tuple[Floats, float]:
    """The pattern that is worth most, and its worth: dynamic programming over the bar."""
    best, taken = np.zeros(room + 1), list[tuple[int, np.ndarray[tuple[int], np.dtype[np.bool_]]]]()
    for i, size in enumerate(sizes):
        if worth[i] <= 1e-12:
            continue
        for _ in range(min(int(demand[i]), room // int(size))):
            other = np.full(room + 1, -np.inf)
            other[size:] = best[: room + 1 - size] + worth[i]
            better = other > best
            taken.append((i, better))
            best = np.where(better, other, best)
    pattern, at = np.zeros(len(sizes)), room
    for i, better in reversed(taken):
        if better[at]:
            pattern[i] += 1.0
            at -= int(sizes[i])
    return pattern, float(best[room])


def _by_patterns(wanted: dict[int, int], patterns: Floats) -> list[list[int]]:
    """A plan from the patterns found, by a mixed-integer program."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    demand = np.array(list(wanted.values()), dtype=float)
    found = milp(
        np.ones(patterns.shape[1]),
        constraints=LinearConstraint(patterns, lb=demand),
        integrality=np.ones(patterns.shape[1], dtype=int),
        bounds=Bounds(0, np.inf),
        options={"time_limit": _SECONDS},
    )
    if found.x is None:
        return [[size] for size, n in wanted.items() for _ in range(n)]
    times = np.rint(found.x).astype(int)
    left, plan = Counter(wanted), list[list[int]]()
    for j in np.nonzero(times)[0]:
        for _ in range(times[j]):
            bar = _taken(left, wanted, patterns[:, j])
            plan += [bar] if bar else []
    return plan


def _taken(left: Counter[int], wanted: dict[int, int], pattern: Floats) -> list[int]:
    """What is still wanted of one pattern; more than is wanted is not cut."""
    bar = list[int]()
    for size, count in zip(wanted, pattern, strict=True):
        n = min(round(float(count)), left[size])
        left[size] -= n
        bar += [size] * n
    return bar


def _by_flow(wanted: dict[int, int], room: int) -> list[list[int]] | None:
    """A plan as a flow along the bar: an arc of each size from each position that can begin it."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    arcs = _arcs(wanted, room)
    n, sizes = len(arcs), list(wanted)
    tail, head, kind = (np.array(column) for column in zip(*arcs, strict=True))
    rows = np.concatenate([head, tail])
    signs = np.concatenate([np.ones(n), -np.ones(n)])
    balance = coo_array((signs, (rows, np.tile(np.arange(n), 2))), shape=(room + 1, n)).tocsr()
    real = kind >= 0
    cover = coo_array(
        (np.ones(real.sum()), (kind[real], np.nonzero(real)[0])), shape=(len(sizes), n)
    ).tocsr()
    demand = np.array(list(wanted.values()), dtype=float)
    found = milp(
        (tail == 0).astype(float),
        constraints=[
            LinearConstraint(balance[1:room], lb=0, ub=0),
            LinearConstraint(cover, lb=demand),
        ],
        integrality=np.ones(n, dtype=int),
        bounds=Bounds(0, np.inf),
        options={"time_limit": _SECONDS},
    )
    return None if found.x is None else _walked(arcs, np.rint(found.x).astype(int), wanted, room)


def _arcs(wanted: dict[int, int], room: int) -> list[tuple[int, int, int]]:
    """Arcs (from, to, which size; -1 for waste), sizes from large to small along the bar."""
    reached, arcs = {0}, list[tuple[int, int, int]]()
    for k, (size, count) in enumerate(wanted.items()):
        begun = set(reached)
        for _ in range(count):
            begun = {at for at in begun if at + size <= room}
            arcs += [(at, at + size, k) for at in begun]
            begun = {at + size for at in begun}
            reached |= begun
    arcs = sorted(set(arcs))
    return arcs + [(at, room, -1) for at in sorted(reached) if 0 < at < room]


def _walked(
    arcs: list[tuple[int, int, int]], times: Floats, wanted: dict[int, int], room: int
) -> list[list[int]]:
    """The flow as bars: walk from 0 to the end until none is left."""
    sizes, left = list(wanted), Counter(wanted)
    out: dict[int, list[int]] = {}
    for i in np.nonzero(times)[0].tolist():
        out.setdefault(arcs[i][0], []).extend([i] * int(times[i]))
    plan = list[list[int]]()
    while out.get(0):
        bar, at = list[int](), 0
        while at != room:
            _, at, kind = arcs[out[at].pop()]
            if kind >= 0 and left[sizes[kind]] > 0:
                left[sizes[kind]] -= 1
                bar.append(sizes[kind])
        plan += [bar] if bar else []
    return plan
