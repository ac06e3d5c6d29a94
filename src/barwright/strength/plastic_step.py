"""How does a frame with yielding ends move on? One step of a pushover.

Each step solves for as many unknowns as ends yield, from what one unit of plastic flow at each of
them does (plastic_flows), and adds up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.frame import Bools, Ints, Loads
from barwright.strength.plastic_flows import Flows
from barwright.strength.solve import clamped_on_nodes
from barwright.strength.tube_limit import slopes

_STRAY = 1e-4
"""How far past the limit an end may stand before it is taken back."""
_STILL = 1e-6
"""How much farther an end may go that stands past the limit though it does not flow."""

_NOTHING = 1e-290


@dataclass(frozen=True, kw_only=True, eq=False)
class Now:
    """The frame between two events.

    Attributes:
        felt: shape (e, 4), what every member end feels: pull, bending y and z, twist, over their
            plastic values; end e is end e % 2 of member e // 2.
        used: shape (e,), how near each end is to full yield.
        grows: shape (e, 4), how `used` grows with what is felt: the direction of plastic flow.
        flow: shape (e, 4), how far each end has flowed.
        factor: of the load.
        yielding: shape (e,), the ends that flow.
    """

    felt: Floats
    used: Floats
    grows: Floats
    flow: Floats
    factor: float
    yielding: Bools


@dataclass(frozen=True, kw_only=True, eq=False)
class Rate:
    """What one more unit of load brings.

    Attributes:
        felt, flow: shape (e, 4), as of `Now`.
        work: what the unit of load does on the moves it makes, even loads included.
        yielding: shape (e,), the ends that go on flowing.
    """

    felt: Floats
    flow: Floats
    work: float
    yielding: Bools


def growing(felt: Floats) -> tuple[Floats, Floats]:
    """How near ends (e, 4) are to full yield (e,), and how that grows with what they feel."""
    size, grows = np.hypot(felt[:, 1], felt[:, 2]), np.empty(felt.shape)
    used, grows[:, 0], by_m, grows[:, 3] = slopes(felt[:, 0], size, felt[:, 3])
    grows[:, 1:3] = (by_m / np.maximum(size, _NOTHING))[:, None] * felt[:, 1:3]
    return used, grows


class Push:
    """One growing case."""

    def __init__(self, loads: Loads, case: int, flows: Flows) -> None:
        """The elastic answer of one case.

        Args:
            loads: the cases the frame was made ready for.
            case: which of them.
            flows: of the frame.
        """
        b = flows.ready.bones
        whole = loads.nodal[case].reshape(-1) - clamped_on_nodes(b)[case]
        push = np.asarray(b.reach.T @ whole)
        self._flows = flows
        self._moves = flows.ready.lu.solve(push)
        self._given = flows.felt(self._moves)
        self._elastic = Rate(
            felt=self._given + flows.felt_of(b.clamped[case]),
            flow=np.zeros(self._given.shape),
            work=float(push @ self._moves),
            yielding=np.zeros(len(self._given), dtype=bool),
        )

    def begin(self) -> Now:
        """The frame before it is loaded."""
        none = np.zeros(self._given.shape)
        still = self._elastic.yielding
        return Now(felt=none, used=none[:, 0], grows=none, flow=none, factor=0.0, yielding=still)

    def step(self, now: Now) -> Rate:
        """What one more unit of load brings.

        An end whose flow would run backwards is elastic again.
        """
        at = np.flatnonzero(now.yielding)
        if not len(at):
            return self._elastic
        at, ways, flow = self._flowing(at, now.grows[at])
        yielding = np.zeros(len(now.yielding), dtype=bool)
        yielding[at] = True
        flowed = np.zeros(now.felt.shape)
        flowed[at] = ways * flow[:, None]
        return Rate(
            felt=self._elastic.felt + self._flows.done(flowed),
            flow=flowed,
            work=self._elastic.work + float((self._given * flowed).sum()),
            yielding=yielding,
        )

    def _flowing(self, at: Ints, ways: Floats) -> tuple[Ints, Floats, Floats]:
        """Those of some ends that flow, their ways, and how far for one more unit of load."""
        while True:
            given = (self._given[at] * ways).sum(axis=1)
            flow = _least(self._flows.resist(at, ways), given, 1e-15)
            on = flow >= -1e-9 * max(np.abs(flow).max(initial=0.0), _NOTHING)
            if on.all():
                return at, ways, flow
            at, ways = at[on], ways[on]

    def settled(self, now: Now) -> Now:
        """The same load with yielding ends flowed back onto the limit, where that can be done.

        The frame stays in equilibrium: each end's flow takes its own overshoot away.
        """
        over = now.used - 1.0
        at = np.flatnonzero(now.yielding)
        if over.max() < _STRAY or not len(at):
            return now
        ways, flowed = now.grows[at], np.zeros(now.felt.shape)
        flowed[at] = ways * _least(self._flows.resist(at, ways), over[at], 1e-7)[:, None]
        felt = now.felt + self._flows.done(flowed)
        used, grows = growing(felt)
        if used.max() >= now.used.max():
            return now
        return replace(now, felt=felt, used=used, grows=grows, flow=now.flow + flowed)

    def moved(self, passed: list[Now]) -> Floats:
        """How the nodes (6n, s) have moved at some states."""
        moves = [now.factor * self._moves + self._flows.moved(now.flow) for now in passed]
        return np.asarray(self._flows.ready.bones.reach @ np.column_stack(moves))


def _least(left: Floats, right: Floats, rcond: float) -> Floats:
    return np.asarray(np.linalg.lstsq(left, right, rcond=rcond)[0], dtype=float)


def advance(now: Now, rate: Rate, drift: float) -> Now:
    """On to the next event: an end yields, or a yielding one strays by `drift`."""
    limit = np.where(rate.yielding, now.used + drift, np.maximum(1.0, now.used + _STILL))
    step = _to_limit(now, rate.felt, limit)
    felt = now.felt + step * rate.felt
    used, grows = growing(felt)
    return Now(
        felt=felt,
        used=used,
        grows=grows,
        flow=now.flow + step * rate.flow,
        factor=now.factor + step,
        yielding=rate.yielding | ((used >= 1.0 - 1e-9) & (used > now.used)),
    )


def _to_limit(now: Now, rate: Floats, limit: Floats) -> float:
    """The least growth of load that brings an end to its limit.

    The gauge is a norm, no less than any one force and no more than their sum: along the growth
    it is convex, at most |felt| + s |rate| and at least s |rate| - |felt| and what its tangent
    says, which bounds where each end comes to its limit. Those that may be first are asked at the
    nearest bound of any; one that is within its limit there is so at all less. Then a parabola
    guesses, and Newton, which from either side lands at the limit or beyond, comes down to it.
    """
    size = np.abs(rate)
    least, most = size.max(axis=1), size.sum(axis=1)
    if not most.any():
        return float("inf")
    left = limit - now.used
    rise = (now.grows * rate).sum(axis=1)
    tangent = left / np.where(rise > 0.0, rise, _NOTHING)
    at = float(np.minimum(tangent, (left + 2.0 * now.used) / np.maximum(least, _NOTHING)).min())
    near = np.flatnonzero(left <= at * most)
    g, slope = _along(now.felt[near] + at * rate[near], rate[near])
    past = (g > limit[near]) & (slope > 0.0)
    if not past.any():
        return at
    near, g = near[past], g[past]
    left, rise = left[near], np.maximum(rise[near], 0.0)
    bend = np.maximum(g - now.used[near] - rise * at, 0.0) / (at * at)
    guess = 2.0 * left / (rise + np.sqrt(rise * rise + 4.0 * bend * left))
    return _newton(now.felt[near], rate[near], limit[near], np.minimum(guess, at))


def _newton(base: Floats, rate: Floats, limit: Floats, at: Floats) -> float:
    """Where the first of some ends comes to its limit, from a guess for each, shape (n,).

    Each step doubles the digits that are right, so after one of 1e-9 none is left to gain.
    """
    for _ in range(60):
        g, rise = _along(base + at[:, None] * rate, rate)
        step = np.where(rise > 0.0, (g - limit) / np.where(rise > 0.0, rise, 1.0), 0.0)
        at = np.maximum(at - step, 0.0)
        if ((np.abs(step) <= 1e-9 * at) | (np.abs(g - limit) <= 1e-14)).all():
            break
    return float(at.min())


def _along(felt: Floats, rate: Floats) -> tuple[Floats, Floats]:
    """The gauge of ends (n, 4), and how it grows along a rate (n, 4), shape (n,) each."""
    used, grows = growing(felt)
    return used, (grows * rate).sum(axis=1)
