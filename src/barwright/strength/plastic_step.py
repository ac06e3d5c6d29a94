"""How does a frame with yielding ends move on? One step of a pushover, told from one factoring.

The yielding ends' flow is what is unknown: the frame's own stiffness is factored once, and each
step solves for as many unknowns as ends yield.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Bools, Ints, Loads
from barwright.strength.members import end_axes
from barwright.strength.solve import (
    Bones,
    assemble,
    clamped_on_nodes,
    factor,
    local_moves,
    movements,
)
from barwright.strength.tube_limit import gauge, slopes

HARDENING = 1e-8
"""Share of its stiffness a yielding end keeps, so that a joint of hinges alone can be solved."""
_STRAY = 1e-4
"""How far past the limit an end may stand before it is taken back."""
_STILL = 1e-6
"""How much farther an end may go that stands past the limit though it does not flow."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Capacity:
    """What each member's whole section carries: pull [N], bending and twist [N mm], shape (m,)."""

    pull: Floats
    bend: Floats
    twist: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Now:
    """The frame between two events: forces (m, 12), moves (6n,), load factor, yielding ends."""

    forces: Floats
    moves: Floats
    factor: float
    yielding: Bools


def start(b: Bones, loads: Loads, capacity: Capacity) -> Push:
    """Factor the elastic frame once: every step of the pushover is told from it.

    Raises:
        Loose: the frame can move without resistance.
    """
    lu = factor(b, assemble(b, b.local))
    whole = loads.nodal.reshape(-1) - clamped_on_nodes(b)[0]
    moves = lu.solve(np.asarray(b.reach.T @ whole))
    return Push(
        b=b,
        capacity=capacity,
        turn=end_axes(b.frame, b.length),
        lu=lu,
        whole=whole,
        moves=moves,
        elastic=b.reach @ moves,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class Push:
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

    def step(self, now: Now) -> tuple[Floats, Floats, Bools]:
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
        forced = self._carried(moved, member, flow, kg_all[member, :, end])
        return moved, forced + self.b.clamped[0], yielding

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
        b, v, resist = self._flowing(member, kg, normals)
        given = np.einsum("qi,q->i", b, self.moves)
        flow = np.linalg.lstsq(resist, given, rcond=1e-15)[0]
        return self.b.reach @ (self.moves + np.einsum("qi,i->q", v, flow)), flow

    def _flowing(self, member: Ints, kg: Floats, normals: Floats) -> tuple[Floats, Floats, Floats]:
        """B and V (q, h), and D / (1 - hardening) - Bᵀ V (h, h)."""
        b = self._on_moves(member, kg)
        v = self.lu.solve(b)
        same = member[:, None] == member[None, :]
        d = np.where(same, kg @ normals.T, 0.0) / (1.0 - HARDENING)
        # A plain sum, not BLAS: its threads cost more than such a small product is worth.
        return b, v, d - np.einsum("qi,qj->ij", b, v)

    def settled(self, now: Now) -> Now:
        """The same load with yielding ends flowed back onto the limit, where that can be done.

        The frame stays in equilibrium: each end's flow takes its own overshoot away.
        """
        over = self.gauge(now.forces) - 1.0
        if over.max() < _STRAY:
            return now
        kg_all, normals_all = self._flow_forces(now.forces, now.yielding)
        member, end = np.nonzero(now.yielding)
        kg, normals = kg_all[member, :, end], normals_all[member, :, end]
        _, v, resist = self._flowing(member, kg, normals)
        flow = np.asarray(np.linalg.lstsq(resist, over[member, end], rcond=1e-7)[0], dtype=float)
        moved = self.b.reach @ np.einsum("qi,i->q", v, flow)
        forces = now.forces + self._carried(moved, member, flow, kg)
        if self.gauge(forces).max() >= over.max() + 1.0:
            return now
        return replace(now, forces=forces, moves=now.moves + moved)

    def _carried(self, moved: Floats, member: Ints, flow: Floats, kg: Floats) -> Floats:
        """Members' forces (m, 12) from moves and flow."""
        ends = local_moves(self.b, moved[None])[:, 0]
        forced = np.einsum("mij,mj->mi", self.b.local, ends)
        np.subtract.at(forced, member, flow[:, None] * kg)
        return np.asarray(forced)

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
        self, now: Now, moved: Floats, forced: Floats, yielding: Bools, drift: float
    ) -> Now:
        """On to the next event: an end yields, or a yielding one strays by `drift`."""
        before = self.gauge(now.forces)
        limit = np.where(yielding, before + drift, np.maximum(1.0, before + _STILL))
        step = float(self._to_limit(now.forces, forced, limit, before).min())
        forces = now.forces + step * forced
        after = self.gauge(forces)
        return Now(
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
