"""The solver: weighted least squares by Gauss-Newton with Levenberg's and Marquardt's damping.

It knows nothing of marks: whoever calls it hands over a function from unknowns to whitened
residuals and their Jacobian in blocks of rows with equally many entries. The same core adjusts
a survey, fits a published curve (NIST Misra1a) and a calibration line (GUM H.3).

Sources: Levenberg 1944, Marquardt 1963 (damping scaled by the diagonal); Nielsen 1999 (how the
damping follows the gain ratio); all from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats

NOTHING = 1e-13
"""A step that can lower the cost by no more than this share of it is the last one."""
SPARSE_FROM = 900
"""Unknowns from which the normal equations are factored as a sparse matrix."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Block:
    """Rows of the Jacobian with k entries each.

    Attributes:
        columns: (m, k) which unknown.
        values: (m, k) the derivative of the whitened residual; (s, m, k) of s sets of unknowns.
    """

    columns: NDArray[np.intp]
    values: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Linearised:
    """Whitened residuals (rows,) and the blocks of their Jacobian, in the same order.

    Of s sets of unknowns at once the residuals are (s, rows).
    """

    residual: Floats
    blocks: tuple[Block, ...]


Evaluate: TypeAlias = Callable[[Floats], Linearised]


@dataclass(frozen=True, kw_only=True, eq=False)
class Adjusted:
    """Where the solver stopped.

    Attributes:
        x: the unknowns (u,).
        cost: sum of squared whitened residuals.
        normal: the normal matrix JᵀJ (u, u) at x.
        at: residuals and Jacobian at x.
        steps: iterations taken.
        last_step: the largest last change of an unknown, in its own conditional sd.
        converged: whether the last step was below the tolerance, or could gain nothing more.
    """

    x: Floats
    cost: float
    normal: Floats
    at: Linearised
    steps: int
    last_step: float
    converged: bool


def normal_equations(at: Linearised, unknowns: int) -> tuple[Floats, Floats]:
    """JᵀJ (u, u) and Jᵀr (u,), summed entry by entry since each row has few.

    >>> row = Block(columns=np.array([[0, 1]]), values=np.array([[1.0, 2.0]]))
    >>> n, g = normal_equations(Linearised(residual=np.array([3.0]), blocks=(row,)), 2)
    >>> n.tolist(), g.tolist()
    ([[1.0, 2.0], [2.0, 4.0]], [3.0, 6.0])
    """
    places, products, targets, pulls = [], [], [], []
    start = 0
    for b in at.blocks:
        r = at.residual[start : start + len(b.values)]
        start += len(b.values)
        places.append((b.columns[:, :, None] * unknowns + b.columns[:, None, :]).ravel())
        products.append((b.values[:, :, None] * b.values[:, None, :]).ravel())
        targets.append(b.columns.ravel())
        pulls.append((b.values * r[:, None]).ravel())
    if not places:
        return np.zeros((unknowns, unknowns)), np.zeros(unknowns)
    normal = np.bincount(np.concatenate(places), np.concatenate(products), unknowns**2)
    gradient = np.bincount(np.concatenate(targets), np.concatenate(pulls), unknowns)
    return normal.reshape(unknowns, unknowns).astype(float), gradient.astype(float)


def dense(at: Linearised, unknowns: int) -> Floats:
    """The Jacobian (rows, u) as a full matrix."""
    out = np.zeros((len(at.residual), unknowns))
    start = 0
    for b in at.blocks:
        rows = np.arange(start, start + len(b.values))[:, None]
        out[rows, b.columns] = b.values
        start += len(b.values)
    return out


def step_of(normal: Floats, damping: Floats, right: Floats) -> Floats | None:
    """(N + diag(damping)) step = right, or None where it is not positive definite."""
    if len(right) >= SPARSE_FROM:
        return _solve_sparse(normal, damping, right)
    from scipy.linalg.lapack import dposv

    n = normal.copy()
    n.flat[:: len(n) + 1] += damping
    _, step, info = dposv(n.T, right, lower=1, overwrite_a=1)  # in the order it wants: no copy
    return step if info == 0 else None


