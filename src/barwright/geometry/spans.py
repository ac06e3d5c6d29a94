"""What a plane between two shapes proves over a whole span of turning.

With n, from the moving to the standing shape, held fixed, the gap is at least the standing
shape's least reach along n less the moving shape's greatest. To turn the shape is to turn n the
other way. As n turns from one end of the span to the other by d in all, what it has square to the
axis is its two end directions with weights sin(d - t)/sin d and sin t/sin d, which add up to one
or a little more; and the reach h along a sum is no more than the sum of the reaches. Hence,
with z what n has along the axis,

    h(n at t) <= [(h(n back) + h(-z)) sin(d - t) + (h(n forth) + h(-z)) sin t] / sin d - h(-z)

whose greatest value over t is known in closed form. What is lost falls with the square of d, and
nothing is lost where the gap shrinks all the way to one end of the span.
"""

from __future__ import annotations

import numpy as np

from barwright.geometry.convex import Convex
from barwright.geometry.turning import Placed, spun
from barwright.geometry.vectors import Floats

WIDEST = 2.8
"""Spans wider than this are not judged [rad]: the bound holds below half a turn."""


def over_span(shapes: Placed, away: Floats, back: Floats, forth: Floats) -> tuple[Floats, Floats]:
    """The proven least gap while each moving shape turns back and forth from where it stands.

    Args:
        shapes: of n nodes, at an angle in their spans.
        away: any direction from each moving to its standing shape, unit or zero, shape (n, 3);
            the better it is, the better the bound.
        back: how far each turns back [rad], not negative, shape (n,).
        forth: how far each turns on [rad].

    Returns:
        The least gap [mm], -inf for spans too wide, and by how much the plane is nearer at the
        end of the span than at its start [mm]; shape (n,) each.
    """
    low, slope = np.full(len(away), -np.inf), np.zeros(len(away))
    for rows, first, second in shapes.groups:
        n = away[rows]
        stand = -second.reach(-n) - second.ball
        most, slope[rows] = _greatest(first, n, back[rows], forth[rows])
        low[rows] = stand - most - first.ball
    return np.where(back + forth < WIDEST, low, -np.inf), slope


def _greatest(shape: Convex, away: Floats, back: Floats, forth: Floats) -> tuple[Floats, Floats]:
    """The most a shape's core reaches over a span, and how much more at its end than its start.

    Heights are counted from the shape's own middle, so that the weights' excess costs least.
    """
    level = shape.corners[:, :, 2].mean(axis=1)
    rise = away[:, 2] * level
    behind = shape.reach(spun(away, back)) - rise
    ahead = shape.reach(spun(away, -forth)) - rise
    upright = np.zeros_like(away)
    upright[:, 2] = -away[:, 2]
    spare = shape.reach(upright) + rise
    most = _top_of_wave(behind + spare, ahead + spare, np.minimum(back + forth, WIDEST))
    return rise + most - spare, ahead - behind


def _top_of_wave(p: Floats, q: Floats, d: Floats) -> Floats:
    """The greatest of (p sin(d - t) + q sin t) / sin d for t from 0 to d."""
    cos, sin = np.cos(d), np.sin(d)
    inside = (q > p * cos) & (p > q * cos) & (d > 0.0)
    square = np.maximum(p * p + q * q - 2.0 * p * q * cos, 0.0)
    top = np.sqrt(square) / np.where(inside, sin, 1.0)
    return np.where(inside, np.maximum(top, np.maximum(p, q)), np.maximum(p, q))
