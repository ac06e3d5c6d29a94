"""How far apart two bodies are, as they stand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.broad import start
from barwright.geometry.least import least_gap
from barwright.geometry.pieces import pieces
from barwright.geometry.pose import Pose
from barwright.geometry.solids import Body
from barwright.geometry.turning import Scene


@dataclass(frozen=True, kw_only=True)
class Apart:
    """The gap between two bodies: at least `low`, at most `high` [mm]; 0 where they overlap."""

    low: float
    high: float


def apart(first: Body, second: Body, *, within: float = 0.001) -> Apart:
    """The gap between two bodies, proven from both sides.

    Rods and elbows have square ends, elbows are true arcs, blocks are the hulls of their
    corners. Where the bodies overlap the gap is 0; how deep they overlap is not said.

    Args:
        first: one body, of at least one solid.
        second: the other.
        within: how far apart the two bounds may be [mm].

    Raises:
        ValueError: one of the bodies has no solids.

    >>> from barwright.geometry.solids import Rod
    >>> post = Body(name="post", solids=(Rod(start=(0, 0, 0), end=(0, 0, 9), radius=2.0),))
    >>> rail = Body(name="rail", solids=(Rod(start=(7, -9, 4), end=(7, 9, 4), radius=1.0),))
    >>> apart(post, rail)
    Apart(low=3.999999999, high=4.0)
    """
    still = Pose()
    scene = Scene(moving=pieces((first,), still), standing=pieces((second,), still))
    found = least_gap(scene, start(scene, 0.0, np.ones((1, 1), dtype=bool)), within=within)
    if found is None:
        raise ValueError("a body without solids is nowhere")
    if found.high <= 0.0:
        return Apart(low=0.0, high=0.0)
    return Apart(low=max(found.low, 0.0), high=found.high)
