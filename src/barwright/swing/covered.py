"""What bodies cover of an opening, seen square on.

Blocks that lie wholly between the depths that count are seen as the hulls of their corners, rods
as prisms cut off at those depths, and elbows that go on at both ends and lie wholly between the
depths as their centrelines made thick, all of them in one go; the others go to `silhouette`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from barwright.geometry.convex import Ints
from barwright.geometry.pieces import Pieces, pieces
from barwright.geometry.pose import Pose
from barwright.geometry.silhouettes import Shapes, convex_hulls, outlines, silhouette
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats

OUTLINE = 0.05
"""How much too large a bar's outline may be [mm]."""

QUARTER = 24
"""Sides of a polygon for a quarter of a circle round a bar: 0.01 mm off it for 24 mm radius."""


def covered(bodies: Sequence[Body], hole: BaseGeometry, local: Pose, reach: float) -> BaseGeometry:
    """What bodies cover of a hole in a frame's x-y plane, in that frame.

    Args:
        bodies: on the vehicle [mm].
        hole: what is looked at, in the frame [mm]; what lies beside it may be left out.
        local: from the vehicle to the frame, its z square to the hole; it must not mirror.
        reach: how far from the hole's plane, either side, what stands there counts [mm].

    >>> from barwright.geometry.solids import Block
    >>> corners = tuple((x, y, z) for x in (0, 2) for y in (0, 3) for z in (-9, 4))
    >>> lid = Body(name="lid", solids=(Block(corners=corners),))
    >>> [covered([lid], shapely.box(-9, -9, 9, 9), Pose(), deep).area for deep in (5.0, 10.0)]
    [6.0, 6.0]
    """
    placed = pieces(bodies, local)
    (x0, y0, x1, y1), (low, high) = hole.bounds, _boxes(placed)
    near = (low <= (x1, y1, reach)).all(axis=1) & (high >= (x0, y0, -reach)).all(axis=1)
    rods = near & (placed.block < 0) & (placed.turn == 0.0)
    inside = near & (low[:, 2] >= -reach) & (high[:, 2] <= reach)
    blocks, bends = inside & (placed.block >= 0), inside & (placed.turn > 0.0)
    bends &= ~placed.free.any(axis=1)
    bars, _ = outlines(*_prisms(placed, np.flatnonzero(rods)), -reach, reach)
    flat = [*convex_hulls(placed.corners[placed.block[blocks], :, :2]), *bars]
    solids = [s for b in bodies for s in b.solids]
    others = [solids[i] for i in np.flatnonzero(near & ~(rods | blocks | bends))]
    cut = silhouette(others, local, (-reach, reach), OUTLINE, hole.bounds)
    full = [s for s in flat if shapely.get_dimensions(s) == 2]
    return shapely.union_all([*full, *_bends(placed, np.flatnonzero(bends)), cut])


def _bends(placed: Pieces, rows: Ints) -> Shapes:
    """What elbows that go on at both ends cover: all that lies near the lines between some points.

    No part of them is left out: it is made as much thicker as the arc stands off its chords, and
    the corners of a polygon off a circle.
    """
    turn, radius = placed.turn[rows], placed.radius[rows]
    outer = placed.bend[rows] + radius
    half = np.arccos(1.0 - 0.2 * OUTLINE / outer)
    count = math.ceil((0.5 * turn / half).max(initial=1.0))
    off = outer * (1.0 - np.cos(0.5 * turn / count))
    along = np.tile(np.linspace(0.0, 1.0, count + 1), len(rows))
    points = placed.at(np.repeat(rows, count + 1), along).reshape(len(rows), count + 1, 3)
    thick = (radius + off) / math.cos(0.25 * math.pi / QUARTER)
    return np.asarray(
        shapely.buffer(shapely.linestrings(points[:, :, :2]), thick, quad_segs=QUARTER)
    )


def _prisms(placed: Pieces, rods: Ints) -> tuple[Floats, Ints]:
    """Prisms round rods: their corners (k, 2n, 3) [mm], and which two each edge joins (3n, 2).

    They have a side to the rod's left and right: its breadth is not a bit too large.
    """
    radius, along = placed.radius[rods, None], placed.heading(rods, np.zeros(len(rods)))
    half = math.acos(1.0 / (1.0 + 0.5 * OUTLINE / float(radius.max(initial=1.0))))
    count = 2 * math.ceil(0.5 * math.pi / half)
    turn = 2.0 * math.pi * (np.arange(count) + 0.5) / count
    proud = radius / math.cos(math.pi / count)
    upright = np.abs(along[:, 2:]) > 1.0 - 1e-9
    x = np.cross(along, np.where(upright, (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    x /= np.sqrt((x * x).sum(axis=1))[:, None]
    y = np.cross(along, x)
    rim = np.cos(turn)[:, None] * x[:, None] + np.sin(turn)[:, None] * y[:, None]
    ends = np.stack([placed.base[rods], placed.base[rods] + placed.run[rods]], axis=1)
    corners = ends[:, :, None] + (proud[:, :, None] * rim)[:, None]
    at = np.arange(count)
    round_ = np.stack([at, np.roll(at, 1)], axis=1)
    lines = np.concatenate([round_, round_ + count, np.stack([at, at + count], axis=1)])
    return corners.reshape(len(rods), 2 * count, 3), lines


def _boxes(placed: Pieces) -> tuple[Floats, Floats]:
    """The least and the greatest coordinates of each piece, or of what it lies in, (n, 3) each."""
    low, high = placed.middle - placed.reach[:, None], placed.middle + placed.reach[:, None]
    straight = (placed.block < 0) & (placed.turn == 0.0)
    ends = placed.base[straight], placed.base[straight] + placed.run[straight]
    low[straight] = np.minimum(*ends) - placed.radius[straight, None]
    high[straight] = np.maximum(*ends) + placed.radius[straight, None]
    block = placed.block >= 0
    own = placed.corners[placed.block[block]]
    low[block], high[block] = own.min(axis=1), own.max(axis=1)
    return low, high
