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

from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Frame, Loads
from barwright.strength.plastic_step import Capacity, Now, Push, advance
from barwright.strength.solve import Loose, Ready, one_case, ready

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
    at: Ready | None = None,
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
        at: the frame made ready for all these loads; None makes it ready.

    Raises:
        Loose: the frame can move without resistance from the start.
        ValueError: the case loads nothing.
    """
    whole = ready(frame, loads) if at is None else at
    push = Push(whole.case(case), one_case(loads, case), capacity)
    now = push.begin()
    path, hinges, stiff, sure, folded = [(0.0, 0.0)], [], 0.0, 0.0, False
    seen = now.yielding.copy()
    for _ in range(events):
        if now.factor >= enough:
            break
        moved, felt, yielding = push.step(now)
        work = push.work(moved)
        stiff = stiff or _something(work)
        if work > FOLDED * stiff:
            folded = True
            break
        now = push.settled(advance(now, moved, felt, yielding, drift))
        sure = max(sure, now.factor / max(1.0, float(now.used.max())))
        path.append((now.factor, float(np.abs(now.moves.reshape(-1, 6)[:, :3]).max())))
        new = np.flatnonzero(now.yielding & ~seen)
        seen[new] = True
        hinges += [Hinge(member=e // 2, end=e % 2, factor=now.factor) for e in new.tolist()]
    return _report(now, tuple(hinges), np.array(path), folded=folded, sure=sure)


def _something(work: float) -> float:
    if work <= 0.0:
        raise ValueError("the case loads nothing, so it cannot be made to grow")
    return work


def _report(
    now: Now, hinges: tuple[Hinge, ...], path: Floats, *, folded: bool, sure: float
) -> Pushover:
    """What is found; `sure` is the best of all states passed, made safe by its overshoot."""
    return Pushover(
        first=hinges[0].factor if hinges else now.factor,
        collapse=sure,
        folded=folded,
        hinges=hinges,
        path=path,
        moves=now.moves.reshape(-1, 6),
        overshoot=max(0.0, float(now.used.max()) - 1.0),
    )


__all__ = ["Capacity", "Hinge", "Loose", "Pushover", "pushover"]
