"""Straights and arcs through a chain of points, closed, by least squares on all at once.

Unknowns are the corners and the arcs' bulges, so neighbours meet exactly; nothing is made
tangent or square that was not cut so.
"""

from __future__ import annotations

import math

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey.template_rim import Rim
from barwright.survey.template_runs import Run, runs
from barwright.survey.template_types import Outline

HOLD = 1e-4
"""Weight of a corner's start against a point's miss."""

CORRELATED = 2.0
"""Neighbouring points share pixels and the card's own waves: this many count as one."""


def fitted(rim: Rim, tolerance: float, corner: float) -> Outline:
    """The outline of a rim.

    Args:
        rim: its points.
        tolerance: how far points may lie off the outline [mm].
        corner: length of edge a corner may blur, either side together [mm].
    """
    circle = _circle(rim.xy, rim.weight)
    if _largest(circle[1], rim.weight) <= tolerance:
        return _round_outline(*circle, rim.weight)
    skip = max(1, math.ceil(corner / rim.spacing))
    best = None
    for limit in (tolerance, 0.7 * tolerance, 0.5 * tolerance):
        cut = runs(rim.xy, rim.weight, limit, skip)
        if len(cut) < (2 if any(r.arc for r in cut) else 3):
            return best or _round_outline(*circle, rim.weight)  # nothing else closes
        found = _with_runs(rim, cut)
        if max(found.worst) <= tolerance:
            return found
        best = best or found
    # Stricter cuts did not help: the edge is rough, not the cut too coarse. It is told.
    return best or _round_outline(*circle, rim.weight)


