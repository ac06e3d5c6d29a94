"""What bodies cover of an opening, seen square on.

Blocks that lie wholly between the depths that count are seen as the hulls of their corners, all
of them in one go; what is round, or sticks out of those depths, goes to `silhouette`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pieces import Pieces, pieces
from barwright.geometry.pose import Pose
from barwright.geometry.silhouettes import convex_hulls, silhouette
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats

OUTLINE = 0.05
"""How much too large a bar's outline may be [mm]."""


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
    whole = near & (placed.block >= 0) & (low[:, 2] >= -reach) & (high[:, 2] <= reach)
    flat = convex_hulls(placed.corners[placed.block[whole], :, :2])
    solids = [s for b in bodies for s in b.solids]
    others = [solids[i] for i in np.flatnonzero(near & ~whole)]
    cut = silhouette(others, local, (-reach, reach), OUTLINE, hole.bounds)
    return shapely.union_all([*flat[shapely.get_dimensions(flat) == 2], cut])


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
