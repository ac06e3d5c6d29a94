"""Traps planted in 50 shaken Herons are all found, and none is where none was planted.

A trap is plates welded on so that a service part has no way out, by construction: a bolt capped
at both ends nearer than it has to be drawn (the hinge's sits in two cheeks and a bushing over
three quarters of its length, the striker's stands out a quarter or more to either side of its
plate), or the latch walled in on all six sides. A harmless plate (one end capped only) goes in
where nothing was planted. The constructions are ours: no source but solid geometry.
"""

import numpy as np
import pytest
from built_side import planted, side

from barwright.buildup.apart import take_apart
from barwright.buildup.results import Buildup
from barwright.buildup.say import findings
from barwright.buildup.service import scene
from barwright.buildup.things import things
from barwright.findings import Level

VARIANTS = 50
KINDS = ("hinge", "striker", "latch")


def trapped(bars, parts, moves):
    """What is said to be trapped, with its level."""
    ways = take_apart(scene(things(bars, parts, moves)))
    told = findings(Buildup(ways=ways)).findings
    assert any(f.code == "buildup.service" for f in told) == all(w.comes_out for w in ways)
    return {f.subject: f.level for f in told if f.code == "buildup.trapped"}


def rod_of(parts, name):
    (rod,) = next(h for h in parts.hardware if h.name == name).body.solids
    return np.array(rod.start), np.array(rod.end)


def capped(parts, name, rng, *, both, share, **where):
    """Plates across a bolt's ends, nearer than a share of its length."""
    start, end = rod_of(parts, name)
    run = end - start
    out = run / np.linalg.norm(run)
    gap = rng.uniform(1.0, share * float(np.linalg.norm(run)))
    ends = [(end, out), (start, -out)] if both else [(end, out)]
    for k, (tip, way) in enumerate(ends):
        parts = planted(parts, f"cap-{k}", tip + gap * way, way, rng.uniform(15.0, 30.0), **where)
    return parts


def walled(parts, name, rng):
    """Plates on all six sides of a part's box, larger than the box."""
    body = next(h for h in parts.hardware if h.name == name).body
    corners = np.array([c for s in body.solids for c in getattr(s, "corners", ())])
    low, high = corners.min(axis=0), corners.max(axis=0)
    half = float((high - low).max()) / 2.0 + 30.0
    for k in range(6):
        axis = np.eye(3)[k % 3] * (1.0 if k < 3 else -1.0)
        face = 0.5 * (low + high) + axis * (0.5 * (high - low)[k % 3] + rng.uniform(1.0, 6.0))
        parts = planted(parts, f"wall-{k}", face, axis, half)
    return parts


def plant(kind, parts, rng):
    """A trap, and the part that is in it."""
    if kind == "hinge":
        name = "side.hinge.bolt"
        return name, capped(parts, name, rng, both=True, share=0.4, to="pillar-left")
    if kind == "striker":
        name = "side.striker.bolt"
        return name, capped(parts, name, rng, both=True, share=0.1, rides="side", to="upper")
    return "side.latch.latch", walled(parts, "side.latch.latch", rng)


@pytest.mark.study
def test_planted_traps_are_found_and_none_invented():
    seen = set()
    for seed in range(1, VARIANTS + 1):
        rng = np.random.default_rng(1000 + seed)
        _, bars, parts, moves = side(seed)
        seen.add(tuple(round(x, 2) for x in (*moves[0].through, parts.parts[0].thickness)))
        assert trapped(bars, parts, moves) == {}, f"invented in variant {seed}"
        name, caught = plant(KINDS[seed % 3], parts, rng)
        assert trapped(bars, caught, moves) == {name: Level.MUST}, f"variant {seed}"
        if seed % 10 == 0:
            harmless = capped(parts, "side.hinge.bolt", rng, both=False, share=0.4)
            assert trapped(bars, harmless, moves) == {}, f"invented in variant {seed}"
    assert len(seen) == VARIANTS