def _circle(xy: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Centre and radius (3,), and the misses (n,), by Gauss–Newton from Kåsa's start."""
    a = np.concatenate([2.0 * xy, np.ones((len(xy), 1))], axis=1)
    w = np.sqrt(weight)
    x, y, c = np.linalg.lstsq(a * w[:, None], np.sum(xy * xy, axis=1) * w, rcond=None)[0]
    p = np.array([x, y, math.sqrt(max(float(c + x * x + y * y), 1e-6))])
    for _ in range(8):
        away = xy - p[:2]
        reach = np.maximum(np.linalg.norm(away, axis=1), 1e-9)
        slope = np.concatenate([-away / reach[:, None], -np.ones((len(xy), 1))], axis=1)
        p = p - np.linalg.lstsq(slope * w[:, None], (reach - p[2]) * w, rcond=None)[0]
    return p, np.linalg.norm(xy - p[:2], axis=1) - p[2]


def _round_outline(p: Floats, off: Floats, weight: Floats) -> Outline:
    x, y, r = (float(v) for v in p)
    rms = _rms(off, weight)
    sd = rms * math.sqrt(2.0 * CORRELATED / max(float(weight.sum()) - 3.0, 1.0))
    low = _largest(off, weight)
    return Outline(
        vertices=((x - r, y, 1.0), (x + r, y, 1.0)),
        rms=(rms, rms),
        worst=(low, low),
        points=(len(off) // 2, len(off) - len(off) // 2),
        sd=(sd, sd),
    )


def _rms(off: Floats, weight: Floats) -> float:
    return float(np.sqrt(np.sum(weight * off * off) / weight.sum())) if len(off) else 0.0


def _largest(off: Floats, weight: Floats) -> float:
    """The largest miss but for the worst 2 %, among sure points where there are enough."""
    sure = off[weight >= 0.5]
    serve = sure if len(sure) >= 8 else off
    return float(np.quantile(np.abs(serve), 0.98)) if len(serve) else 0.0


def _with_runs(rim: Rim, cut: tuple[Run, ...]) -> Outline:
    xy, n = rim.xy, len(rim.xy)
    owner = np.full(n, -1)
    for k, run in enumerate(cut):
        owner[np.arange(run.first, run.last + 1) % n] = k
    arc = np.array([run.arc for run in cut])
    corners, bulges = _start(xy, cut)
    for _ in range(2):
        corners, bulges = _adjusted(rim, owner, corners, bulges, arc)
    return _outline(rim, owner, corners, bulges, arc)


def _start(xy: Floats, cut: tuple[Run, ...]) -> tuple[Floats, Floats]:
    """Corners where neighbouring runs' end lines meet, or half-way; bulges by the middle point."""
    n, corners = len(xy), []
    for before, after in zip((*cut[-1:], *cut[:-1]), cut, strict=True):
        corners.append(_meeting(xy, before, after))
    points, bulges = np.array(corners), []
    for k, run in enumerate(cut):
        a, b = points[k], points[(k + 1) % len(cut)]
        middle = xy[(run.first + run.last) // 2 % n]
        bulges.append(_bulge(a, middle, b) if run.arc else 0.0)
    return points, np.array(bulges)


def _meeting(xy: Floats, before: Run, after: Run) -> Floats:
    n = len(xy)
    end, begin = xy[before.last % n], xy[after.first % n]
    half = 0.5 * (end + begin)
    if before.arc or after.arc:
        return np.asarray(half)
    d = end - xy[before.first % n]
    e = xy[after.last % n] - begin
    cross = float(d[0] * e[1] - d[1] * e[0])
    if abs(cross) < 0.1 * float(np.linalg.norm(d) * np.linalg.norm(e)):
        return np.asarray(half)
    gap = begin - end
    t = float(gap[0] * e[1] - gap[1] * e[0]) / cross
    met = end + t * d
    far = float(np.linalg.norm(met - half)) > 2.0 * float(np.linalg.norm(gap)) + 2.0
    return np.asarray(half if far else met)


def _bulge(a: Floats, m: Floats, b: Floats) -> float:
    """Of the arc from a over m to b: the angle at m, seen from both ends, is half the sweep's."""
    u, v = a - m, b - m
    turn = math.atan2(float(u[0] * v[1] - u[1] * v[0]), float(u @ v))
    sweep = 2.0 * (math.pi - abs(turn))
    return math.copysign(math.tan(sweep / 4.0), -turn)


def distances(p: Floats, a: Floats, b: Floats, bulge: Floats) -> Floats:
    """How far points lie to the right of straights and arcs, all shapes (n, 2) and (n,) [mm].

    >>> a, b = np.array([[0.0, 0.0]]), np.array([[2.0, 0.0]])
    >>> distances(np.array([[1.0, -3.0]]), a, b, np.array([1.0])).round(9).tolist()
    [2.0]
    """
    d = b - a
    length = np.maximum(np.linalg.norm(d, axis=1), 1e-9)
    right = (p[:, 0] - a[:, 0]) * d[:, 1] - (p[:, 1] - a[:, 1]) * d[:, 0]
    bent = np.abs(bulge) > 1e-7
    safe = np.where(bent, bulge, 1.0)
    offset = (1.0 - safe * safe) / (4.0 * safe)
    centre = 0.5 * (a + b) + offset[:, None] * np.stack([-d[:, 1], d[:, 0]], axis=1)
    radius = length * (1.0 + safe * safe) / (4.0 * np.abs(safe))
    round_off = (np.linalg.norm(p - centre, axis=1) - radius) * np.sign(safe)
    return np.asarray(np.where(bent, round_off, right / length))


def _misses(
    xy: Floats, owner: np.ndarray, corners: Floats, bulges: Floats
) -> tuple[Floats, np.ndarray]:
    mine = np.flatnonzero(owner >= 0)
    k = owner[mine]
    after = (k + 1) % len(corners)
    return distances(xy[mine], corners[k], corners[after], bulges[k]), k


def _slopes(
    xy: Floats, owner: np.ndarray, corners: Floats, bulges: Floats, arc: np.ndarray
) -> tuple[Floats, Floats]:
    """Misses and how they change with every corner's x, y and every arc's bulge."""
    off, k = _misses(xy, owner, corners, bulges)
    p, after = xy[owner >= 0], (k + 1) % len(corners)
    a, b, s = corners[k], corners[after], bulges[k]
    n, h = len(corners), 1e-6
    slope = np.zeros((len(off), 3 * n))
    rows = np.arange(len(off))
    for axis in range(2):
        e = np.zeros(2)
        e[axis] = h
        slope[rows, 2 * k + axis] += (distances(p, a + e, b, s) - off) / h
        slope[rows, 2 * after + axis] += (distances(p, a, b + e, s) - off) / h
    slope[rows, 2 * n + k] = np.where(arc[k], (distances(p, a, b, s + h) - off) / h, 0.0)
    return off, slope


def _adjusted(
    rim: Rim, owner: np.ndarray, corners: Floats, bulges: Floats, arc: np.ndarray
) -> tuple[Floats, Floats]:
    """Damped Gauss–Newton; strays count less."""
    n, damping = len(corners), 1e-3
    xy, sure = rim.xy, rim.weight[owner >= 0]
    start = x = np.concatenate([corners.ravel(), bulges])
    # A corner where neighbours run smoothly on is held, ever so slightly, where it began.
    hold = np.append(np.full(2 * n, HOLD), np.zeros(n))

    def cost(v: Floats, limit: float) -> float:
        off = np.abs(_misses(xy, owner, v[: 2 * n].reshape(n, 2), v[2 * n :])[0])
        held = float(np.sum(hold * (v - start) ** 2))
        return held + float(
            np.sum(sure * np.where(off < limit, off * off, limit * (2 * off - limit)))
        )

    for _ in range(30):
        off, slope = _slopes(xy, owner, x[: 2 * n].reshape(n, 2), x[2 * n :], arc)
        limit = 2.5 * max(1.4826 * float(np.median(np.abs(off))), 0.01)
        weight = sure * np.minimum(1.0, limit / np.maximum(np.abs(off), 1e-12))
        normal = slope.T @ (slope * weight[:, None])
        normal += np.diag(damping * np.diag(normal) + 1e-6 + hold)
        side = slope.T @ (weight * off) + hold * (x - start)
        step = -np.linalg.solve(normal, side)
        if cost(x + step, limit) <= cost(x, limit):
            x, damping = x + step, damping * 0.3
        else:
            damping *= 10.0
        if float(np.abs(step).max()) < 1e-6 or damping > 1e6:
            break
    return x[: 2 * n].reshape(n, 2), x[2 * n :]


def _outline(
    rim: Rim, owner: np.ndarray, corners: Floats, bulges: Floats, arc: np.ndarray
) -> Outline:
    off, slope = _slopes(rim.xy, owner, corners, bulges, arc)
    n, k, w = len(corners), owner[owner >= 0], rim.weight[owner >= 0]
    free = max(float(w.sum()) - 2 * n - int(arc.sum()), 1.0)
    normal = slope.T @ (slope * w[:, None]) + 1e-6 * np.eye(3 * n)
    spread = np.linalg.pinv(normal) * float(w @ (off * off)) / free * CORRELATED
    return Outline(
        vertices=tuple(
            (float(c[0]), float(c[1]), float(b)) for c, b in zip(corners, bulges, strict=True)
        ),
        rms=tuple(_rms(off[k == i], w[k == i]) for i in range(n)),
        worst=tuple(_largest(off[k == i], w[k == i]) for i in range(n)),
        points=tuple(int(np.sum(k == i)) for i in range(n)),
        sd=tuple(
            float(np.sqrt(np.linalg.eigvalsh(spread[2 * i : 2 * i + 2, 2 * i : 2 * i + 2])[-1]))
            for i in range(n)
        ),
    )
