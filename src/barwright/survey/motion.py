"""Moving the whole survey as one rigid piece: twists, their null space, and placing by rule."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import Linearised

TWISTS = ("forward", "left", "up", "about x", "about y", "about z")


def twists(x: Floats) -> Floats:
    """The six rigid motions as columns (3n, 6): along x, y, z and about x, y, z.

    The turns are about the middle of the marks and scaled so that they move marks at the
    root-mean-square distance by as much as the slides do.
    """
    n = len(x)
    y = x - x.mean(axis=0)
    size = max(float(np.sqrt(np.mean(np.sum(y * y, axis=1)))), 1e-9)
    out = np.zeros((n, 3, 6))
    out[:, :, :3] = np.eye(3)
    for axis in range(3):
        out[:, :, 3 + axis] = np.cross(np.eye(3)[axis], y) / size
    return out.reshape(3 * n, 6)


def moved(x: Floats, twist: Floats) -> Floats:
    """The marks moved along a twist, in the units of `twists`, for a unit of time.

    The flow of y' = v + w × y about the middle of the marks, in closed form: y goes to
    R y + V v with R = exp[w] and V = I + (1 - cos a)/a² [w] + (a - sin a)/a³ [w]², a = |w|
    (the exponential map of SE(3), from memory). So a turn about a line that does not pass
    through the middle stays one, and shapes are kept exactly.
    """
    middle = x.mean(axis=0)
    y = x - middle
    size = max(float(np.sqrt(np.mean(np.sum(y * y, axis=1)))), 1e-9)
    turn = np.asarray(twist[3:]) / size
    angle = float(np.linalg.norm(turn))
    slide = np.asarray(twist[:3], dtype=float)
    if angle > 1e-12:
        k = turn / angle
        cross = np.array([[0.0, -k[2], k[1]], [k[2], 0.0, -k[0]], [-k[1], k[0], 0.0]])
        square = cross @ cross
        y = y @ (np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * square).T
        flow = (1 - np.cos(angle)) / angle * cross + (1 - np.sin(angle) / angle) * square
        slide = slide + flow @ slide
    return np.asarray(y + middle + slide)


def pushed(at: Linearised, directions: Floats) -> Floats:
    """What motions do to the whitened residuals: J @ directions, directions (u, k)."""
    parts = [np.einsum("mc,mck->mk", b.values, directions[b.columns]) for b in at.blocks]
    return np.concatenate(parts) if parts else np.zeros((0, directions.shape[1]))


def free_twists(at: Linearised, x: Floats, *, loose: float = 1e-7) -> Floats:
    """The rigid motions (6, k) that no reading feels, as an orthonormal base.

    A motion counts as free when it moves no residual by more than `loose` of what it could,
    were every row to feel it fully. Turning marks on one line about that line moves nothing,
    so it is not counted.
    """
    columns = twists(x)
    _, size, moving = np.linalg.svd(columns, full_matrices=False)
    moving = moving[size > 1e-6 * size[0]].T
    felt = pushed(at, columns @ moving) / np.maximum(row_lengths(at), 1e-300)[:, None]
    if not len(felt):
        return np.asarray(moving)
    _, s, vt = np.linalg.svd(felt, full_matrices=len(felt) < moving.shape[1])
    s = np.concatenate((s, np.zeros(max(moving.shape[1] - len(s), 0))))
    return np.asarray(moving @ vt[s <= loose].T)


def row_lengths(at: Linearised) -> Floats:
    """The length of every row of the Jacobian, (rows,)."""
    parts = [np.sqrt(np.sum(b.values**2, axis=1)) for b in at.blocks]
    return np.concatenate(parts) if parts else np.zeros(0)


def fitted(
    x: Floats,
    wants: Callable[[Floats], Linearised],
    allowed: Callable[[Floats], Floats],
    *,
    steps: int = 60,
) -> tuple[Floats, float]:
    """The marks moved as one piece until what is wanted fits best.

    Args:
        x: (n, 3) the marks.
        wants: positions (3n,) to the residuals that should vanish.
        allowed: positions (n, 3) to a base (6, k) of the twists that may be used.
        steps: the most iterations.

    Returns:
        The moved marks and the sum of squares left.
    """
    at = wants(x.ravel())
    cost, damping = float(at.residual @ at.residual), 1e-6
    for _ in range(steps):
        base = allowed(x)
        j = pushed(at, twists(x) @ base)
        normal = j.T @ j
        step = (
            base
            @ np.linalg.lstsq(
                normal + damping * np.diag(np.diagonal(normal) + 1e-12),
                -j.T @ at.residual,
                rcond=None,
            )[0]
        )
        size = float(np.sqrt(np.mean(np.sum((x - x.mean(axis=0)) ** 2, axis=1))))
        step *= min(1.0, 0.3 * max(size, 1.0) / max(float(np.linalg.norm(step[3:])), 1e-12))
        trial = moved(x, step)
        trial_at = wants(trial.ravel())
        trial_cost = float(trial_at.residual @ trial_at.residual)
        if trial_cost < cost:
            small = cost - trial_cost <= 1e-12 * cost or np.abs(step).max() < 1e-10
            x, at, cost, damping = trial, trial_at, trial_cost, damping * 0.1
            if small:
                break
        else:
            damping *= 100.0
            if damping > 1e12:
                break
    return x, cost
