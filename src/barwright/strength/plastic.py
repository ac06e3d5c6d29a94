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
from typing import Any

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Bools, Frame, Ints, Loads
from barwright.strength.members import end_axes
from barwright.strength.solve import (
    Bones,
    Loose,
    assemble,
    bones,
    clamped_on_nodes,
    factor,
    local_moves,
    movements,
    one_case,
)
from barwright.strength.tube_limit import gauge, slopes

HARDENING = 1e-8
"""Share of its stiffness a yielding end keeps, so that a joint of hinges alone can be solved."""
FOLDED = 1e4
"""The frame counts as a mechanism when a load moves it this many times as far as at first."""
_STILL = 1e-6
"""How much farther an end may go that stands past the limit though it does not flow."""


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
    enough: float = float("inf"),
    drift: float = 1e-3,
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

    Raises:
        Loose: the frame can move without resistance from the start.
        ValueError: the case loads nothing.
    """
    b = bones(frame, one_case(loads, case))
    push = _push(b, one_case(loads, case), capacity)
    m = len(frame.ends)
    now = _Now(
        forces=np.zeros((m, 12)),
        moves=np.zeros(6 * len(frame.nodes)),
        factor=0.0,
        yielding=np.zeros((m, 2), dtype=bool),
    )
    path, hinges, stiff, folded = [(0.0, 0.0)], [], 0.0, False
    seen = np.zeros((m, 2), dtype=bool)
    for _ in range(events):
        if now.factor >= enough:
            break
        moved, forced, yielding = push.step(now)
        work = push.work(moved)
        stiff = stiff or _something(work)
        if work > FOLDED * stiff:
            folded = True
            break
        now = push.advance(now, moved, forced, yielding, drift)
        path.append((now.factor, float(np.abs(now.moves.reshape(-1, 6)[:, :3]).max())))
        new = now.yielding & ~seen
        seen |= new
        hinges += [Hinge(member=int(i), end=int(e), factor=now.factor) for i, e in np.argwhere(new)]
    return push.report(now, tuple(hinges), np.array(path), folded)


def _something(work: float) -> float:
    if work <= 0.0:
        raise ValueError("the case loads nothing, so it cannot be made to grow")
    return work


def _push(b: Bones, loads: Loads, capacity: Capacity) -> _Push:
    """Factor the elastic frame once: every step of the pushover is told from it.

    Raises:
        Loose: the frame can move without resistance.
    """
    lu = factor(b, assemble(b, b.local))
    whole = loads.nodal.reshape(-1) - clamped_on_nodes(b)[0]
    moves = lu.solve(np.asarray(b.reach.T @ whole))
    return _Push(
        b=b,
        capacity=capacity,
        turn=end_axes(b.frame, b.length),
        lu=lu,
        whole=whole,
        moves=moves,
        elastic=b.reach @ moves,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Push:
    """What stays the same during one pushover, and the steps made with it."""

    b: Bones
    capacity: Capacity
    turn: Floats
    lu: Any
    whole: Floats
    moves: Floats
    elastic: Floats

    def section(self, forces: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Pull, bending (m, 2, 2), its size and twist at both ends, over the plastic values."""
        turned = self.to_ends(forces)
        bend = turned[..., 1, 1:] / self.capacity.bend[:, None, None]
        size = np.sqrt(np.einsum("mei,mei->me", bend, bend))
        n = turned[..., 0, 0] / self.capacity.pull[:, None]
        return n, bend, size, turned[..., 1, 0] / self.capacity.twist[:, None]

    def to_ends(self, forces: Floats) -> Floats:
        """End forces (m, 12) as (m, end, force or moment, 3) along the tube's own run."""
        return np.asarray(np.einsum("meij,mebj->mebi", self.turn, forces.reshape(-1, 2, 2, 3)))

    def gauge(self, forces: Floats) -> Floats:
        """How near each end (m, 2) is to full yield."""
        n, _, size, t = self.section(forces)
        return gauge(n, size, t)

    def normals(self, forces: Floats) -> Floats:
        """The direction of plastic flow of each end, as columns (m, 12, 2)."""
        n, bend, size, t = self.section(forces)
        _, by_n, by_m, by_t = slopes(n, size, t)
        c = self.capacity
        g = np.zeros((*n.shape, 2, 3))
        g[..., 0, 0] = by_n / c.pull[:, None]
        g[..., 1, 0] = by_t / c.twist[:, None]
        g[..., 1, 1:] = (by_m / np.where(size > 0.0, size, 1.0))[..., None] * bend
        g[..., 1, 1:] /= c.bend[:, None, None]
        g = np.einsum("meji,mebj->mebi", self.turn, g)
        out = np.zeros((len(g), 2, 2, 2, 3))
        out[:, [0, 1], [0, 1]] = g
        return np.swapaxes(out.reshape(-1, 2, 12), 1, 2)

    def step(self, now: _Now) -> tuple[Floats, Floats, Bools]:
        """Moves (6n,) and forces (m, 12) for one more unit of load, and which ends go on yielding.

        An end whose flow would run backwards is elastic again.
        """
        kg_all, normals = self._flow_forces(now.forces, now.yielding)
        yielding = now.yielding
        for _ in range(8):
            member, end = np.nonzero(yielding)
            moved, flow = self._with_flow(member, kg_all[member, :, end], normals[member, :, end])
            back = flow < -1e-9 * max(np.abs(flow).max(initial=0.0), np.finfo(float).tiny)
            if not back.any():
                break
            yielding = yielding.copy()
            yielding[member[back], end[back]] = False
        forced = (
            np.einsum("mij,mj->mi", self.b.local, local_moves(self.b, moved[None])[:, 0])
            + self.b.clamped[0]
        )
        np.subtract.at(forced, member, flow[:, None] * kg_all[member, :, end])
        return moved, forced, yielding

    def _flow_forces(self, forces: Floats, yielding: Bools) -> tuple[Floats, Floats]:
        """What the flow of each yielding end takes off its member (m, 12, 2), and its direction."""
        some = np.flatnonzero(yielding.any(axis=1))
        normals = np.zeros((len(forces), 12, 2))
        normals[some] = self.normals(forces)[some]
        return self.b.local @ normals, normals

    def _with_flow(self, member: Ints, kg: Floats, normals: Floats) -> tuple[Floats, Floats]:
        """Moves under one unit of load with h ends flowing, and the flow (h,).

        The tangent stiffness K - B D⁻¹ Bᵀ is never put together: by Woodbury's formula its answer
        is u + V y with V = K⁻¹ B and (D / (1 - hardening) - Bᵀ V) y = Bᵀ u, where u is elastic.
        """
        if not len(member):
            return self.elastic, np.zeros(0)
        b = self._on_moves(member, kg)
        v = self.lu.solve(b)
        same = member[:, None] == member[None, :]
        d = np.where(same, kg @ normals.T, 0.0) / (1.0 - HARDENING)
        # Plain sums, not BLAS: its threads cost more than such small products are worth.
        given = np.einsum("qi,q->i", b, self.moves)
        flow = np.linalg.lstsq(d - np.einsum("qi,qj->ij", b, v), given, rcond=1e-15)[0]
        return self.b.reach @ (self.moves + np.einsum("qi,i->q", v, flow)), flow

    def _on_moves(self, member: Ints, kg: Floats) -> Floats:
        """Members' local forces (h, 12) as forces on the independent movements (q, h)."""
        turned = np.einsum("hji,hbj->hbi", self.b.axes[member], kg.reshape(-1, 4, 3))
        out = np.zeros((6 * len(self.b.frame.nodes), len(member)))
        at = movements(self.b.frame)[member]
        np.add.at(out, (at, np.arange(len(member))[:, None]), turned.reshape(-1, 12))
        return np.asarray(self.b.reach.T @ out)

    def work(self, moved: Floats) -> float:
        """What one unit of load does on the moves it makes, even loads included."""
        return float(self.whole @ moved)

    def advance(
        self, now: _Now, moved: Floats, forced: Floats, yielding: Bools, drift: float
    ) -> _Now:
        """On to the next event: an end yields, or a yielding one strays by `drift`."""
        before = self.gauge(now.forces)
        limit = np.where(yielding, before + drift, np.maximum(1.0, before + _STILL))
        step = float(self._to_limit(now.forces, forced, limit, before).min())
        forces = now.forces + step * forced
        after = self.gauge(forces)
        return _Now(
            forces=forces,
            moves=now.moves + step * moved,
            factor=now.factor + step,
            yielding=yielding | ((after >= 1.0 - 1e-9) & (after > before)),
        )

    def _to_limit(self, forces: Floats, forced: Floats, limit: Floats, before: Floats) -> Floats:
        """Growth of load that brings each end (m, 2) to its limit.

        The gauge is a norm, so along the growth it is convex and at least s |forced| - |forces|:
        Newton from that bound comes down to the limit and never goes below it.
        """
        base, rate = self.section(forces), self.section(forced)
        reach = self.gauge(forced)
        moving = reach > 1e-12 * max(reach.max(), np.finfo(float).tiny)
        safe = np.where(moving, reach, 1.0)
        at = np.where(moving, (limit + before) / safe, np.inf)
        least = np.where(moving, (limit - before) / safe, np.inf)
        near = moving
        for _ in range(40):
            back = _back(base, rate, limit, at, near)
            at[near] = np.maximum(at[near] - back, 0.0)
            if (back <= 1e-13 * at[near]).all():
                break
            near = near & (least <= at.min())
        return at

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


Section = tuple[Floats, Floats, Floats, Floats]
"""Pull, bending as a vector, its size, and twist, over the plastic values."""


def _back(base: Section, rate: Section, limit: Floats, at: Floats, near: Bools) -> Floats:
    """Newton's step back to the limit for the ends in question (a mask), 0 where on it."""
    s = at[near]
    n0, b0, t0 = base[0][near], base[1][near], base[3][near]
    n1, b1, t1 = rate[0][near], rate[1][near], rate[3][near]
    b = b0 + s[:, None] * b1
    m = np.sqrt(np.einsum("ei,ei->e", b, b))
    g, by_n, by_m, by_t = slopes(n0 + s * n1, m, t0 + s * t1)
    rise = by_n * n1 + by_t * t1
    rise += by_m * np.einsum("ei,ei->e", b, b1) / np.where(m > 0.0, m, 1.0)
    go = (g > limit[near]) & (rise > 0.0)
    return np.where(go, (g - limit[near]) / np.where(go, rise, 1.0), 0.0)


__all__ = ["Capacity", "Hinge", "Loose", "Pushover", "pushover"]
