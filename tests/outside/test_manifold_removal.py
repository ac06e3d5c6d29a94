"""Every way out, held against an independent swept collision check by a mesh boolean library.

The library (manifold3d) knows nothing of the planes our ways are worked out from: it sweeps hulls
of the bodies that the swing stage uses (solid bars, holes filled only where nothing goes through)
and measures what the sweep and all that stands have in common. Sliding is let pass: a common
sliver counts as 2 V / A thick, and up to the stage's own slack that is a fit, not a clash.
"""

import numpy as np
import pytest
from sweeping import solid, standing_of, swept, thickest
from ways_scene import CASES, job_scene

from barwright.buildup.apart import take_apart
from barwright.buildup.hulls import hulls_of
from barwright.buildup.results import Move
from barwright.buildup.service import parted, scene
from barwright.buildup.ways import SLACK, way_out


@pytest.mark.parametrize("job", ["heron", "gate"])
def test_every_way_out_of_a_job_is_clear(job):
    loose = scene(job_scene(job))
    gone = set()
    ways = take_apart(loose)
    assert {n for w in ways for n in w.names} == {n for p in loose.pieces for n in p}
    for way in ways:
        assert way.comes_out, way.names
        out = {t.name for t in loose.all.all} - {*way.names} - {*way.among}
        if not {*way.names} & gone:
            assert {*way.among} == {t.name for t in loose.all.all} - gone - {*way.names}
        mine, rest, skip = parted(loose, way.names, out, way.state)
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
