"""Where a mark can be, given the marks already placed: every answer, not one.

A tape from a placed mark is a sphere, a height or a plumb line a plane; other kinds are cones
and tori that only help to refine. Subtracting one sphere from the others leaves planes, so the
mark lies on a line (two answers, where it pierces the sphere) or at a point. Each answer is
then refined over all the readings at hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.equations import Form

STILL = 1e-6
"""A step shorter than this moves no mark [mm]."""
CAUCHY = 3.0
"""Scale of the forgiving loss, in plus/minuses."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Ties:
    """What ties one mark to placed ones, for B hypotheses of where those are.

    Attributes:
        centres: (B, s, 3) centres of spheres; radii, sphere_sd: (s,).
        normals: (B, p, 3) unit normals of planes; levels: (B, p) normal · mark; plane_sd: (p,).
        others: forms with the points of their marks (B, q, 3), the mark's own slot, what the
            form should come to, and its sd.
    """

    centres: Floats
    radii: Floats
    sphere_sd: Floats
    normals: Floats
    levels: Floats
    plane_sd: Floats
    others: Sequence[tuple[Form, Floats, int, float, float]] = ()

    @property
    def count(self) -> int:
        """How many equations there are."""
        return len(self.radii) + len(self.plane_sd) + len(self.others)


def _planes(ties: Ties) -> tuple[Floats, Floats]:
    """All planes: the given ones, and those left when one sphere is taken from the others."""
    normals, levels = [ties.normals], [ties.levels]
    if len(ties.radii) > 1:
        base = np.argmin(ties.radii)
        keep = np.arange(len(ties.radii)) != base
        c, c0 = ties.centres[:, keep], ties.centres[:, base, None]
        apart = c - c0
        length = np.maximum(np.linalg.norm(apart, axis=2), 1e-6)
        r, r0 = ties.radii[keep], ties.radii[base]
        square = (r0**2 - r**2 + np.sum(c**2, axis=2) - np.sum(c0**2, axis=2)) / 2.0
        normals.append(apart / length[..., None])
        levels.append(square / length)
    return np.concatenate(normals, axis=1), np.concatenate(levels, axis=1)


def _spread(size: float) -> Floats:
    """Twelve directions all round, (12, 3), of the given length."""
    k = np.arange(12) + 0.5
    polar, turn = np.arccos(1 - k / 6.0), np.pi * (1 + 5**0.5) * k
    around = np.column_stack(
        (np.cos(turn) * np.sin(polar), np.sin(turn) * np.sin(polar), np.cos(polar))
    )
    return size * around


def _line_starts(ties: Ties) -> Floats:
    """Points (B, k, 3) from which to refine, where planes leave a line or a point."""
    normals, levels = _planes(ties)
    u, s, vt = np.linalg.svd(normals, full_matrices=False)
    coefficients = np.einsum("bpk,bp->bk", u, levels)
    inverse = np.where(s > 1e-9, 1.0 / np.maximum(s, 1e-12), 0.0)
    point = np.einsum("bk,bk,bkd->bd", coefficients, inverse, vt)
    along = np.cross(vt[:, 0], vt[:, 1])
    foot = point - np.einsum("bd,bd->b", point, along)[:, None] * along
    starts = [point]
    if len(ties.radii):
        base = int(np.argmin(ties.radii))
        apart = ties.centres[:, base] - foot
        middle = np.einsum("bd,bd->b", apart, along)
        square = ties.radii[base] ** 2 - np.sum(apart**2, axis=1) + middle**2
        half = np.sqrt(np.maximum(square, 1.0))
        starts += [foot + (middle + sign * half)[:, None] * along for sign in (1.0, -1.0)]
    else:
        far = 2000.0
        starts += [foot + t * far * along for t in np.linspace(-1.0, 1.0, 8)]
    return np.stack(starts, axis=1)


