"""The solver of `adjust`, from several starts at once.

Each start goes its own way, with its own damping, by the same rules; what is shared is the
evaluation, which for a small survey costs more in calls than in sums. A start that comes to
where another one is goes no further.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import NOTHING, Evaluate, Linearised, scale_of, step_of

MET = 1e-3
"""Starts closer together than this in every unknown have met [mm]."""

Mask = NDArray[np.bool_]


@dataclass(kw_only=True, eq=False)
class _Ways:
    """Where every start has come to, entry by entry.

    Attributes:
        x: (s, u) the unknowns.
        cost, damping, growth: (s,).
        normal, pull: (s, u, u) JᵀJ and (s, u) Jᵀr there.
        going: (s,) which are still under way.
    """

    x: Floats
    cost: Floats
    normal: Floats
    pull: Floats
    damping: Floats
    growth: Floats
    going: Mask


def normal_equations_of(at: Linearised, unknowns: int) -> tuple[Floats, Floats]:
    """JᵀJ (s, u, u) and Jᵀr (s, u) of s sets of residuals (s, rows) and values (s, m, k)."""
    sets = len(at.residual)
    places, products, targets, pulls, start = [], [], [], [], 0
    for b in at.blocks:
        r = at.residual[:, start : start + len(b.columns), None]
        start += len(b.columns)
        places.append((b.columns[:, :, None] * unknowns + b.columns[:, None, :]).ravel())
        products.append((b.values[..., :, None] * b.values[..., None, :]).reshape(sets, -1))
        targets.append(b.columns.ravel())
        pulls.append((b.values * r).reshape(sets, -1))
    normal = _summed(places, products, unknowns**2)
    return normal.reshape(sets, unknowns, unknowns), _summed(targets, pulls, unknowns)


def _summed(places: list[NDArray[np.intp]], entries: list[Floats], count: int) -> Floats:
    """(s, count): for every set the entries summed by place."""
    where, values = np.concatenate(places), np.concatenate(entries, axis=1)
    return np.array([np.bincount(where, mine, count) for mine in values], dtype=float)


def adjust_many(
    evaluate: Evaluate,
    x: Floats,
    *,
    most: int = 60,
    tolerance: float = 1e-7,
    damping: float = 0.0,
    enough: Callable[[Floats], Mask] | None = None,
) -> tuple[Floats, Floats]:
    """The unknowns with the least sum of squared residuals, downhill from each start.

    Args:
        evaluate: unknowns (s, u) to whitened residuals (s, rows) and Jacobian.
        x: (s, u) where to start.
        most: the most iterations.
        tolerance: the largest last step, in the conditional sd of the unknown it moves.
        damping: the first damping, as a share of the diagonal.
        enough: unknowns (s, u) to which of them need go no further (s,).

    Returns:
        (s, u) where each has stopped, and the cost (s,) there. Of starts that meet the first
        goes on; the others' cost is infinite.
    """
    ways = _begun(evaluate, np.array(x, dtype=float), damping)
    for _ in range(most):
        met = _met(ways)
        ways.going[met], ways.cost[met] = False, np.inf
        if enough is not None:
            ways.going &= ~enough(ways.x)
        if not ways.going.any():
            break
        _go_on(ways, evaluate, tolerance)
    return ways.x, ways.cost


def _begun(evaluate: Evaluate, x: Floats, damping: float) -> _Ways:
    at = evaluate(x)
    normal, pull = normal_equations_of(at, x.shape[1])
    return _Ways(
        x=x,
        cost=np.einsum("sr,sr->s", at.residual, at.residual),
        normal=normal,
        pull=pull,
        damping=np.full(len(x), damping),
        growth=np.full(len(x), 2.0),
        going=np.ones(len(x), dtype=bool),
    )


def _met(ways: _Ways) -> list[int]:
    """The starts under way that are where an earlier one is."""
    going = np.flatnonzero(ways.going)
    x = ways.x[going]
    return [
        int(going[k])
        for k in range(1, len(going))
        if (np.abs(x[:k] - x[k]).max(axis=1) < MET).any()
    ]


def _go_on(ways: _Ways, evaluate: Evaluate, tolerance: float) -> None:
    """One iteration of every start under way, by the rules of `adjust`."""
    steps: dict[int, tuple[Floats, Floats]] = {}
    for i in np.flatnonzero(ways.going).tolist():
        scale = scale_of(ways.normal[i])
        step = step_of(ways.normal[i], ways.damping[i] * scale, -ways.pull[i])
        if step is None:
            ways.damping[i] = max(ways.damping[i] * ways.growth[i], 1e-8)
            ways.growth[i] *= 2.0
        else:
            steps[i] = step, scale
    if not steps:
        return
    trial = ways.x[list(steps)] + [step for step, _ in steps.values()]
    at = evaluate(trial)
    normal, pull = normal_equations_of(at, trial.shape[1])
    cost = np.einsum("sr,sr->s", at.residual, at.residual)
    for k, (i, (step, scale)) in enumerate(steps.items()):
        last = float(np.max(np.abs(step) * np.sqrt(scale), initial=0.0))
        foreseen = float(step @ (ways.damping[i] * scale * step - ways.pull[i]))
        if _taken(ways, i, foreseen, float(cost[k])):
            ways.going[i] &= last >= tolerance
            ways.x[i], ways.cost[i] = trial[k], cost[k]
            ways.normal[i], ways.pull[i] = normal[k], pull[k]


def _taken(ways: _Ways, i: int, foreseen: float, trial: float) -> bool:
    """Whether a start takes a step whose cost on trial is given; its damping follows."""
    cost, damping = ways.cost[i], ways.damping[i]
    settled = damping < 1e-3 and foreseen < NOTHING * (1.0 + cost)
    if not (trial <= cost * (1.0 + 1e-14) or settled):
        ways.damping[i] = max(damping * ways.growth[i], 1e-6)
        ways.growth[i] *= 2.0
        ways.going[i] = ways.damping[i] <= 1e16
        return False
    gain = min((cost - trial) / max(foreseen, 1e-300), 1.0)
    damping *= max(1.0 / 3.0, 1.0 - (2.0 * gain - 1.0) ** 3)
    ways.damping[i] = 0.0 if damping < 1e-12 else damping
    ways.growth[i] = 2.0
    ways.going[i] = not settled
    return True
