"""Where a mark can be, given the marks already placed: every answer, not one.

A tape from a placed mark is a sphere, a height or a plumb line a plane; other kinds are cones
and tori that only help to refine. Subtracting one sphere from the others leaves planes, so the
mark lies on a line (two answers, where it pierces the sphere) or at a point. Each answer is
then refined over all the readings at hand.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats, cross_of
from barwright.survey.equations import Form, Indices

STILL = 0.03
"""A step shorter than this moves no mark [mm]: places are starts, adjusted afterwards."""
CAUCHY = 3.0
"""Scale of the forgiving loss, in plus/minuses."""
FAR = 2000.0
"""How far along a line without spheres a mark is looked for [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Others:
    """m ties of one form that are neither spheres nor planes.

    Attributes:
        form: what they measure.
        points: (m, q, 3) their marks.
        of: (m,) the hypothesis each is of; column: (m,) its number among those of its hypothesis.
        slot: (m,) which of the points the mark itself is.
        value, weight: (m,) what the form should come to, and one over its sd.
    """

    form: Form
    points: Floats
    of: Indices
    column: Indices
    slot: Indices
    value: Floats
    weight: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Ties:
    """What ties a mark to placed ones, in B hypotheses of which mark it is and where those are.

    Attributes:
        centres: (B, s, 3) centres of spheres; radii: (B, s); sphere_weight: (B, s) one over the
            sd, 0 where there is no such sphere.
        normals: (B, p, 3) unit normals of planes; levels: (B, p) normal · mark; plane_weight:
            (B, p) as above, with a normal of 0 where there is no such plane.
        others: the rest.
    """

    centres: Floats
    radii: Floats
    sphere_weight: Floats
    normals: Floats
    levels: Floats
    plane_weight: Floats
    others: Sequence[Others] = ()


def _least(ties: Ties) -> Indices:
    """The smallest sphere of each hypothesis, (B, 1)."""
    told = np.where(ties.sphere_weight > 0.0, ties.radii, np.inf)
    return np.asarray(np.argmin(told, axis=1, keepdims=True))


def _planes(ties: Ties) -> tuple[Floats, Floats]:
    """All planes: the given ones, and those left when one sphere is taken from the others."""
    if ties.radii.shape[1] < 2:
        return ties.normals, ties.levels
    base = _least(ties)
    c0 = np.take_along_axis(ties.centres, base[..., None], axis=1)
    r0 = np.take_along_axis(ties.radii, base, axis=1)
    apart = np.where(ties.sphere_weight[..., None] > 0.0, ties.centres - c0, 0.0)
    length = np.maximum(np.sqrt(np.einsum("bsd,bsd->bs", apart, apart)), 1e-6)
    square = (r0**2 - ties.radii**2 + length**2) / 2.0 + np.einsum("bsd,bqd->bs", apart, c0)
    levels = np.where(length > 1e-6, square / length, 0.0)
    normals = np.concatenate((ties.normals, apart / length[..., None]), axis=1)
    return normals, np.concatenate((ties.levels, levels), axis=1)


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
    inverse = np.where(s > 1e-9, 1.0 / np.maximum(s, 1e-12), 0.0)
    point = np.einsum("bpk,bp,bk,bkd->bd", u, levels, inverse, vt)
    along = cross_of(vt[:, 0], vt[:, 1])
    foot = point - np.einsum("bd,bd->b", point, along)[:, None] * along
    if not ties.radii.shape[1]:
        return np.stack([point, *(foot + t * FAR * along for t in np.linspace(-1.0, 1.0, 8))], 1)
    base = _least(ties)
    apart = np.take_along_axis(ties.centres, base[..., None], axis=1)[:, 0] - foot
    middle = np.einsum("bd,bd->b", apart, along)
    radius = np.take_along_axis(ties.radii, base, axis=1)[:, 0]
    square = radius**2 - np.einsum("bd,bd->b", apart, apart) + middle**2
    half = np.sqrt(np.maximum(square, 1.0))
    ends = [foot + (middle + sign * half)[:, None] * along for sign in (1.0, -1.0)]
    return np.stack([point, *ends], axis=1)


def spots(ties: Ties, kind: tuple[bool, bool], about: Callable[[], Floats], size: float) -> Floats:
    """Points (B, k, 3) from which to refine: every answer of the spheres and planes.

    Args:
        ties: of hypotheses of one kind.
        kind: whether spheres and planes leave a line or a point, and whether there are spheres.
        about: (B, 3) somewhere near, for the rare mark without spheres or planes.
        size: how large the whole is [mm].
    """
    line, spheres = kind
    if line:
        return _line_starts(ties)
    if spheres:
        return np.asarray(ties.centres[:, :1] + ties.radii[:, :1, None] * _spread(1.0))
    return np.asarray(about()[:, None] + _spread(size))


def _residuals(ties: Ties, x: Floats) -> tuple[Floats, Floats]:
    """Whitened residuals (B, k, e) and gradients (B, k, e, 3) at points x (B, k, 3)."""
    s, p = ties.radii.shape[1], ties.levels.shape[1]
    counts = [int(o.column.max()) + 1 for o in ties.others]
    r = np.zeros((*x.shape[:2], s + p + sum(counts)))
    g = np.zeros((*r.shape, 3))
    apart = x[:, :, None] - ties.centres[:, None]
    length = np.maximum(np.sqrt(np.einsum("bksd,bksd->bks", apart, apart)), 1e-6)
    weight = ties.sphere_weight[:, None]
    r[..., :s] = (length - ties.radii[:, None]) * weight
    g[:, :, :s] = apart * (weight / length)[..., None]
    weight = ties.plane_weight[:, None]
    r[..., s : s + p] = (x @ ties.normals.swapaxes(1, 2) - ties.levels[:, None]) * weight
    g[:, :, s : s + p] = (ties.normals * ties.plane_weight[..., None])[:, None]
    start = s + p
    for other, count in zip(ties.others, counts, strict=True):
        f, gradient = _told(other, x)
        r[other.of, :, start + other.column] = f
        g[other.of, :, start + other.column] = gradient
        start += count
    return r, g


def _told(other: Others, x: Floats) -> tuple[Floats, Floats]:
    """Whitened residuals (m, k) of other ties at points x (B, k, 3), and gradients (m, k, 3)."""
    (m, q, _), k = other.points.shape, x.shape[1]
    row = np.arange(m)
    p = np.repeat(other.points[:, None], k, axis=1)
    p[row, :, other.slot] = x[other.of]
    f, gradient = other.form(p.reshape(m * k, q, 3))
    own = gradient.reshape(m, k, q, 3)[row, :, other.slot]
    weight = other.weight[:, None]
    return (f.reshape(m, k) - other.value[:, None]) * weight, own * weight[..., None]


def loss(residual: Floats) -> Floats:
    """A forgiving measure of misfit (Cauchy's), so that one wrong reading decides nothing."""
    return np.asarray(np.sum(np.log1p((residual / CAUCHY) ** 2), axis=-1))


def misfit_at(ties: Ties, x: Floats) -> Floats:
    """Whitened residuals (B, k, e) of all the ties at points x (B, k, 3)."""
    return _residuals(ties, x)[0]


def refined(ties: Ties, x: Floats, *, steps: int = 8) -> tuple[Floats, Floats]:
    """Points (B, k, 3) moved downhill by Gauss-Newton, and their whitened residuals (B, k, e)."""
    damping = np.full(x.shape[:2], 1e-3)
    r, g = _residuals(ties, x)
    cost = np.einsum("bke,bke->bk", r, r)
    eye = np.eye(3)
    for _ in range(steps):
        normal = g.swapaxes(2, 3) @ g
        scale = np.einsum("bkdd->bk", normal) / 3.0
        pull = np.einsum("bked,bke->bkd", g, r)[..., None]
        held = normal + (damping * scale + 1e-9)[..., None, None] * eye
        step = -np.linalg.solve(held, pull)[..., 0]
        trial_r, trial_g = _residuals(ties, x + step)
        trial = np.einsum("bke,bke->bk", trial_r, trial_r)
        better = trial < cost
        damping *= np.where(better, 0.1, 10.0)
        x = np.where(better[..., None], x + step, x)
        r = np.where(better[..., None], trial_r, r)
        if float(np.abs(step).max()) < STILL:
            break
        g = np.where(better[..., None, None], trial_g, g)
        cost = np.where(better, trial, cost)
    return x, r


def answers(
    ties: Ties, kind: tuple[bool, bool], about: Callable[[], Floats], size: float
) -> tuple[Floats, Floats]:
    """Where the marks can be: points (B, k, 3) and the forgiving misfit (B, k) of each.

    Args:
        ties: of hypotheses of one kind.
        kind: which kind, as for `spots`.
        about: (B, 3) somewhere near, for the rare mark without spheres or planes.
        size: how large the whole is [mm].
    """
    x, r = refined(ties, spots(ties, kind, about, size))
    return x, loss(r)
