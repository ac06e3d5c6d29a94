"""How does a frame with yielding ends move on? One step of a pushover, told from one factoring.

The frame's own stiffness is factored once. What one unit of plastic flow at an end does to the
whole frame is solved for once, when that end first yields; each step then solves for as many
unknowns as ends yield, and adds up. Forces are told as each end's section feels them: pull,
bending two ways and twist, over their full plastic values.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Bools, Ints, Loads
from barwright.strength.members import end_axes
from barwright.strength.solve import Bones, Ready, clamped_on_nodes, ends_of
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
    """The frame between two events.

    Attributes:
        felt: shape (e, 4), what every member end feels: pull, bending y and z, twist, over their
            plastic values; end e is end e % 2 of member e // 2.
        used: shape (e,), how near each end is to full yield.
        moves: shape (6n,).
        factor: of the load.
        yielding: shape (e,), the ends that flow.
    """

    felt: Floats
    used: Floats
    moves: Floats
    factor: float
    yielding: Bools


def used_of(felt: Floats) -> Floats:
    """How near ends (e, 4) are to full yield (e,)."""
    return gauge(felt[:, 0], np.hypot(felt[:, 1], felt[:, 2]), felt[:, 3])


class Push:
    """One growing case: what stays the same, and what has been solved for so far.

    Attributes:
        whole: shape (6n,), the case's loads on the nodes.
    """

    def __init__(self, at: Ready, loads: Loads, capacity: Capacity) -> None:
        """The elastic answer of one case.

        Args:
            at: the frame made ready for this case.
            loads: the case.
            capacity: of the members' sections.
        """
        self._b, self._lu = at.bones, at.lu
        self._ends = ends_of(at.bones)
        self._down = self._ends.T.tocsr()
        self._feel = _feel(at.bones, capacity)
        self.whole = loads.nodal.reshape(-1) - clamped_on_nodes(at.bones)[0]
        moves = at.lu.solve(np.asarray(at.bones.reach.T @ self.whole))
        forces = self._forces(moves[:, None])[..., 0] + at.bones.clamped[0]
        self._elastic = self._felt(forces[..., None])[..., 0]
        self._moves = moves
        self._moved = np.asarray(at.bones.reach @ moves)
        self._flows = _Flows(len(moves), self._elastic.shape[0], len(self._moved))

    def begin(self) -> Now:
        """The frame before it is loaded."""
        ends = len(self._elastic)
        return Now(
            felt=np.zeros((ends, 4)),
            used=np.zeros(ends),
            moves=np.zeros(len(self._moved)),
            factor=0.0,
            yielding=np.zeros(ends, dtype=bool),
        )

    def _forces(self, moves: Floats) -> Floats:
        """Members' forces (m, 12, c) from independent movements (q, c)."""
        ends = (self._ends @ moves).reshape(len(self._b.length), 12, -1)
        return np.asarray(self._b.local @ ends)

    def _felt(self, forces: Floats) -> Floats:
        """Members' forces (m, 12, c) as their ends feel them (e, 4, c)."""
        f = forces.reshape(len(forces), 2, 6, -1)
        return np.asarray(self._feel @ f).reshape(2 * len(forces), 4, -1)

    def step(self, now: Now) -> tuple[Floats, Floats, Bools]:
        """Moves (6n,) and what ends feel (e, 4) for one more unit of load; which go on yielding.

        An end whose flow would run backwards is elastic again.
        """
        at = np.flatnonzero(now.yielding)
        if not len(at):
            return self._moved, self._elastic, now.yielding
        lots, ways = self._lots(at), _ways(now.felt[at])
        for _ in range(8):
            flow = _least(self._resist(lots, ways), self._flows.given(lots, ways), 1e-15)
            back = flow < -1e-9 * max(np.abs(flow).max(initial=0.0), np.finfo(float).tiny)
            if not back.any():
                break
            at, lots, ways = at[~back], lots[~back], ways[~back]
        yielding = np.zeros(len(now.yielding), dtype=bool)
        yielding[at] = True
        moved, felt = self._flows.done(lots, ways, flow if len(at) else np.zeros(0))
        return self._moved + moved, self._elastic + felt, yielding

    def settled(self, now: Now) -> Now:
        """The same load with yielding ends flowed back onto the limit, where that can be done.

        The frame stays in equilibrium: each end's flow takes its own overshoot away.
        """
        over = now.used - 1.0
        at = np.flatnonzero(now.yielding)
        if over.max() < _STRAY or not len(at):
            return now
        lots, ways = self._lots(at), _ways(now.felt[at])
        flow = _least(self._resist(lots, ways), over[at], 1e-7)
        moved, more = self._flows.done(lots, ways, flow)
        felt = now.felt + more
        used = used_of(felt)
        if used.max() >= now.used.max():
            return now
        return replace(now, felt=felt, used=used, moves=now.moves + moved)

    def _lots(self, at: Ints) -> Ints:
        """The places of some ends among the flows solved for; new ones are solved for now."""
        new = [e for e in at.tolist() if e not in self._flows.place]
        if new:
            self._solve(new)
        return np.array([self._flows.place[e] for e in at.tolist()])

    def _solve(self, new: list[int]) -> None:
        """What the four ways of flow at some ends do to the whole frame."""
        members = np.array(new) // 2
        give = np.zeros((len(new), 12, 4))
        for i, e in enumerate(new):
            give[i, 6 * (e % 2) : 6 * (e % 2) + 6] = self._feel[e // 2, e % 2].T
        held = self._b.local[members] @ give
        spread = np.zeros((len(self._feel), 12, 4 * len(new)))
        for i, m in enumerate(members):
            spread[m, :, 4 * i : 4 * i + 4] = held[i]
        push = self._down @ spread.reshape(-1, 4 * len(new))
        moves = self._lu.solve(push)
        felt = self._felt(self._forces(moves) - spread)
        self._flows.add(
            new,
            push=push,
            moves=moves,
            moved=np.asarray(self._b.reach @ moves),
            felt=felt.reshape(-1, 4 * len(new)),
            given=push.T @ self._moves,
            own=(members, give, held),
        )

    def _resist(self, lots: Ints, ways: Floats) -> Floats:
        """D / (1 - hardening) - Bᵀ K⁻¹ B for the ways that ends flow (h, h): Woodbury's formula.

        The tangent stiffness K - B D⁻¹ Bᵀ is never put together.
        """
        return self._flows.resist(lots, ways)

    def work(self, moved: Floats) -> float:
        """What one unit of load does on the moves it makes, even loads included."""
        return float(self.whole @ moved)


class _Flows:
    """What unit flows at ends that have yielded do, four ways each, in the order they yielded."""

    def __init__(self, independent: int, ends: int, moves: int) -> None:
        self.place: dict[int, int] = {}
        self._push = np.zeros((independent, 0))
        self._moved = np.zeros((moves, 0))
        self._felt = np.zeros((4 * ends, 0))
        self._given = np.zeros(0)
        self._own = np.zeros((0, 0))
        self._back = np.zeros((0, 0))
        self._members: list[int] = []
        self._give, self._held = np.zeros((0, 12, 4)), np.zeros((0, 12, 4))

    def add(
        self,
        ends: list[int],
        *,
        push: Floats,
        moves: Floats,
        moved: Floats,
        felt: Floats,
        given: Floats,
        own: tuple[Ints, Floats, Floats],
    ) -> None:
        """Some more ends: what is solved for, by columns, four an end."""
        self.place |= {e: len(self.place) + i for i, e in enumerate(ends)}
        old = self._push.T @ moves
        self._push = np.hstack([self._push, push])
        self._back = np.block([[self._back, old], [old.T, push.T @ moves]])
        self._moved = np.hstack([self._moved, moved])
        self._felt = np.hstack([self._felt, felt])
        self._given = np.concatenate([self._given, given])
        self._members += own[0].tolist()
        self._give = np.concatenate([self._give, own[1]])
        self._held = np.concatenate([self._held, own[2]])
        same = np.equal.outer(self._members, self._members)
        d = np.einsum("aki,bkj->aibj", self._give, self._held) * same[:, None, :, None]
        self._own = d.reshape(4 * len(same), -1)

    def given(self, lots: Ints, ways: Floats) -> Floats:
        """What the elastic moves ask of each end's flow (h,)."""
        return np.asarray((self._given.reshape(-1, 4)[lots] * ways).sum(axis=1))

    def resist(self, lots: Ints, ways: Floats) -> Floats:
        """How ends that flow certain ways (h, 4) resist each other's flow (h, h)."""
        whole = (self._own / (1.0 - HARDENING) - self._back).reshape(-1, 4, len(self._given))
        rows = np.einsum("hi,hij->hj", ways, whole[lots]).reshape(len(lots), -1, 4)
        return np.asarray(np.einsum("hkj,kj->hk", rows[:, lots], ways))

    def done(self, lots: Ints, ways: Floats, flow: Floats) -> tuple[Floats, Floats]:
        """Moves (6n,) and what all ends feel (e, 4) by flows (h,) of ends that flow some ways."""
        each = np.zeros((len(self.place), 4))
        each[lots] = ways * flow[:, None]
        by = each.ravel()
        return self._moved @ by, (self._felt @ by).reshape(-1, 4)


def _feel(b: Bones, capacity: Capacity) -> Floats:
    """What turns an end's force and moment (6,) to pull, bending and twist over what it could be.

    Shape (m, 2, 4, 6), along the tube's own run at each end.
    """
    turn = end_axes(b.frame, b.length)
    out = np.zeros((len(turn), 2, 4, 6))
    out[:, :, 0, :3] = turn[:, :, 0] / capacity.pull[:, None, None]
    out[:, :, 1:3, 3:] = turn[:, :, 1:] / capacity.bend[:, None, None, None]
    out[:, :, 3, 3:] = turn[:, :, 0] / capacity.twist[:, None, None]
    return out


def _ways(felt: Floats) -> Floats:
    """The direction of plastic flow of ends (h, 4): how the gauge grows with what they feel."""
    size = np.hypot(felt[:, 1], felt[:, 2])
    _, by_n, by_m, by_t = slopes(felt[:, 0], size, felt[:, 3])
    bend = (by_m / np.where(size > 0.0, size, 1.0))[:, None] * felt[:, 1:3]
    return np.column_stack([by_n, bend, by_t])


def _least(left: Floats, right: Floats, rcond: float) -> Floats:
    return np.asarray(np.linalg.lstsq(left, right, rcond=rcond)[0], dtype=float)


def advance(now: Now, moved: Floats, felt: Floats, yielding: Bools, drift: float) -> Now:
    """On to the next event: an end yields, or a yielding one strays by `drift`."""
    limit = np.where(yielding, now.used + drift, np.maximum(1.0, now.used + _STILL))
    step = _to_limit(now, felt, limit)
    after = now.felt + step * felt
    used = used_of(after)
    return Now(
        felt=after,
        used=used,
        moves=now.moves + step * moved,
        factor=now.factor + step,
        yielding=yielding | ((used >= 1.0 - 1e-9) & (used > now.used)),
    )


def _to_limit(now: Now, rate: Floats, limit: Floats) -> float:
    """The least growth of load that brings an end to its limit.

    The gauge is a norm, so along the growth it is convex, at most |felt| + s |rate| and at least
    s |rate| - |felt| and what its tangent says: that bounds where each end comes to its limit.
    Those that may be first are asked at the nearest bound of any; one that is within its limit
    there is so at all less. Then a parabola guesses, and Newton, which from either side lands at
    the limit or beyond, comes down to it.
    """
    reach = used_of(rate)
    moving = np.flatnonzero(reach > 1e-12 * max(float(reach.max()), np.finfo(float).tiny))
    if not len(moving):
        return float("inf")
    left = limit[moving] - now.used[moving]
    _, rise = _along(now.felt[moving], rate[moving])
    tangent = left / np.where(rise > 0.0, rise, np.finfo(float).tiny)
    at = float(np.minimum(tangent, (left + 2.0 * now.used[moving]) / reach[moving]).min())
    first = left / reach[moving] <= at
    near, start = moving[first], rise[first]
    g, rise = _along(now.felt[near] + at * rate[near], rate[near])
    past = (g > limit[near]) & (rise > 0.0)
    if not past.any():
        return at
    near, rise, left = near[past], start[past], (limit - now.used)[near[past]]
    bend = np.maximum(g[past] - now.used[near] - rise * at, 0.0) / (at * at)
    guess = 2.0 * left / (rise + np.sqrt(rise * rise + 4.0 * bend * left))
    return _newton(now.felt[near], rate[near], limit[near], np.minimum(guess, at))


def _newton(base: Floats, rate: Floats, limit: Floats, at: Floats) -> float:
    """Where the first of some ends comes to its limit, from a guess for each, shape (n,)."""
    for _ in range(60):
        g, rise = _along(base + at[:, None] * rate, rate)
        step = np.where(rise > 0.0, (g - limit) / np.where(rise > 0.0, rise, 1.0), 0.0)
        at = np.maximum(at - step, 0.0)
        if ((np.abs(step) <= 1e-13 * at) | (np.abs(g - limit) <= 1e-14)).all():
            break
    return float(at.min())


def _along(felt: Floats, rate: Floats) -> tuple[Floats, Floats]:
    """The gauge of ends (n, 4), and how it grows along a rate (n, 4), shape (n,) each."""
    m = np.hypot(felt[:, 1], felt[:, 2])
    g, by_n, by_m, by_t = slopes(felt[:, 0], m, felt[:, 3])
    across = felt[:, 1] * rate[:, 1] + felt[:, 2] * rate[:, 2]
    return g, by_n * rate[:, 0] + by_t * rate[:, 3] + by_m * across / np.where(m > 0.0, m, 1.0)
