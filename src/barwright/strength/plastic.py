"""At what load does the frame fold up? Elastic, perfectly plastic, hinge by hinge.

The load of one case grows in proportion. Between events the frame is elastic but for the member
ends that yield; there the plastic flow follows the tube's limit (tube_limit). The factor reported
as collapse is divided by the worst overshoot of the limit, so by the static theorem of plasticity
it is a lower bound: a load in equilibrium with forces nowhere beyond yield is carried. Small
displacements; local buckling of the wall is not seen (EN 1993-1-1 asks D/t <= 50 epsilon² of a
section that is to form hinges; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Bools, Frame, Loads
from barwright.strength.members import end_axes
from barwright.strength.solve import Bones, Loose, answer, assemble, bones, factor, one_case
from barwright.strength.tube_limit import gauge, slopes

HARDENING = 1e-8
"""Share of its stiffness a yielding end keeps, so that a joint of hinges alone can be solved."""
FOLDED = 1e4
"""The frame counts as a mechanism when a load moves it this many times as far as at first."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Capacity:
    """What each member's whole section carries: pull [N], bending and twist [N mm], shape (m,)."""

    pull: Floats
    bend: Floats
    twist: Floats


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


@dataclass(frozen=True, kw_only=True, eq=False)
class _Now:
    """The frame between two events: forces (m, 12), moves (6n,), load factor, yielding ends."""

    forces: Floats
    moves: Floats
    factor: float
    yielding: Bools


def pushover(
    frame: Frame,
    loads: Loads,
    capacity: Capacity,
    *,
    case: int = 0,
    events: int = 400,
    drift: float = 1e-3,
) -> Pushover:
    """Let one case grow until the frame is a mechanism.

    Args:
        frame: no member-end releases; hinges of the leaf are joins.
        loads: k cases; one of them is pushed.
        capacity: of the members' sections.
        case: which one.
        events: how many steps at most.
        drift: how far past the limit a yielding end may stray in one step.

    Raises:
        Loose: the frame can move without resistance from the start.
        ValueError: the case loads nothing.
    """
    b = bones(frame, one_case(loads, case))
    push = _Push(b=b, loads=one_case(loads, case), capacity=capacity)
    m = len(frame.ends)
    now = _Now(
        forces=np.zeros((m, 12)),
        moves=np.zeros(6 * len(frame.nodes)),
        factor=0.0,
        yielding=np.zeros((m, 2), dtype=bool),
    )
    path, hinges, stiff, folded = [(0.0, 0.0)], [], 0.0, False
    for _ in range(events):
        moved, forced, yielding = push.step(now)
        work = push.work(moved)
        stiff = stiff or _something(work)
        if work > FOLDED * stiff:
            folded = True
            break
        now = push.advance(now, moved, forced, yielding, drift)
        path.append((now.factor, float(np.abs(now.moves.reshape(-1, 6)[:, :3]).max())))
        new = now.yielding & ~yielding
        hinges += [Hinge(member=int(i), end=int(e), factor=now.factor) for i, e in np.argwhere(new)]
    return push.report(now, tuple(hinges), np.array(path), folded)


def _something(work: float) -> float:
    if work <= 0.0:
        raise ValueError("the case loads nothing, so it cannot be made to grow")
    return work


