"""Whether a socket or a spanner gets at a bolt's two ends.

Sizes are from memory and on the large side: width across flats 1.5 d (ISO 272: 13 for M8, 19 for
half-inch), socket 1.35 s + 2 over all (ISO 2725-1), an open-ended spanner's head 2.1 s across and
its handle 11 s long (ISO 3318). A spanner is turned over at every sixth of a turn or less: 30°.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from barwright.buildup.differences import depths, near_pairs
from barwright.buildup.hulls import Hulls, Run, joined, rods_of
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


@dataclass(frozen=True, kw_only=True, eq=False)
class _End:
    """One end of a bolt.

    Attributes:
        bolt: its name.
        at: where it is among all.
        name: "head" or "nut".
        tip: the end of its rod [mm], shape (3,).
        out: unit direction out of it, shape (3,).
        size: the bolt's diameter [mm].
        rides: the leaf the bolt swings with; empty when it stands still.
    """

    bolt: str
    at: int
    name: str
    tip: Floats
    out: Floats
    size: float
    rides: str

    @property
    def flats(self) -> float:
        """Width across flats [mm]."""
        return 1.5 * self.size


def reach(all_: Things) -> tuple[Reach, ...]:
    """Tool access to both ends of every bolt, with everything in place.

    A leaf's own bolts, and those beside it, are tried with it closed and then standing open.
    """
    ends = [e for t in all_.all for e in _ends(all_, t)]
    found = _tried(all_, ends, all_.hulls)
    for m in all_.motions:
        for mine in (False, True):
            hard = [
                k
                for k, e in enumerate(ends)
                if not _reached(found[k]) and (e.rides == m.leaf) == mine
            ]
            if hard:
                again = _tried(all_, [ends[k] for k in hard], _opened(all_, m, mine=mine))
                for k, r in zip(hard, again, strict=True):
                    found[k] = replace(r, state=m.leaf) if _reached(r) else found[k]
    return tuple(found)


def _reached(r: Reach) -> bool:
    return r.socket or r.spanner >= SWING


def _opened(all_: Things, motion: Motion, *, mine: bool) -> Hulls:
    """All with a leaf open; as seen from the leaf where the bolts ride on it."""
    pose = motion.pose(motion.opens)
    rides = np.array([t.rides == motion.leaf for t in all_.all])[all_.hulls.owner]
    turned = pose.inverse() if mine else pose
    moves = ~rides if mine else rides
    return joined(
        all_.hulls.take(~moves),
        all_.hulls.take(moves).placed(np.array(turned.matrix), np.array(turned.shift)),
    )


def _bolt(thing: Thing) -> Rod | None:
    """The rod of a bolt; None for what is no bolt."""
    if thing.kind != "hardware" or "bolt" not in thing.name.rpartition(".")[2]:
        return None
    rods = [s for s in thing.body.solids if isinstance(s, Rod)]
    return rods[0] if rods else None


def _ends(all_: Things, bolt: Thing) -> list[_End]:
    """Both ends of a bolt; none of what is no bolt."""
    rod = _bolt(bolt)
    if rod is None:
        return []
    start, end = np.array(rod.start), np.array(rod.end)
    out = (end - start) / np.linalg.norm(end - start)
    return [
        _End(
            bolt=bolt.name,
            at=all_.index[bolt.name],
            name=name,
            tip=tip,
            out=way,
            size=2.0 * rod.radius,
            rides=bolt.rides,
        )
        for name, tip, way in (("head", end, out), ("nut", start, -out))
    ]


def _tried(all_: Things, ends: Sequence[_End], scene: Hulls) -> list[Reach]:
    """Whether tools get at some ends, all of them looked at together."""
    by = _met([_socket(e) for e in ends], ends, scene)
    swing = np.zeros(len(ends))
    hard = [k for k in range(len(ends)) if by[k]]
    swing[hard] = _swings([ends[k] for k in hard], scene)
    return [
        Reach(
            bolt=e.bolt,
            end=e.name,
            socket=not by[k],
            spanner=float(swing[k]),
            blocked_by=()
            if not by[k] or swing[k] >= SWING
            else tuple(all_.all[o].name for o in sorted(by[k])),
        )
        for k, e in enumerate(ends)
    ]


def _socket(e: _End) -> list[Run]:
    """A socket on an end, and the extension behind it."""
    foot = e.tip - 0.6 * e.size * e.out
    mouth = foot + SOCKET_LONG * e.out
    return [
        (foot, mouth, 0.675 * e.flats + 1.0),
        (mouth, mouth + EXTENSION * e.out, EXTENSION_R),
    ]


def _met(tools: Sequence[Sequence[Run]], ends: Sequence[_End], scene: Hulls) -> list[set[int]]:
    """For each end, the owners of what its tool would stand in."""
    found: list[set[int]] = [set() for _ in ends]
    for rod, owner in _hits(tools, ends, scene):
        found[rod // len(tools[0])].add(owner)
    return found


def _hits(
    tools: Sequence[Sequence[Run]], ends: Sequence[_End], scene: Hulls
) -> Iterator[tuple[int, int]]:
    """Which rods of the tools, as many for each end, would stand in what; not in the own bolt."""
    runs = [run for tool in tools for run in tool]
    if not runs:
        return
    rods = rods_of(runs)
    own = np.repeat([e.at for e in ends], [len(t) for t in tools])
    i, j = near_pairs(rods, scene)
    other = scene.owner[j] != own[i]
    i, j = i[other], j[other]
    deep = depths(rods, scene, i, j, least=TOUCH).depth > TOUCH
    yield from zip(i[deep].tolist(), scene.owner[j[deep]].tolist(), strict=True)


def _swings(ends: Sequence[_End], scene: Hulls) -> Floats:
    """The widest run of handle directions that are free at each end [rad].

    It is 0 where the spanner's head itself has no room.
    """
    heads = _met([[_head(e)] for e in ends], ends, scene)
    open_ = [k for k, by in enumerate(heads) if not by]
    some = [ends[k] for k in open_]
    free = np.ones((len(some), STEPS), dtype=bool)
    for rod, _ in _hits([_handle(e) for e in some], some, scene):
        free[divmod(rod, STEPS)] = False
    found = np.zeros(len(ends))
    found[open_] = [_longest(row) * 2.0 * math.pi / STEPS for row in free]
    return found


def _head(e: _End) -> Run:
    at, thick = e.tip - 0.35 * e.size * e.out, 0.2 * e.flats
    return at - thick * e.out, at + thick * e.out, 1.05 * e.flats


def _handle(e: _End) -> list[Run]:
    """A spanner's handle in all directions."""
    at, x = e.tip - 0.35 * e.size * e.out, square_to(e.out)
    y = cross(e.out, x)
    angles = 2.0 * math.pi * np.arange(STEPS) / STEPS
    return [
        (at, at + 11.0 * e.flats * (math.cos(a) * x + math.sin(a) * y), 0.25 * e.flats)
        for a in angles
    ]


def _longest(free: Bools) -> int:
    """The longest run of free steps round a circle, counted between its first and its last."""
    if free.all():
        return STEPS
    twice, best, run = np.concatenate([free, free]), 0, 0
    for f in twice:
        run = run + 1 if f else 0
        best = max(best, run)
    return max(best - 1, 0)
