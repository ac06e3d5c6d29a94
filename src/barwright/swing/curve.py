"""Clearance against angle, for plotting: exact at each angle, proven in between."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from barwright.geometry.broad import start
from barwright.geometry.least import least_gap
from barwright.geometry.solids import Body
from barwright.geometry.turning import Nodes, Scene
from barwright.geometry.vectors import Floats
from barwright.swing.clearance import counting, scene_of
from barwright.swing.motion import Motion

WITHIN = 0.02
"""How far the proven bounds may stay below the truth [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Curve:
    """Clearance over the swing of a leaf.

    Attributes:
        angles: from closed, in the sense of opening, shape (n,) [rad].
        gaps: the clearance at each angle, at most 0.02 mm more than the true one, shape (n,)
            [mm]; 0 where parts overlap, inf with nothing standing.
        proven: what the clearance does not fall below between an angle and the next, shape
            (n - 1,) [mm].
    """

    angles: Floats
    gaps: Floats
    proven: Floats


def curve(
    motion: Motion,
    movers: tuple[Body, ...],
    standing: tuple[Body, ...],
    *,
    allowed: frozenset[tuple[str, str]] = frozenset(),
    steps: int = 60,
) -> Curve:
    """The clearance of a leaf to all that stands, over its swing.

    Args:
        motion: how the leaf moves.
        movers: all that swings with it, as it stands when closed.
        standing: all that stands still.
        allowed: (moving, standing) bodies that are left out.
        steps: how many equal steps the swing is cut in.
    """
    scene = scene_of(motion, movers, standing)
    nodes = start(scene, abs(motion.opens), counting(movers, standing, allowed))
    angles = np.linspace(0.0, abs(motion.opens), steps + 1)
    at = np.array([_within(scene, nodes, a, a)[1] for a in angles])
    between = [_within(scene, nodes, *pair)[0] for pair in pairwise(angles)]
    return Curve(angles=angles, gaps=at, proven=np.array(between))


def _within(scene: Scene, nodes: Nodes, lo: float, hi: float) -> tuple[float, float]:
    """The least gap over a span: proven, and found."""
    n = len(nodes)
    own = replace(nodes, span=np.tile([lo, hi], (n, 1)), at=np.full(n, 0.5 * (lo + hi)))
    least = least_gap(scene, own, within=WITHIN)
    if least is None:
        return math.inf, math.inf
    return max(least.low, 0.0), max(least.high, 0.0)