def _solve_sparse(normal: Floats, damping: Floats, right: Floats) -> Floats | None:
    from scipy.sparse import csc_array, diags_array
    from scipy.sparse.linalg import splu

    n = csc_array(csc_array(normal) + diags_array(damping))
    try:
        step = splu(n, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}).solve(right)
    except RuntimeError:
        return None
    return step if np.all(np.isfinite(step)) else None


def scale_of(normal: Floats) -> Floats:
    """What damping is a share of: the diagonal, kept off zero."""
    return np.asarray(np.diagonal(normal) + 1e-12 * np.trace(normal) / max(len(normal), 1) + 1e-300)


def adjust(
    evaluate: Evaluate,
    x: Floats,
    *,
    most: int = 60,
    tolerance: float = 1e-7,
    damping: float = 0.0,
) -> Adjusted:
    """The unknowns with the least sum of squared whitened residuals, downhill from x.

    Args:
        evaluate: unknowns (u,) to whitened residuals and Jacobian.
        x: where to start.
        most: the most iterations.
        tolerance: the largest last step, in the conditional sd of the unknown it moves.
        damping: the first damping, as a share of the diagonal; 0 is pure Gauss-Newton, which
            raises it by itself where a step would not go downhill.

    Raises:
        FloatingPointError: the residuals at the start are not finite.
    """
    x = np.array(x, dtype=float)
    at = evaluate(x)
    cost = float(at.residual @ at.residual)
    if not np.isfinite(cost):
        raise FloatingPointError("the residuals at the start are not finite numbers")
    normal, gradient = normal_equations(at, len(x))
    growth, last, steps = 2.0, np.inf, 0
    for steps in range(1, most + 1):
        scale = scale_of(normal)
        step = step_of(normal, damping * scale, -gradient)
        if step is None:
            damping, growth = max(damping * growth, 1e-8), growth * 2.0
            continue
        last = float(np.max(np.abs(step) * np.sqrt(scale), initial=0.0))
        trial = evaluate(x + step)
        trial_cost = float(trial.residual @ trial.residual)
        foreseen = float(step @ (damping * scale * step - gradient))
        settled = damping < 1e-3 and foreseen < NOTHING * (1.0 + cost)
        if trial_cost <= cost * (1.0 + 1e-14) or settled:
            gain = (cost - trial_cost) / max(foreseen, 1e-300)
            x, at, cost = x + step, trial, trial_cost
            normal, gradient = normal_equations(at, len(x))
            damping *= max(1.0 / 3.0, 1.0 - (2.0 * min(gain, 1.0) - 1.0) ** 3)
            damping = 0.0 if damping < 1e-12 else damping
            growth = 2.0
            if last < tolerance or settled:
                return _stopped(x, at, normal, steps, last)
        else:
            damping, growth = max(damping * growth, 1e-6), growth * 2.0
            if damping > 1e16:
                break
    return _stopped(x, at, normal, steps, last, converged=False)


def _stopped(
    x: Floats, at: Linearised, normal: Floats, steps: int, last: float, *, converged: bool = True
) -> Adjusted:
    return Adjusted(
        x=x,
        cost=float(at.residual @ at.residual),
        normal=normal,
        at=at,
        steps=steps,
        last_step=last,
        converged=converged,
    )


def covariance_of(normal: Floats) -> Floats:
    """The inverse of a positive definite normal matrix, symmetric to the last digit.

    Raises:
        numpy.linalg.LinAlgError: the matrix is singular, so something is not determined.
    """
    from scipy.linalg.lapack import dpotrf, dpotri

    factor, info = dpotrf(normal, lower=1, clean=1)
    if info != 0:
        raise np.linalg.LinAlgError("the normal matrix is not positive definite")
    inverse, _ = dpotri(factor, lower=1)
    lower = np.tril(inverse, -1)
    return np.asarray(lower + lower.T + np.diag(np.diagonal(inverse)))