def spots(ties: Ties, about: Floats, size: float) -> Floats:
    """Points (B, k, 3) from which to refine: every answer of the spheres and planes."""
    rank = len(ties.plane_sd) + max(len(ties.radii) - 1, 0)
    if rank >= 2:
        return _line_starts(ties)
    spread = _spread(float(ties.radii[0]) if len(ties.radii) else size)
    middle = ties.centres[:, :1] if len(ties.radii) else about[:, None]
    return np.asarray(middle + spread[None])


def _residuals(ties: Ties, x: Floats) -> tuple[Floats, Floats]:
    """Whitened residuals (B, k, e) and gradients (B, k, e, 3) at points x (B, k, 3)."""
    apart = x[:, :, None] - ties.centres[:, None]
    length = np.maximum(np.linalg.norm(apart, axis=3), 1e-6)
    r = [(length - ties.radii) / ties.sphere_sd]
    g = [apart / (length * ties.sphere_sd)[..., None]]
    r.append((np.einsum("bkd,bpd->bkp", x, ties.normals) - ties.levels[:, None]) / ties.plane_sd)
    plane = np.broadcast_to(
        (ties.normals / ties.plane_sd[:, None])[:, None], (*x.shape[:2], *ties.normals.shape[1:])
    )
    g.append(plane)
    for form, points, slot, value, sd in ties.others:
        p = np.repeat(points[:, None], x.shape[1], axis=1)
        p[:, :, slot] = x
        f, gradient = form(p.reshape(-1, *p.shape[2:]))
        r.append((f.reshape(*x.shape[:2], 1) - value) / sd)
        g.append(gradient[:, slot].reshape(*x.shape[:2], 1, 3) / sd)
    return np.concatenate(r, axis=2), np.concatenate(g, axis=2)


def loss(residual: Floats) -> Floats:
    """A forgiving measure of misfit (Cauchy's), so that one wrong reading decides nothing."""
    return np.asarray(np.sum(np.log1p((residual / CAUCHY) ** 2), axis=-1))


def misfit_at(ties: Ties, x: Floats) -> Floats:
    """Whitened residuals (B, k, e) of all the ties at points x (B, k, 3)."""
    return _residuals(ties, x)[0]


def refined(ties: Ties, x: Floats, *, steps: int = 8) -> tuple[Floats, Floats]:
    """Points (B, k, 3) moved downhill by Gauss-Newton, and their squared misfit (B, k)."""
    damping = np.full(x.shape[:2], 1e-3)
    r, g = _residuals(ties, x)
    cost = np.sum(r * r, axis=2)
    eye = np.eye(3)
    for _ in range(steps):
        normal = np.einsum("bked,bkef->bkdf", g, g)
        scale = np.trace(normal, axis1=2, axis2=3)[..., None, None] / 3.0
        pull = np.einsum("bked,bke->bkd", g, r)
        step = np.linalg.solve(
            normal + (damping[..., None, None] * scale + 1e-9) * eye, -pull[..., None]
        )[..., 0]
        trial_r, trial_g = _residuals(ties, x + step)
        trial = np.sum(trial_r**2, axis=2)
        better = trial < cost
        x = np.where(better[..., None], x + step, x)
        r = np.where(better[..., None], trial_r, r)
        g = np.where(better[..., None, None], trial_g, g)
        cost = np.where(better, trial, cost)
        damping = np.where(better, damping * 0.1, damping * 10.0)
        if float(np.abs(step).max()) < STILL:
            break
    return x, cost


def answers(ties: Ties, about: Floats, size: float) -> tuple[Floats, Floats]:
    """Where the mark can be.

    Args:
        ties: what ties it to the placed marks.
        about: (B, 3) somewhere near, for the rare mark without spheres or planes.
        size: how large the whole is [mm].

    Returns:
        Points (B, k, 3) and the forgiving misfit (B, k) of each.
    """
    x, _ = refined(ties, spots(ties, about, size))
    r, _ = _residuals(ties, x)
    return x, loss(r)
