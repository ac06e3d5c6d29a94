"""Clearance against angle, for plotting."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.broad import start
from barwright.geometry.least import Leasts, least_gaps
from barwright.geometry.solids import Body
from barwright.geometry.turning import Nodes, Scene
from barwright.geometry.vectors import Floats
from barwright.swing.clearance import counting, scene_of
from barwright.swing.motion import Motion

WITHIN = 0.02
"""How far a gap may be off [mm]: less than a plot can show."""

LIKELY = 256
"""So many nodes are looked at first, by their bounds over the whole swing."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Curve:
    """Clearance over the swing of a leaf.

    Attributes:
        angles: from closed, in the sense of opening, shape (n,) [rad].
        gaps: the clearance at each angle, at most 0.02 mm more than the true one, shape (n,)
            [mm]; 0 where parts overlap, inf with nothing standing.
        pairs: at each angle, the moving and the standing part that are nearest; None where
            nothing stands. Length n.
    """

    angles: Floats
    gaps: Floats
    pairs: tuple[tuple[str, str] | None, ...]


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
    at = _over(scene, nodes, angles)
    return Curve(
        angles=angles,
        gaps=np.maximum(at.high, 0.0),
        pairs=tuple(_names(scene, at, k, movers, standing) for k in range(len(angles))),
    )


def _over(scene: Scene, nodes: Nodes, angles: Floats) -> Leasts:
    """The least gap at each of some angles.

    The nodes with the least bounds are looked at first: they rule most of the others out for all
    angles at once.
    """
    order = np.argsort(nodes.low, kind="stable")
    near = order[:LIKELY]
    first = least_gaps(scene, *_each(nodes.take(near), angles), within=WITHIN)
    left = order[LIKELY:]
    also = left[nodes.low[left] < first.high.max(initial=0.0)]
    if len(also) == 0:
        return first
    return least_gaps(scene, *_each(nodes.take(np.append(near, also)), angles), within=WITHIN)


def _each(nodes: Nodes, angles: Floats) -> tuple[Nodes, int]:
    """The nodes once for each angle, and how many angles there are."""
    k, n = len(angles), len(nodes)
    asked = np.repeat(np.arange(k), n)
    at = angles[asked]
    every = nodes.take(np.tile(np.arange(n), k))
    return replace(every, span=np.stack([at, at], axis=1), at=at, asked=asked), k


def _names(
    scene: Scene, at: Leasts, k: int, movers: tuple[Body, ...], standing: tuple[Body, ...]
) -> tuple[str, str] | None:
    """What is nearest to what at one of the angles."""
    if not np.isfinite(at.high[k]):
        return None
    moving, still = at.piece[k]
    return (
        movers[scene.moving.body[moving]].name,
        standing[scene.standing.body[still]].name,
    )
