"""What two convex hulls have in common: its corners and its volume."""

from __future__ import annotations

import numpy as np

from barwright.buildup.hulls import Hulls
from barwright.geometry.vectors import Floats, cross, square_to

SIDES = 64
"""A rod is cut out of a prism of this many sides: its area is 0.08 % above the round's."""
STEPS = 80
"""Steps in which a point inside is looked for before the linear program is asked."""
INSIDE = 0.01
"""A point this deep inside all planes [mm] will do to cut them with one another."""


def common(a: Hulls, i: int, b: Hulls, j: int) -> tuple[Floats, float]:
    """Corners (k, 3) [mm] of what hulls a[i] and b[j] have in common, and its volume [mm³].

    Half-spaces of both are cut with one another (Qhull, by duality about an inner point: the
    middle of the largest ball that fits, a small linear program). None in common: no corners.
    """
    from scipy.spatial import ConvexHull, HalfspaceIntersection, QhullError

    planes = np.vstack([_planes(a, i), _planes(b, j)])
    inner = _middle(a, i, b, j, planes)
    if inner is None:
        return np.zeros((0, 3)), 0.0
    try:
        corners = HalfspaceIntersection(planes, inner).intersections
        return corners, float(ConvexHull(corners).volume)
    except QhullError:
        return np.zeros((0, 3)), 0.0


def _planes(h: Hulls, i: int) -> Floats:
    """Rows n, -c with n . x <= c, shape (k, 4)."""
    corners, radius, axis = h.corners[i, : h.sizes[i, 0]], float(h.radius[i]), h.axis[i]
    normals = h.faces[i, : h.sizes[i, 1]]
    if radius > 0.0:
        turn = 2.0 * np.pi * np.arange(SIDES // 2) / SIDES
        x = square_to(axis)
        ring = np.cos(turn)[:, None] * x + np.sin(turn)[:, None] * cross(axis, x)
        normals = np.vstack([axis, ring])
    n = np.vstack([normals, -normals])
    lean = n @ axis
    reach = (corners @ n.T).max(axis=0) + radius * np.sqrt(np.maximum(1.0 - lean * lean, 0.0))
    return np.column_stack([n, -reach])


def _middle(a: Hulls, i: int, b: Hulls, j: int, planes: Floats) -> Floats | None:
    """A point inside all planes: the middle of both boxes' common part, drawn in plane by plane.

    Each step goes inside the plane that is most left out; where that does not settle, the small
    linear program says whether there is such a point at all.
    """
    low, high = np.maximum(a.low[i], b.low[j]), np.minimum(a.high[i], b.high[j])
    at = 0.5 * (low + high)
    for _ in range(STEPS):
        out = planes[:, :3] @ at + planes[:, 3]
        worst = int(out.argmax())
        if out[worst] < -INSIDE:
            return np.asarray(at)
        at = at - (out[worst] + 2.0 * INSIDE) * planes[worst, :3]
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
