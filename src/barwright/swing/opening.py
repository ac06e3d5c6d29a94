"""What a person can get out through: the free area of an opening, and who passes it.

Body sizes are from ANSUR II (US Army, 2012, public release; 4 082 men, 1 986 women, nude or in
shorts). Soldiers are fitter and slimmer than the public, and the survey says nothing of children,
of injury or of a helmet and a harness in the way. Passing a hole on paper is not getting out in
time: try it, in full kit, upside down in mind, and hold it against the rule book.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import shapely

from barwright.geometry.pose import Pose, frame
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats, Point, square_to
from barwright.swing.covered import OUTLINE, covered
from barwright.swing.plank import broadest

SOURCE = "ANSUR II (2012) public data, own percentiles"

CAUTION = (
    "measured on soldiers without kit; try the opening with helmet, suit and harness, "
    "and ask the scrutineer"
)

REACH = 150.0
"""What stands farther than this from the opening's plane is not in the way [mm]."""


@dataclass(frozen=True, kw_only=True)
class Size:
    """A body measure of men or women: percentiles [mm] with normal tails.

    Attributes:
        name: what is measured, on whom.
        percentiles: (per cent, mm), rising.
    """

    name: str
    percentiles: tuple[tuple[float, float], ...]

    def share_below(self, length: float) -> float:
        """The share of people (0..1) whose measure is no more than a length [mm].

        Between the percentiles given it goes straight in the normal score; beyond the first and
        last, on along the outermost pair.

        >>> round(SHOULDERS_MEN.share_below(567.0), 3)
        0.95
        """
        normal = NormalDist()
        scores = [normal.inv_cdf(p / 100.0) for p, _ in self.percentiles]
        sizes = [mm for _, mm in self.percentiles]
        k = min(max(int(np.searchsorted(sizes, length)), 1), len(sizes) - 1)
        rate = (scores[k] - scores[k - 1]) / (sizes[k] - sizes[k - 1])
        return normal.cdf(scores[k - 1] + rate * (length - sizes[k - 1]))


PER_CENT = (1.0, 5.0, 10.0, 25.0, 50.0, 75.0, 90.0, 95.0, 99.0)

SHOULDERS_MEN = Size(
    name="shoulder breadth (bideltoid), men",
    percentiles=tuple(zip(PER_CENT, (439, 459, 470, 489, 509, 531, 553, 567, 593), strict=True)),
)
SHOULDERS_WOMEN = Size(
    name="shoulder breadth (bideltoid), women",
    percentiles=tuple(zip(PER_CENT, (388, 406, 415, 430, 450, 469, 488, 499, 522), strict=True)),
)

CHEST_DEPTH_95 = 298.0
"""Chest depth of the 95th percentile man [mm]; 296 mm for women."""

HELMET, TORSO, UPRIGHT, TO_PEDALS = 300.0, 200.0, 490.0, 915.0
"""The 95th percentile man of the FSAE rules 2026, F.5.6.6, seen from the side [mm]: the circle of
his helmet, those of his shoulders and hips, hips to shoulders, hips to pedals at least."""
NECK = 280.0
"""Shoulders to helmet of the same [mm]."""

OUT_IN = 5.0
"""Seconds to be out to the side: FSAE rules, IN.9.2.1; other rule books give 5 to 10."""

CLOTHING = {"light": 10.0, "medium": 25.0, "heavy": 50.0}
"""What clothes add to a breadth [mm]: City University of Hong Kong, anthropometry, ch. 2-19."""


@dataclass(frozen=True, kw_only=True)
class Opening:
    """What is free between some bars, seen square on.

    Attributes:
        area: free [mm²].
        circle: diameter of the largest circle that goes through [mm].
        middle: of that circle, on the opening's plane [mm].
        breadth: the widest flat body that goes through whose depth is `depth`, at the best lean
            [mm]; 0 where not even its depth does.
        depth: of the body, clothes left out [mm].
        clothing: what clothes add to breadth and depth [mm].
        men: share of men whose shoulders, clothed, are no broader than `breadth`, 0..1.
        women: the same of women.
    """

    area: float
    circle: float
    middle: Point
    breadth: float
    depth: float
    men: float
    women: float
    clothing: float = 0.0


def opening(
    corners: Sequence[Point],
    bodies: Sequence[Body],
    *,
    depth: float = CHEST_DEPTH_95,
    clothing: float = CLOTHING["medium"],
    reach: float = REACH,
) -> Opening:
    """How much of an opening is free, and who passes it.

    Args:
        corners: marks round the opening, in order [mm]; they need not lie in one plane.
        bodies: all that may stand in it: the bars round it and whatever is near; each takes away
            what it covers, seen square to the opening's plane.
        depth: of a body that goes through flat, front to back [mm].
        clothing: what clothes add to breadth and depth [mm].
        reach: how far from the plane, either side, what stands there is in the way [mm].

    Raises:
        ValueError: fewer than three corners, all on one line, or not in order round the opening.
    """
    view = plane_of(corners)
    local = view.inverse()
    hole = shapely.Polygon(local.points(np.array(corners))[:, :2])
    if not hole.is_valid:
        raise ValueError("the corners of an opening follow one another round it")
    free = _largest(hole.difference(covered(bodies, hole, local, reach)))
    if free.is_empty:
        return _shut(view, depth)
    inner = shapely.maximum_inscribed_circle(free, tolerance=OUTLINE)
    middle = np.array([*inner.coords[0][:2], 0.0])
    broad = broadest(free, depth + clothing)
    return Opening(
        area=float(free.area),
        circle=2.0 * float(inner.length),
        middle=_point(view.points(middle)),
        breadth=broad,
        depth=depth,
        men=SHOULDERS_MEN.share_below(broad - clothing),
        women=SHOULDERS_WOMEN.share_below(broad - clothing),
        clothing=clothing,
    )


def plane_of(corners: Sequence[Point]) -> Pose:
    """The plane nearest some corners, local z square to it (least squares).

    Raises:
        ValueError: fewer than three corners, or all on one line.
    """
    c = np.array(corners, dtype=float)
    _, spread, rows = np.linalg.svd(c - c.mean(axis=0))
    if len(c) < 3 or spread[1] < 1e-6 * max(spread[0], 1e-9):
        raise ValueError("an opening has three corners or more, not all on one line")
    normal = rows[2]
    x = square_to(normal)
    return frame(c.mean(axis=0), x, np.cross(normal, x))


def _largest(area: shapely.Geometry) -> shapely.Polygon:
    parts = [p for p in shapely.get_parts(area) if isinstance(p, shapely.Polygon)]
    return max(parts, key=lambda p: float(p.area), default=shapely.Polygon())


def _shut(view: Pose, depth: float) -> Opening:
    return Opening(
        area=0.0, circle=0.0, middle=view.shift, breadth=0.0, depth=depth, men=0.0, women=0.0
    )


def _point(p: Floats) -> Point:
    return (float(p[0]), float(p[1]), float(p[2]))
