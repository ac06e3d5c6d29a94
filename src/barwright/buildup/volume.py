"""What pairs of convex hulls have in common: its corners and its volume."""

from __future__ import annotations

import math

import numpy as np

from barwright.buildup.differences import reach
from barwright.buildup.hulls import Hulls
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.vectors import Floats, cross_of, square_to

SIDES = 64
"""A rod is cut out of a prism of this many sides: its area is 0.08 % above the round's."""
ROOM = 1.0 / math.cos(math.pi / SIDES) - 1.0
"""How far that prism's corners stand out, as a share of the radius."""
STEPS = 800
"""Steps in which a point inside is looked for before the linear program is asked, and loaded."""
INSIDE = 0.01
"""A point this deep inside all planes [mm] will do to cut them with one another."""
STRIDE = 1.6
"""How far a step goes, as a share of the way to just inside the plane that is most left out."""
SAME = 1e-9
"""Planes nearer than this [mm] are one."""


def common(a: Hulls, b: Hulls, i: Ints, j: Ints) -> list[tuple[Floats, float]]:
    """Corners (k, 3) [mm] of what hulls a[i] and b[j] have in common, and its volume [mm³].

    Half-spaces of both are cut with one another (Qhull, by duality about an inner point). None in
    common: no corners.

    Args:
        a: the first hulls.
        b: the second hulls.
        i: rows of a, shape (n,).
        j: rows of b, shape (n,).
    """
    low, high = np.maximum(a.low[i], b.low[j]), np.minimum(a.high[i], b.high[j])
    middle = 0.5 * (low + high)
    planes, kept = (
        np.concatenate(both, axis=1)
        for both in zip(_cutting(a, i, (b, j), 0.0), _cutting(b, j, (a, i), SAME), strict=True)
    )
    return [_cut(planes[k, kept[k]], middle[k]) for k in range(len(i))]


def _cut(planes: Floats, start: Floats) -> tuple[Floats, float]:
    """Corners and volume of what is inside some planes (k, 4), rows n, -c with n . x <= c."""
    from scipy.spatial import ConvexHull, HalfspaceIntersection, QhullError

    inner = _middle(planes, start)
    if inner is None:
        return np.zeros((0, 3)), 0.0
    try:
        corners = HalfspaceIntersection(planes, inner).intersections
        hull = ConvexHull(corners)
    except QhullError:
        return np.zeros((0, 3)), 0.0
    return corners[hull.vertices], float(hull.volume)


def _cutting(h: Hulls, rows: Ints, others: tuple[Hulls, Ints], same: float) -> tuple[Floats, Bools]:
    """Planes round hulls (n, k, 4), and which of them the other of each pair reaches beyond (n, k).

    Args:
        h: the hulls whose planes are asked for.
        rows: of h, shape (n,).
        others: the other hulls, and rows of them, shape (n,).
        same: planes that the other reaches to within this [mm] count as well.
    """
    normals = np.ascontiguousarray(_normals(h, rows).swapaxes(1, 2))
    own = reach(h, rows, int(h.sizes[rows, 0].max()), normals)
    low, high = reach(others[0], others[1], int(others[0].sizes[others[1], 0].max()), normals)
    room = (ROOM * others[0].radius[others[1]])[:, None] + same
    real = (normals != 0.0).any(axis=1)
    kept = np.concatenate([real & (high + room > own[1]), real & (low - room < own[0])], axis=1)
    both = np.concatenate([normals, -normals], axis=2).swapaxes(1, 2)
    return np.concatenate(
        [both, np.concatenate([-own[1], own[0]], axis=1)[..., None]], axis=2
    ), kept


def _normals(h: Hulls, rows: Ints) -> Floats:
    """Unit normals of hulls' faces, either sign, padded with zeros: (n, k, 3)."""
    faces = h.faces[rows, : int(h.sizes[rows, 1].max())]
    round_ = np.flatnonzero(h.radius[rows])
    if len(round_) == 0:
        return faces
    out = np.zeros((len(rows), max(faces.shape[1], 1 + SIDES // 2), 3))
    out[:, : faces.shape[1]] = faces
    axis = h.axis[rows[round_]]
    x = np.array([square_to(a) for a in axis])
    turn = (2.0 * np.pi * np.arange(SIDES // 2) / SIDES)[:, None]
    out[round_] = 0.0
    out[round_, 0] = axis
    out[round_, 1 : 1 + SIDES // 2] = (
        np.cos(turn) * x[:, None] + np.sin(turn) * cross_of(axis, x)[:, None]
    )
    return out


def _middle(planes: Floats, start: Floats) -> Floats | None:
    """A point inside all planes: the start, drawn in plane by plane.

    Each step goes past the inside of the plane that is most left out; where that does not settle,
    the small linear program says whether there is such a point at all.
    """
    normals, off, at = planes[:, :3], planes[:, 3], start
    for _ in range(STEPS):
        out = normals @ at + off
        worst = int(out.argmax())
        if out[worst] < -INSIDE:
            return at
        at = at - STRIDE * (out[worst] + 2.0 * INSIDE) * normals[worst]
    return _inner(planes)


def _inner(planes: Floats) -> Floats | None:
    """The middle of the largest ball inside all half-spaces; None where there is none."""
    from scipy.optimize import linprog

    top = np.zeros(4)
    top[3] = -1.0
    found = linprog(
        top,
        A_ub=np.column_stack([planes[:, :3], np.ones(len(planes))]),
        b_ub=-planes[:, 3],
        bounds=[(None, None)] * 3 + [(0.0, None)],
    )
    if found.x is None or found.status != 0 or found.x[3] <= 1e-9:
        return None
    return np.asarray(found.x[:3])
