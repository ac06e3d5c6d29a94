"""What a plate must keep clear of: the shadow of a solid within the plate's thickness.

A plate is cut square through. So its edge clears a tube only if it clears everything of the tube
between the plate's two faces: the shadow, on the plate's plane, of the solid cut to that slab.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from barwright.geometry.points import ahead, dot, run
from barwright.geometry.pose import Pose
from barwright.geometry.silhouettes import EVERYWHERE, Window, silhouette
from barwright.geometry.solids import Block, Body, Elbow, Rod, Solid
from barwright.geometry.vectors import Bools, Floats, Point, point

WITHIN = 0.01
"""How much too large a shadow may be [mm]; it is never too small."""


def shadow(
    body: Body, plane: Pose, z: tuple[float, float], window: Window = EVERYWHERE
) -> BaseGeometry:
    """The shadow of a body on a plane, of what lies between two heights above it.

    Args:
        body: solids on the vehicle [mm].
        plane: local x, y in the plane, z out of it -> vehicle.
        z: lower and upper height [mm].
        window: least x and y, greatest x and y [mm]: what does not reach into it may be left out.

    Returns:
        A shapely shape in the plane's x and y, empty where nothing lies in the slab; as large as
        the true shadow, or larger by at most `WITHIN`.

    >>> from math import pi
    >>> rod = Body(name="a", solids=(Rod(start=(0, 0, -9), end=(0, 0, 9), radius=2.0),))
    >>> round(shadow(rod, Pose(), (0.0, 1.0)).area / (4 * pi), 2)
    1.0
    """
    there = _between(body, plane, z, window)
    return silhouette(there, plane.inverse(), z, WITHIN, window) if there else Polygon()


def _between(body: Body, plane: Pose, z: tuple[float, float], window: Window) -> list[Solid]:
    """The solids that may have something between two heights in a window: by boxes round them."""
    low, high = _boxes(body)
    axes, (x0, y0, x1, y1) = np.array(plane.matrix), window
    middle = (0.5 * (low + high) - plane.shift) @ axes
    reach = 0.5 * (high - low) @ np.abs(axes) + WITHIN
    there = (middle - reach <= (x1, y1, z[1])) & (middle + reach >= (x0, y0, z[0]))
    return [solid for solid, kept in zip(body.solids, there.all(axis=1), strict=True) if kept]


def near(body: Body, centre: Floats, reach: float) -> Body:
    """What of a body lies within a reach [mm] of a point: rods shortened, far solids left out.

    Elbows and blocks are kept whole where any of them may be near.
    """
    at = point(centre)
    kept = (_near(solid, at, reach) for solid in body.solids)
    return Body(name=body.name, solids=tuple(s for s in kept if s is not None))


def bounds(body: Body) -> tuple[Floats, Floats]:
    """Low and high corners, shape (n, 3) each, of boxes that hold a body's solids [mm]."""
    return _boxes(body)


def may_reach(body: Body, boxes: Floats, gap: float) -> Bools:
    """Which boxes a body may come within a gap of [mm], shape (n,).

    Args:
        body: its rods are taken with round ends, its other solids as the balls round them.
        boxes: their corners, shape (n, 8, 3): the first corner's neighbours are the second, the
            third and the fifth.
        gap: how near is meant [mm].

    A segment and a box are apart where they are along an edge of the box, or along what is square
    to such an edge and the segment: the separating axes of two convex bodies.
    """
    middle, half, radius = _rods(body)
    edges = 0.5 * (boxes[:, (4, 2, 1)] - boxes[:, :1])
    size = np.sqrt((edges * edges).sum(axis=2))
    to_box = (edges / np.maximum(size, 1e-12)[..., None]).transpose(0, 2, 1)
    p, d = (middle - boxes.mean(axis=1)[:, None]) @ to_box, half @ to_box
    h, r = size[:, None], (radius + gap + WITHIN)[:, None]
    (p1, d1, h1), (p2, d2, h2) = ([v[..., k] for v in (p, d, h)] for k in ((1, 2, 0), (2, 0, 1)))
    along = np.abs(p) <= h + np.abs(d) + r
    across = np.abs(p1 * d2 - p2 * d1) <= h1 * np.abs(d2) + h2 * np.abs(d1) + r * np.hypot(d1, d2)
    return np.asarray((along & across).all(axis=2).any(axis=1))


@lru_cache(64)
def _rods(body: Body) -> tuple[Floats, Floats, Floats]:
    """Middles and halves, shape (n, 3) each, and radii of the rods and balls that hold solids."""
    rods = [_rod(solid) for solid in body.solids]
    ends = np.array([(start, end) for start, end, _ in rods]).reshape(-1, 2, 3)
    return ends.mean(axis=1), 0.5 * (ends[:, 1] - ends[:, 0]), np.array([r for *_, r in rods])


def _rod(solid: Solid) -> tuple[Point, Point, float]:
    """The ends and the radius of a rod with round ends that holds a solid [mm]."""
    if isinstance(solid, Rod):
        return solid.start, solid.end, solid.radius
    middle, size = _ball(solid)
    return middle, middle, size


@lru_cache(64)
def _boxes(body: Body) -> tuple[Floats, Floats]:
    boxes = np.array([_bounds(solid) for solid in body.solids]).reshape(-1, 2, 3)
    return boxes[:, 0], boxes[:, 1]


def _bounds(solid: Solid) -> tuple[Floats, Floats]:
    if isinstance(solid, Rod):
        ends, fat = np.array([solid.start, solid.end]), solid.radius
    elif isinstance(solid, Elbow):
        reach = float(np.linalg.norm(np.subtract(solid.arc.start, solid.arc.centre)))
        ends, fat = np.array([solid.arc.centre]), reach + solid.radius
    else:
        ends, fat = np.array(solid.corners), 0.0
    return ends.min(axis=0) - fat, ends.max(axis=0) + fat


def _near(solid: Solid, centre: Point, reach: float) -> Solid | None:
    if not isinstance(solid, Rod):
        return solid if _distance(solid, centre) <= reach else None
    way, wide = run(solid.start, solid.end), reach + solid.radius
    long = math.hypot(*way)
    t = dot(run(solid.start, centre), way) / long
    off = math.dist(centre, ahead(solid.start, way, t / long))
    if off > wide:
        return None
    half = math.sqrt(wide * wide - off * off)
    first, last = max(t - half, 0.0), min(t + half, long)
    if first >= last:
        return None
    start, end = (ahead(solid.start, way, far / long) for far in (first, last))
    return Rod(start=start, end=end, radius=solid.radius)


def _distance(solid: Elbow | Block, centre: Point) -> float:
    """A lower bound of the distance to a solid: to the ball about it."""
    middle, size = _ball(solid)
    return math.dist(centre, middle) - size


def _ball(solid: Elbow | Block) -> tuple[Point, float]:
    """The middle and the radius of a ball that holds a solid [mm]."""
    if isinstance(solid, Block):
        p = np.array(solid.corners)
        middle = p.mean(axis=0)
        return point(middle), float(np.max(np.linalg.norm(p - middle, axis=1)))
    arc = solid.arc
    return arc.centre, math.dist(arc.start, arc.centre) + solid.radius
