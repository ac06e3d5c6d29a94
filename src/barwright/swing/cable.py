"""A release cable that runs over to the leaf: how its length goes, and how sharply it bends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats, Point, cross_of, unit
from barwright.swing.clearance import axis_frame
from barwright.swing.motion import Motion

POINTS = 65
"""Places along the free run at which its bend is looked at."""

STEEPEST = 2.4
"""Angles to the chord are taken as no more than this [rad]."""

ANGLES = 91
"""Places of the leaf at which it is looked at."""


@dataclass(frozen=True, kw_only=True)
class Run:
    """The free run of a cable between a clamp that stands and one that rides on the leaf.

    Attributes:
        fixed: the standing clamp [mm].
        out: unit direction in which the cable leaves it.
        riding: the riding clamp, as it stands when closed [mm].
        into: unit direction in which the cable enters it, when closed.
    """

    fixed: Point
    out: Point
    riding: Point
    into: Point


@dataclass(frozen=True, kw_only=True)
class Cable:
    """What the free run of a cable needs.

    Attributes:
        shortest: the distance between the clamps where they are nearest [mm], exact.
        longest: where they are farthest [mm], exact: the run must be longer than this.
        closed: when the leaf is closed [mm].
        opened: when it is open [mm].
        bend: the least bend radius over the swing [mm]; inf for a straight run.
        bend_at: the angle from closed at which that is found [rad].
    """

    shortest: float
    longest: float
    closed: float
    opened: float
    bend: float
    bend_at: float


def cable(motion: Motion, run: Run) -> Cable:
    """How the free run of a cable changes over the opening.

    The distance between the clamps is sqrt(a - b cos(t - f)), so its extremes are in closed
    form. The cable's shape between them is taken as the cubic that leaves and enters in the
    clamps' directions (Hermite's form), with the speed at which it follows a circle that stands
    at the same angles to the chord: chord / cos²(angle / 2). For a quarter circle its least
    radius is within a hundredth of the circle's, for a half circle an eighth below it. A taut
    run bends more sharply, a slack one may: take the figure as a guide, and turn the real cable
    by hand through the swing.
    """
    opens = abs(motion.opens)
    local = axis_frame(motion)
    p, q = local.points(run.riding), local.points(run.fixed)
    spans = [_distance(p, q, t) for t in (0.0, opens, *_extremes(p, q, opens))]
    turns = np.linspace(0, opens, ANGLES)
    bends = _least_radii(motion, run, turns)
    sharpest = int(bends.argmin())
    return Cable(
        shortest=min(spans),
        longest=max(spans),
        closed=spans[0],
        opened=spans[1],
        bend=float(bends[sharpest]),
        bend_at=float(turns[sharpest]),
    )


def _distance(p: Floats, q: Floats, t: float) -> float:
    c, s = math.cos(t), math.sin(t)
    turned = np.array([c * p[0] - s * p[1], s * p[0] + c * p[1], p[2]])
    return float(np.linalg.norm(turned - q))


def _extremes(p: Floats, q: Floats, opens: float) -> tuple[float, ...]:
    """The turns within the opening at which the riding clamp is nearest and farthest."""
    facing = math.atan2(q[1], q[0]) - math.atan2(p[1], p[0])
    found = (math.fmod(facing + k * math.pi, 2.0 * math.pi) for k in (0, 1))
    return tuple(t % (2.0 * math.pi) for t in found if t % (2.0 * math.pi) <= opens)


def _least_radii(motion: Motion, run: Run, turns: Floats) -> Floats:
    """The least radius of Hermite's cubic between the two clamps at each of k angles, (k,) [mm].

    The curve's two derivatives are sums of three vectors, and so is their cross product.
    """
    a, b, way_out, way_in = _clamps(motion, run, turns)
    chord = np.sqrt(((b - a) ** 2).sum(axis=1))
    leans = sum(np.minimum(_between(b - a, w), STEEPEST) for w in (way_out, way_in))
    speed_along = (chord / np.cos(0.25 * leans) ** 2)[:, None]
    ways = np.stack([a - b, speed_along * way_out, speed_along * way_in], axis=1)
    u = np.linspace(0.0, 1.0, POINTS)
    first = np.stack([6 * u * u - 6 * u, 3 * u * u - 4 * u + 1, 3 * u * u - 2 * u])
    second = np.stack([12 * u - 6, 6 * u - 4, 6 * u - 2])
    i, j = [1, 2, 0], [2, 0, 1]
    turn = _squares(first[i] * second[j] - first[j] * second[i], cross_of(ways[:, i], ways[:, j]))
    speed = _squares(first, ways)
    sharpest = np.sqrt((turn / np.maximum(speed, 1e-24) ** 3).max(axis=1))
    return np.where(sharpest > 1e-9, 1.0 / np.maximum(sharpest, 1e-9), math.inf)


def _squares(shares: Floats, ways: Floats) -> Floats:
    """The squared lengths of sums of three vectors (k, 3, 3), by their shares (3, p): (k, p)."""
    sums = shares.T @ ways
    return np.asarray(np.einsum("kpx,kpx->kp", sums, sums))


def _clamps(motion: Motion, run: Run, turns: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Both clamps and the cable's way out and in at each of k angles, shape (k, 3) each."""
    local = axis_frame(motion)
    back, c, s = local.inverse(), np.cos(turns), np.sin(turns)

    def about(v: Floats) -> Floats:
        return np.stack([c * v[0] - s * v[1], s * v[0] + c * v[1], np.full_like(c, v[2])], axis=1)

    riding = back.points(about(local.points(run.riding)))
    way_in = back.directions(about(local.directions(unit(run.into))))
    still = np.ones((len(turns), 1))
    return still * np.array(run.fixed), riding, still * unit(run.out), way_in


def _between(a: Floats, b: Floats) -> Floats:
    """The angle between each two directions, shape (k,) [rad], as `angle_between` has it."""
    u, v = unit(a), unit(b)
    return np.asarray(
        2.0 * np.arctan2(np.linalg.norm(u - v, axis=1), np.linalg.norm(u + v, axis=1))
    )
