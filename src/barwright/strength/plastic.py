"""At what load does the frame fold up? Elastic, perfectly plastic, hinge by hinge.

The load of one case grows in proportion. Between events the frame is elastic but for the member
ends that yield; there the plastic flow follows the tube's limit (tube_limit), and what it strays
is taken back at standing load. The factor reported as collapse is the best passed, divided by its
worst overshoot of the limit, so by the static theorem of plasticity it is a lower bound: a load in
equilibrium with forces nowhere beyond yield is carried. Small displacements; local buckling of
the wall is not seen (EN 1993-1-1 asks D/t <= 50 epsilon² of a section that is to form hinges; from
memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Frame, Loads
from barwright.strength.plastic_flows import Capacity, Flows
from barwright.strength.plastic_step import Now, Push, advance
from barwright.strength.solve import Loose, ready

FOLDED = 1e4
"""The frame counts as a mechanism when a load moves it this many times as far as at first."""


@dataclass(frozen=True, kw_only=True)
class Hinge:
    """A member end that yielded: which member, which end (0 start, 1 end), at what factor."""

    member: int
    end: int
    factor: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Pushover:
    """How the frame folds up under one growing case.

    Attributes:
        first: load factor at the first plastic hinge.
        collapse: load factor the frame is sure to carry (lower bound); `folded` says whether a
            mechanism formed there, or the search ended before.
        folded: whether a mechanism formed.
        hinges: in the order they formed.
        path: shape (s, 2): load factor, and the largest shift [mm] at each event.
        moves: shape (n, 6), the shape at the end.
        overshoot: by how much the limit was passed anywhere; 0 for none.
    """

    first: float
    collapse: float
    folded: bool
    hinges: tuple[Hinge, ...]
    path: Floats
    moves: Floats
    overshoot: float


def pushover(
    frame: Frame,
    loads: Loads,
    capacity: Capacity,
    *,
    case: int = 0,
    events: int = 400,
    enough: float = float("inf"),
    drift: float = 1e-3,
    flows: Flows | None = None,
) -> Pushover:
    """Let one case grow until the frame is a mechanism.

    Args:
        frame: no member-end releases; hinges of the leaf are joins.
        loads: k cases; one of them is pushed.
        capacity: of the members' sections.
        case: which one.
        events: how many steps at most.
        enough: the load factor beyond which it need not be followed.
        drift: how far past the limit a yielding end may stray in one step.
        flows: what the frame's ends do, made ready for these loads and this capacity; None makes
            it ready.

    Raises:
        Loose: the frame can move without resistance from the start.
        ValueError: the case loads nothing.
    """
    push = Push(loads, case, Flows(ready(frame, loads), capacity) if flows is None else flows)
    passed, folded = [push.begin()], False
    first = push.step(passed[0]).work
    if first <= 0.0:
        raise ValueError("the case loads nothing, so it cannot be made to grow")
    for _ in range(events):
        if passed[-1].factor >= enough:
            break
        rate = push.step(passed[-1])
        if rate.work > FOLDED * first:
            folded = True
            break
        passed.append(push.settled(advance(passed[-1], rate, drift)))
    return _report(passed, push.moved(passed), folded=folded)


def _report(passed: list[Now], moved: Floats, *, folded: bool) -> Pushover:
    """What is found; the best of all states passed, made safe by its overshoot, is sure."""
    moves = moved.reshape(-1, 6, len(passed))
    worst = [float(now.used.max()) for now in passed]
    hinges = tuple(_hinges(passed))
    return Pushover(
        first=hinges[0].factor if hinges else passed[-1].factor,
        collapse=max(n.factor / max(1.0, w) for n, w in zip(passed, worst, strict=True)),
        folded=folded,
        hinges=hinges,
        path=np.column_stack([[n.factor for n in passed], np.abs(moves[:, :3]).max(axis=(0, 1))]),
        moves=moves[..., -1],
        overshoot=max(0.0, worst[-1] - 1.0),
    )


def _hinges(passed: list[Now]) -> Iterator[Hinge]:
    """Each end when it first flows."""
    seen = np.zeros(len(passed[0].yielding), dtype=bool)
    for now in passed:
        new = np.flatnonzero(now.yielding & ~seen)
        seen[new] = True
        yield from (Hinge(member=e // 2, end=e % 2, factor=now.factor) for e in new.tolist())


__all__ = ["Capacity", "Flows", "Hinge", "Loose", "Pushover", "pushover"]