@dataclass(frozen=True, kw_only=True, eq=False)
class _Push:
    """What stays the same during one pushover, and the steps made with it."""

    b: Bones
    loads: Loads
    capacity: Capacity

    def section(self, forces: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Pull, bending (m, 2, 2), its size and twist at both ends, over the plastic values."""
        turned = self.to_ends(forces)
        bend = turned[..., 1, 1:] / self.capacity.bend[:, None, None]
        size = np.sqrt(np.einsum("mei,mei->me", bend, bend))
        n = turned[..., 0, 0] / self.capacity.pull[:, None]
        return n, bend, size, turned[..., 1, 0] / self.capacity.twist[:, None]

    def to_ends(self, forces: Floats) -> Floats:
        """End forces (m, 12) as (m, end, force or moment, 3) along the tube's own run."""
        turn = end_axes(self.b.frame, self.b.length)
        return np.asarray(np.einsum("meij,mebj->mebi", turn, forces.reshape(-1, 2, 2, 3)))

    def gauge(self, forces: Floats) -> Floats:
        """How near each end (m, 2) is to full yield."""
        n, _, size, t = self.section(forces)
        return gauge(n, size, t)

    def normals(self, forces: Floats) -> Floats:
        """The direction of plastic flow of each end, as columns (m, 12, 2)."""
        n, bend, size, t = self.section(forces)
        by_n, by_m, by_t = slopes(n, size, t)
        c = self.capacity
        g = np.zeros((*n.shape, 2, 3))
        g[..., 0, 0] = by_n / c.pull[:, None]
        g[..., 1, 0] = by_t / c.twist[:, None]
        g[..., 1, 1:] = (by_m / np.where(size > 0.0, size, 1.0))[..., None] * bend
        g[..., 1, 1:] /= c.bend[:, None, None]
        turn = end_axes(self.b.frame, self.b.length)
        g = np.einsum("meji,mebj->mebi", turn, g)
        out = np.zeros((len(g), 2, 2, 2, 3))
        out[:, [0, 1], [0, 1]] = g
        return np.swapaxes(out.reshape(-1, 2, 12), 1, 2)

    def step(self, now: _Now) -> tuple[Floats, Floats, Bools]:
        """Moves (6n,) and forces (m, 12) for one more unit of load, and which ends go on yielding.

        An end whose flow would run backwards is elastic again.
        """
        yielding = now.yielding
        for _ in range(8):
            local, flow = self._tangent(now.forces, yielding)
            whole = assemble(self.b, local)
            got = answer(self.b, self.loads, factor(self.b, whole), whole, local)
            moved, forced = got.moves.ravel(), got.forces[0]
            back = yielding & (self._flow(flow, moved) < -1e-9)
            if not back.any():
                break
            yielding = yielding & ~back
        return moved, forced, yielding

    def _tangent(self, forces: Floats, yielding: Bools) -> tuple[Floats, Floats]:
        """Members' stiffness with the yielding ends flowing, and what gives their flow."""
        g = self.normals(forces) * yielding[:, None, :]
        kg = self.b.local @ g
        resist = np.swapaxes(g, 1, 2) @ kg
        some = np.flatnonzero(yielding.any(axis=1))
        flow = np.zeros((len(g), 2, 12))
        flow[some] = np.linalg.pinv(resist[some], hermitian=True) @ np.swapaxes(kg[some], 1, 2)
        return self.b.local - (1.0 - HARDENING) * kg @ flow, flow

    def _flow(self, flow: Floats, moved: Floats) -> Floats:
        """Plastic multiplier of each end (m, 2), scaled to its largest."""
        from barwright.strength.solve import local_moves

        rate = np.einsum("mei,mi->me", flow, local_moves(self.b, moved[None])[:, 0])
        return np.asarray(rate / max(np.abs(rate).max(), np.finfo(float).tiny))

    def work(self, moved: Floats) -> float:
        """What one unit of load does on the moves it makes, even loads included."""
        from barwright.strength.solve import clamped_on_nodes

        push = self.loads.nodal.reshape(-1) - clamped_on_nodes(self.b)[0]
        return float(push @ moved)

    def advance(
        self, now: _Now, moved: Floats, forced: Floats, yielding: Bools, drift: float
    ) -> _Now:
        """On to the next event: an end yields, or a yielding one strays by `drift`."""
        before = self.gauge(now.forces)
        limit = np.where(yielding, before + drift, 1.0)
        step = self._to_limit(now.forces, forced, limit, before)
        forces = now.forces + step * forced
        return _Now(
            forces=forces,
            moves=now.moves + step * moved,
            factor=now.factor + step,
            yielding=yielding | (self.gauge(forces) >= 1.0 - 1e-9),
        )

    def _to_limit(self, forces: Floats, forced: Floats, limit: Floats, before: Floats) -> float:
        """The least growth of load that brings any end to its limit (the gauge is convex)."""

        def over(step: float) -> bool:
            return bool((self.gauge(forces + step * forced) > limit).any())

        reach = np.maximum(self.gauge(forced).max(), np.finfo(float).tiny)
        high = float((limit + before).max() / reach) + 1e-30
        while not over(high):
            high *= 2.0
        low = 0.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if over(middle) else (middle, high)
        return high

    def report(self, now: _Now, hinges: tuple[Hinge, ...], path: Floats, folded: bool) -> Pushover:
        """What is found, made safe by the worst overshoot."""
        worst = max(1.0, float(self.gauge(now.forces).max()))
        return Pushover(
            first=hinges[0].factor if hinges else now.factor,
            collapse=now.factor / worst,
            folded=folded,
            hinges=hinges,
            path=path,
            moves=now.moves.reshape(-1, 6),
            overshoot=worst - 1.0,
        )


__all__ = ["Capacity", "Hinge", "Loose", "Pushover", "pushover"]
