"""A start without guesses: place one mark after another, keeping every answer still alive.

Each new mark is placed from the marks already placed (`place.answers`). Where that leaves two
answers both are kept; the later readings decide. The few best hypotheses (the beam) go on, and
from time to time all that is placed is adjusted together so that errors do not pile up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import adjust
from barwright.survey.equations import Network, Rows, linearise
from barwright.survey.links import ALL_AXES, Bond, Link, by_mark, strength
from barwright.survey.place import answers, loss
from barwright.survey.ties import Plan, plan_of, ties_of

_SETTLE_AT = frozenset({5, 8, 12, 18, 27, 40, 60, 90, 135, 200})


@dataclass(frozen=True, kw_only=True, eq=False)
class Grown:
    """Hypotheses of where the marks are.

    Attributes:
        x: (B, n, 3), best first; marks not placed stand at zero.
        placed: (n,) which marks are placed.
        score: (B,) forgiving misfit.
    """

    x: Floats
    placed: NDArray[np.bool_]
    score: Floats


def _needed(anchored: frozenset[int], count: int) -> int:
    """Equations the next mark needs, when `count` marks are placed."""
    if not anchored:
        return min(count, 3)
    if len(anchored) == 1:
        return min(1 + count, 3)
    return min(2 + count, 3) if len(anchored) == 2 else 3


def order_of(
    network: Network,
    links: Sequence[Link],
    anchored: frozenset[int],
    done: Sequence[bool],
    *,
    skip: int = 0,
) -> list[int]:
    """The marks that can be placed, in order, from those done (or from the best first mark).

    The best tied mark comes next, so that what is doubtful waits until it is well held.
    `skip` passes over that many first marks, for another try from elsewhere.
    """
    usable = tuple(Bond(k.marks, k.rank) for k in links if k.holds(anchored))
    return list(_order(usable, len(network.names), anchored, tuple(done), skip))


@lru_cache(maxsize=64)
def _order(
    bonds: tuple[Bond, ...], n: int, anchored: frozenset[int], done: tuple[bool, ...], skip: int
) -> tuple[int, ...]:
    """The order, which depends on what ties what and on no value: so it is remembered."""
    ties = by_mark(bonds, n)
    if any(done):
        return tuple(_ordered(ties, anchored, list(done), []))
    own = [sum(strength(k, m, [False] * n) for k in ties[m]) for m in range(n)]
    need = _needed(anchored, 0)
    firsts = [m for m in range(n) if own[m] >= need]
    firsts.sort(key=lambda m: (-own[m] * (need > 0), -len(ties[m]), m))
    best: list[int] = []
    skip = skip % max(len(firsts), 1)
    for first in (firsts[skip:] + firsts[:skip])[:8]:
        placed = [m == first for m in range(n)]
        found = _ordered(ties, anchored, placed, [first])
        if len(found) > len(best):
            best = found
        if len(best) == n:
            break
    return tuple(best)


def _ordered(
    ties: Sequence[Sequence[Bond]],
    anchored: frozenset[int],
    placed: list[bool],
    order: list[int],
) -> list[int]:
    n = len(ties)
    count = [0] * n
    fresh = set(range(n))
    while True:
        for m in fresh:
            if not placed[m]:
                count[m] = sum(strength(k, m, placed) for k in ties[m])
        waiting = [m for m in range(n) if not placed[m]]
        need = _needed(anchored, sum(placed))
        able = [m for m in waiting if count[m] >= need]
        if not able:
            return order
        chosen = max(able, key=lambda m: (count[m], len(ties[m]), -m))
        placed[chosen] = True
        order.append(chosen)
        fresh = {m for k in ties[chosen] for m in k.marks}


def _gauge(anchored: frozenset[int], count: int) -> list[int]:
    """Axes along which the next mark is put at zero, since nothing says otherwise."""
    free = [a for a in (0, 1, 2) if a not in anchored]
    if count == 0:
        return free
    if not anchored:
        return {1: [1, 2], 2: [2]}.get(count, [])
    return free[1:] if len(anchored) == 1 and count == 1 else []


def _same_side(
    found: Floats, x: Floats, placed: Sequence[bool], anchored: frozenset[int]
) -> Floats:
    """Of an answer and its mirror image, where both are as good, the positive one."""
    for axis in set(ALL_AXES) - anchored:
        if not np.any(np.abs(x[:, np.array(placed), axis]) > 1.0):
            found[..., axis] = np.abs(found[..., axis])
    return found


def _distinct(found: Floats, misfit: Floats) -> Floats:
    """The misfit, infinite where an answer repeats a better one."""
    apart = np.linalg.norm(found[:, :, None] - found[:, None], axis=3)
    k = np.arange(found.shape[1])
    better = (misfit[:, None, :] < misfit[:, :, None]) | (
        (misfit[:, None, :] == misfit[:, :, None]) & (k[None, None, :] < k[None, :, None])
    )
    return np.where(np.any((apart < 2.0) & better, axis=2), np.inf, misfit)


def _part(rows: Rows, keep: NDArray[np.bool_], number: NDArray[np.intp]) -> Rows:
    return replace(
        rows,
        marks=number[rows.marks[keep]],
        value=rows.value[keep],
        sd=rows.sd[keep],
        reading=rows.reading[keep],
        weight=None if rows.weight is None else rows.weight[keep],
        axis=None if rows.axis is None else rows.axis[keep],
    )


def part_of(network: Network, placed: NDArray[np.bool_], anchored: frozenset[int]) -> Network:
    """The rows among placed marks that hold in the frame, marks renumbered."""
    number = np.cumsum(placed) - 1
    rows = []
    for r in network.rows:
        keep = np.asarray(placed[r.marks].all(axis=1))
        if r.weight is not None and r.axis is not None and anchored != ALL_AXES:
            relative = np.abs(r.weight.sum(axis=1)) < 1e-9
            known = np.isin(r.axis, list(anchored))
            turned = len(anchored) >= 2 or r.weight.shape[1] == 3
            keep &= known | (relative & turned)
        elif r.form is not None and r.form.__name__ == "incline":
            keep &= len(anchored) >= 2 or 2 in anchored
        if keep.any():
            rows.append(_part(r, keep, number))
    straights = tuple(
        replace(s, marks=number[s.marks]) for s in network.straights if placed[s.marks].all()
    )
    names = tuple(name for name, p in zip(network.names, placed, strict=True) if p)
    return Network(names=names, readings=network.readings, rows=tuple(rows), straights=straights)


def _settled(network: Network, grown: Grown, anchored: frozenset[int]) -> Grown:
    """All that is placed adjusted together, hypothesis by hypothesis; equal ones merged."""
    part = part_of(network, grown.placed, anchored)
    x, score = [], []
    for hypothesis in grown.x:
        start = hypothesis[grown.placed]
        found = adjust(
            lambda v: linearise(part, v.reshape(-1, 3)),
            start.ravel(),
            most=12,
            tolerance=0.1,
            damping=1e-4,
        )
        now = hypothesis.copy()
        now[grown.placed] = found.x.reshape(-1, 3)
        x.append(now)
        score.append(float(loss(found.at.residual)))
    order = np.argsort(score, kind="stable")
    keep: list[int] = []
    for i in order:
        if all(abs(score[i] - score[j]) > 1e-3 or np.abs(x[i] - x[j]).max() > 5.0 for j in keep):
            keep.append(int(i))
    return Grown(x=np.array([x[i] for i in keep]), placed=grown.placed, score=np.array(score)[keep])


def grow(
    network: Network,
    links: Sequence[Link],
    *,
    anchored: frozenset[int],
    size: float,
    onto: Grown | None = None,
    width: int = 8,
    skip: int = 0,
) -> Grown:
    """Marks placed one after another in a frame anchored along some axes.

    Args:
        network: the readings.
        links: the same as ties.
        anchored: along which axes absolute readings are believed.
        size: how large the whole is [mm], to within a factor of a few.
        onto: hypotheses to go on from.
        width: how many hypotheses are kept.
        skip: how many first marks to pass over.
    """
    n = len(network.names)
    state = onto or Grown(x=np.zeros((1, n, 3)), placed=np.zeros(n, dtype=bool), score=np.zeros(1))
    usable = by_mark([k for k in links if k.holds(anchored)], n)
    for mark in order_of(network, links, anchored, state.placed.tolist(), skip=skip):
        done = state.placed.tolist()
        plan = plan_of(mark, usable[mark], done, _gauge(anchored, sum(done)))
        ((found, misfit),) = _answers([plan], [state], size)
        if any(done):
            found = _same_side(found, state.x, done, anchored)
        state = _placed(state, mark, found, misfit, width)
        if int(state.placed.sum()) in _SETTLE_AT:
            state = _settled(network, state, anchored)
    return _settled(network, state, anchored) if state.placed.any() else state


def regrown(
    network: Network,
    links: Sequence[Link],
    x: Floats,
    dropped: Sequence[Sequence[int]],
    *,
    size: float,
    width: int = 6,
) -> list[Grown]:
    """A few marks taken out of an answer (n, 3) and placed anew, every way that fits.

    Args:
        network: the readings.
        links: the same as ties.
        x: the answer.
        dropped: sets of marks, each taken out by itself, the others held.
        size: how large the whole is [mm].
        width: how many ways are kept.
    """
    ties = by_mark(links, len(x))
    states, orders = [], []
    for marks in dropped:
        placed = np.ones(len(x), dtype=bool)
        placed[list(marks)] = False
        begun = np.where(placed[:, None], x, 0.0)[None]
        states.append(Grown(x=begun, placed=placed, score=np.zeros(1)))
        near = list({id(k): k for m in marks for k in ties[m]}.values())
        orders.append(order_of(network, near, ALL_AXES, placed.tolist()))
    for step in range(max((len(o) for o in orders), default=0)):
        turn = [i for i, order in enumerate(orders) if step < len(order)]
        marks = [orders[i][step] for i in turn]
        mine = [states[i] for i in turn]
        plans = [plan_of(m, ties[m], s.placed.tolist()) for m, s in zip(marks, mine, strict=True)]
        found = _answers(plans, mine, size)
        for i, mark, (at, misfit) in zip(turn, marks, found, strict=True):
            states[i] = _placed(states[i], mark, at, misfit, width)
    return states


def _answers(
    plans: Sequence[Plan], states: Sequence[Grown], size: float
) -> list[tuple[Floats, Floats]]:
    """Where each state's next mark can be, (B, k, 3), and the forgiving misfit (B, k)."""
    out: list[tuple[Floats, Floats]] = [(np.zeros(0), np.zeros(0))] * len(plans)
    kinds = dict.fromkeys(plan.kind for plan in plans)
    for kind in kinds:
        mine = [i for i, plan in enumerate(plans) if plan.kind == kind]
        counts = [len(states[i].x) for i in mine]
        x = np.concatenate([states[i].x for i in mine])
        ties = ties_of([plans[i] for i in mine], np.repeat(np.arange(len(mine)), counts), x)

        def about(mine: Sequence[int] = mine) -> Floats:
            return np.concatenate([_middle(states[i]) for i in mine])

        found, misfit = answers(ties, kind, about, size)
        stops = np.cumsum(counts)
        for i, start, stop in zip(mine, stops - counts, stops, strict=True):
            out[i] = found[start:stop], misfit[start:stop]
    return out


def _middle(state: Grown) -> Floats:
    """Somewhere near the marks placed so far, (B, 3)."""
    if not state.placed.any():
        return np.zeros((len(state.x), 3))
    return np.asarray(state.x[:, state.placed].mean(axis=1))


def _placed(state: Grown, mark: int, found: Floats, misfit: Floats, width: int) -> Grown:
    """A mark put where it can be, (B, k, 3), in the best few ways."""
    total = (state.score[:, None] + _distinct(found, misfit)).ravel()
    best = np.argsort(total, kind="stable")[:width]
    best = best[total[best] < total[best[0]] + 80.0]
    x = state.x[best // found.shape[1]]
    x[:, mark] = found.reshape(-1, 3)[best]
    placed = state.placed.copy()
    placed[mark] = True
    return Grown(x=x, placed=placed, score=total[best])
