"""Whether a socket or a spanner gets at a bolt's two ends.

Sizes are from memory and on the large side: width across flats 1.5 d (ISO 272: 13 for M8, 19 for
half-inch), socket 1.35 s + 2 over all (ISO 2725-1), an open-ended spanner's head 2.1 s across and
its handle 11 s long (ISO 3318). A spanner is turned over at every sixth of a turn or less: 30°.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from barwright.buildup.differences import depths, near_pairs
from barwright.buildup.hulls import Hulls, joined, rods_of
from barwright.buildup.results import Reach
from barwright.buildup.things import Thing, Things
from barwright.geometry.convex import Bools
from barwright.geometry.solids import Rod
from barwright.geometry.vectors import Floats, cross, square_to
from barwright.swing.motion import Motion

SOCKET_LONG = 38.0
EXTENSION = 75.0
"""Length of a socket and of the extension behind it [mm]."""
EXTENSION_R = 8.0
SWING = math.radians(30.0)
"""An open-ended spanner is turned over after this much."""
STEPS = 36
"""Directions of the handle that are tried."""
TOUCH = 0.3


def reach(all_: Things) -> tuple[Reach, ...]:
    """Tool access to both ends of every bolt, with everything in place.

    A leaf's own bolts, and those beside it, are tried with it closed and then standing open.
    """
    closed = [r for t in all_.all if (rod := _bolt(t)) for r in _ends(all_, t, rod, all_.hulls)]
    for m in all_.motions:
        if any(not _reached(r) for r in closed):
            closed = [r if _reached(r) else _again(all_, r, m) for r in closed]
    return tuple(closed)


def _reached(r: Reach) -> bool:
    return r.socket or r.spanner >= SWING


def _again(all_: Things, found: Reach, motion: Motion) -> Reach:
    """The same end with a leaf open; the scene is turned instead where the bolt rides on it."""
    bolt, pose = all_.named(found.bolt), motion.pose(motion.opens)
    rides = np.array([t.rides == motion.leaf for t in all_.all])[all_.hulls.owner]
    mine = bolt.rides == motion.leaf
    turned = pose.inverse() if mine else pose
    moves = ~rides if mine else rides
    scene = joined(
        all_.hulls.take(~moves),
        all_.hulls.take(moves).placed(np.array(turned.matrix), np.array(turned.shift)),
    )
    rod = _bolt(bolt)
    assert rod is not None  # noqa: S101 - it was one before
    again = next(r for r in _ends(all_, bolt, rod, scene) if r.end == found.end)
    return replace(again, state=motion.leaf) if _reached(again) else found


def _bolt(thing: Thing) -> Rod | None:
    """The rod of a bolt; None for what is no bolt."""
    if thing.kind != "hardware" or "bolt" not in thing.name.rpartition(".")[2]:
        return None
    rods = [s for s in thing.body.solids if isinstance(s, Rod)]
    return rods[0] if rods else None


def _ends(all_: Things, bolt: Thing, rod: Rod, scene: Hulls) -> list[Reach]:
    at = all_.index[bolt.name]
    others = scene.take(scene.owner != at)
    start, end = np.array(rod.start), np.array(rod.end)
    out = (end - start) / np.linalg.norm(end - start)
    return [
        _end(all_, bolt, name, others, tip, way, 2.0 * rod.radius)
        for name, tip, way in (("head", end, out), ("nut", start, -out))
    ]


def _end(  # noqa: PLR0917 - one end of one bolt among all else
    all_: Things, bolt: Thing, name: str, others: Hulls, tip: Floats, out: Floats, d: float
) -> Reach:
    flats = 1.5 * d
    foot = tip - 0.6 * d * out
    mouth = foot + SOCKET_LONG * out
    socket = [
        (foot, mouth, 0.675 * flats + 1.0),
        (mouth, mouth + EXTENSION * out, EXTENSION_R),
    ]
    by = _met(rods_of(socket), others)
    swing = 0.0 if not by else _swing(others, tip - 0.35 * d * out, out, flats)
    blocked = () if not by or swing >= SWING else tuple(all_.all[k].name for k in by)
    return Reach(bolt=bolt.name, end=name, socket=not by, spanner=swing, blocked_by=blocked)


def _met(tool: Hulls, others: Hulls) -> tuple[int, ...]:
    """Owners of what a tool would stand in."""
    i, j = near_pairs(tool, others)
    deep = depths(tool, others, i, j, least=TOUCH).depth > TOUCH
    return tuple(sorted({int(k) for k in others.owner[j[deep]]}))


def _swing(others: Hulls, at: Floats, out: Floats, flats: float) -> float:
    """The widest run of handle directions that are free [rad]; 0 where the head itself is not."""
    thick = 0.2 * flats
    head = rods_of([(at - thick * out, at + thick * out, 1.05 * flats)])
    if _met(head, others):
        return 0.0
    x = square_to(out)
    y = cross(out, x)
    angles = 2.0 * math.pi * np.arange(STEPS) / STEPS
    handle = [
        (at, at + 11.0 * flats * (math.cos(a) * x + math.sin(a) * y), 0.25 * flats) for a in angles
    ]
    rods = rods_of(handle)
    i, j = near_pairs(rods, others)
    hit = np.zeros(STEPS, dtype=bool)
    hit[i[depths(rods, others, i, j, least=TOUCH).depth > TOUCH]] = True
    return _longest(~hit) * 2.0 * math.pi / STEPS


def _longest(free: Bools) -> int:
    """The longest run of free steps round a circle, counted between its first and its last."""
    if free.all():
        return STEPS
    twice, best, run = np.concatenate([free, free]), 0, 0
    for f in twice:
        run = run + 1 if f else 0
        best = max(best, run)
    return max(best - 1, 0)
