"""An independent swept collision check by a mesh boolean library (manifold3d).

It sweeps hulls of convex pieces and measures what the sweep and all that stands have in common.
Sliding is let pass: a common sliver counts as 2 V / A thick, and up to the stage's own slack that
is a fit, not a clash.
"""

import math
from itertools import pairwise

import manifold3d
import numpy as np

from barwright.geometry.pose import turned

SIDES = 48


def solid(hulls, row):
    corners, r = hulls.corners[row], float(hulls.radius[row])
    if r == 0.0:
        return corners
    axis = hulls.axis[row]
    x = np.cross(axis, [0.36, 0.48, 0.8])
    x /= np.linalg.norm(x)
    y = np.cross(axis, x)
    turn = 2.0 * np.pi * np.arange(SIDES) / SIDES
    ring = r * (np.cos(turn)[:, None] * x + np.sin(turn)[:, None] * y)
    return np.vstack([corners[0] + ring, corners[1] + ring])


def hull(points):
    return manifold3d.Manifold.hull_points(np.asarray(points, dtype=np.float64))


def swept(points, moves):
    """Each convex piece, swept: shifts exactly, turns in steps of half a degree."""
    out, far = [], 2500.0
    for move in moves:
        if move.turn:
            n = max(1, math.ceil(math.degrees(move.turn) / 0.5))
            poses = [turned(move.through, move.along, move.turn * k / n) for k in range(n + 1)]
            rows = [[p.points(q) for p in poses] for q in points]
            out += [hull(np.vstack(pair)) for r in rows for pair in pairwise(r)]
            points = [r[-1] for r in rows]
        else:
            by = min(move.far, far) * np.array(move.along)
            out += [hull(np.vstack([q, q + by])) for q in points]
            points = [q + by for q in points]
    return out


def thickest(sweeps, standing):
    """How thick the thickest thing is that sweeps and standing parts have in common [mm]."""
    worst = 0.0
    for s in sweeps:
        box = s.bounding_box()
        for other, low, high in standing:
            if (low > box[3:]).any() or (high < box[:3]).any():
                continue
            both = s ^ other
            if both.volume() > 1e-6:
                worst = max(
                    [worst, *(2.0 * c.volume() / c.surface_area() for c in both.decompose())]
                )
    return worst


def standing_of(hulls, skip=()):
    rows = [k for k in range(len(hulls)) if k not in skip]
    return [(hull(solid(hulls, k)), hulls.low[k], hulls.high[k]) for k in rows]
