"""Every way out, held against an independent swept collision check by a mesh boolean library.

The library (manifold3d) knows nothing of the planes our ways are worked out from: it sweeps hulls
of the bodies that the swing stage uses (solid bars, holes filled only where nothing goes through)
and measures what the sweep and all that stands have in common. Sliding is let pass: a common
sliver counts as 2 V / A thick, and up to the stage's own slack that is a fit, not a clash.
"""

import math
from itertools import pairwise

import manifold3d
import numpy as np
import pytest
from ways_scene import CASES, heron_scene

from barwright.buildup.apart import take_apart
from barwright.buildup.hulls import hulls_of
from barwright.buildup.results import Move
from barwright.buildup.service import parted, scene
from barwright.buildup.ways import SLACK, way_out
from barwright.geometry.pose import turned

SIDES = 48


def solid(hulls, row):
    corners, r = hulls.corners[row], float(hulls.radius[row])
    if r == 0.0:
        return corners
    axis = hulls.axis[row]
    x = np.cross(axis, [0.36, 0.48, 0.8])
    x /= np.linalg.norm(x)
    y = np.cross(axis, x)
    turn = 2.0 * np.pi * np.arange(SIDES) / SIDES
    ring = r * (np.cos(turn)[:, None] * x + np.sin(turn)[:, None] * y)
    return np.vstack([corners[0] + ring, corners[1] + ring])


def hull(points):
    return manifold3d.Manifold.hull_points(np.asarray(points, dtype=np.float64))


def swept(points, moves):
    """Each convex piece, swept: shifts exactly, turns in steps of half a degree."""
    out, far = [], 2500.0
    for move in moves:
        if move.turn:
            n = max(1, math.ceil(math.degrees(move.turn) / 0.5))
            poses = [turned(move.through, move.along, move.turn * k / n) for k in range(n + 1)]
            rows = [[p.points(q) for p in poses] for q in points]
            out += [hull(np.vstack(pair)) for r in rows for pair in pairwise(r)]
            points = [r[-1] for r in rows]
        else:
            by = min(move.far, far) * np.array(move.along)
            out += [hull(np.vstack([q, q + by])) for q in points]
            points = [q + by for q in points]
    return out


def thickest(sweeps, standing):
    """How thick the thickest thing is that sweeps and standing parts have in common [mm]."""
    worst = 0.0
    for s in sweeps:
        box = s.bounding_box()
        for other, low, high in standing:
            if (low > box[3:]).any() or (high < box[:3]).any():
                continue
            both = s ^ other
            if both.volume() > 1e-6:
                worst = max(
                    [worst, *(2.0 * c.volume() / c.surface_area() for c in both.decompose())]
                )
    return worst


def standing_of(hulls, skip=()):
    rows = [k for k in range(len(hulls)) if k not in skip]
    return [(hull(solid(hulls, k)), hulls.low[k], hulls.high[k]) for k in rows]


def test_every_way_out_of_the_heron_is_clear():
    loose = scene(heron_scene())
    gone = set()
    ways = take_apart(loose)
    assert {n for w in ways for n in w.names if w.comes_out} >= {"side.hinge.bolt", "upper"}
    for way in ways:
        assert way.comes_out, way.names
        out = {t.name for t in loose.all.all} - {*way.names} - {*way.among}
        if not {*way.names} & gone:
            assert {*way.among} == {t.name for t in loose.all.all} - gone - {*way.names}
        pose = next((m.pose(m.opens) for m in loose.all.motions if m.leaf == way.state), None)
        mine, rest, skip = parted(loose, way.names, out, *([] if pose is None else [pose]))
        hidden = set() if skip is None else set(np.nonzero(skip.any(axis=0))[0].tolist())
        sweeps = swept([solid(mine, k) for k in range(len(mine))], way.moves)
        assert thickest(sweeps, standing_of(rest, hidden)) < SLACK + 0.15, way.names
        gone |= {*way.names}


@pytest.mark.parametrize("name", CASES)
def test_every_way_out_of_a_pocket_is_clear(name):
    piece, others, moves = CASES[name]
    a, b = hulls_of([piece]), hulls_of(others)
    found = way_out(a, b, moves=2)
    assert len(found.moves) == moves
    if moves:
        sweeps = swept([solid(a, k) for k in range(len(a))], found.moves)
        assert thickest(sweeps, standing_of(b)) < SLACK + 0.15


def test_the_check_sees_a_wrong_way():
    """The check is not blind: the same pocket, left the wrong way."""
    piece, others, _ = CASES["drawer"]
    a, b = hulls_of([piece]), hulls_of(others)
    wrong = swept([solid(a, k) for k in range(len(a))], (Move(along=(-1.0, 0.0, 0.0), far=100.0),))
    assert thickest(wrong, standing_of(b)) > 5.0
