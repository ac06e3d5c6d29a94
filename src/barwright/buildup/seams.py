"""The welds: where each is, how long, how much it draws, and whether a torch gets at it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from barwright.buildup.differences import depths, near_pairs
from barwright.buildup.hulls import Hulls, joined, rods
from barwright.buildup.results import Seam
from barwright.buildup.shrink import transverse
from barwright.buildup.things import Thing, Things
from barwright.geometry.convex import Ints
from barwright.geometry.vectors import Floats, cross, point
from barwright.plates.part import Part
from barwright.tubes.bars import BuiltBar, End

NOZZLE_R = 9.0
"""Radius of a torch's nozzle [mm]; common practice, no source."""
NOZZLE_LONG = 110.0
"""How much of the torch has to have room behind the nozzle's tip [mm]."""
STICK_OUT = 10.0
"""The nozzle's tip stands this far off the seam [mm]."""
STATIONS = 12
"""Places along a coped end's seam at which the torch is tried."""
LEAN = math.radians(45.0)
"""The torch halves the corner between bar and receiver."""
GRAZE = 1.0


def seams(all_: Things) -> tuple[Seam, ...]:
    """Every weld of the job, in the order bars, then plates; what stands is welded already."""
    bars = [t.made for t in all_.all if isinstance(t.made, BuiltBar)]
    coped = [s for bar in bars if not bar.stands for s in _of_bar(bar)]
    done = {tuple(sorted(s.parts)) for s in coped}
    flat = [p for p in sorted(all_.welded) if p not in done and not _ends_of(all_, p)]
    return _reached(all_, (*coped, *_of_pairs(all_, flat)))


def _ends_of(all_: Things, names: tuple[str, str]) -> bool:
    """Whether two bars meet in a cope that is told with the first receiver already."""
    return all(all_.named(n).kind == "bar" for n in names)


def _of_bar(bar: BuiltBar) -> list[Seam]:
    return [_of_end(bar, e) for e in (bar.start, bar.finish) if e.against]


def _of_end(bar: BuiltBar, end: End) -> Seam:
    edge = edge_of(bar, end)
    leg = bar.wall
    run = np.linalg.norm(np.roll(edge, -1, axis=0) - edge, axis=1)
    drawn = transverse(area=0.5 * leg * leg, thickness=leg, gap=0.0)
    return Seam(
        parts=(bar.name, end.against[0]),
        at=point(edge.mean(axis=0)),
        length=float(run.sum()),
        leg=leg,
        away=end.along,
        shrinks=drawn.value,
    )


def edge_of(bar: BuiltBar, end: End) -> Floats:
    """The outer edge of a coped end, shape (360, 3) [mm]."""
    turn = np.radians(np.arange(360.0))
    along, zero = np.array(end.along), np.array(end.zero)
    ring = np.cos(turn)[:, None] * zero + np.sin(turn)[:, None] * cross(along, zero)
    return np.asarray(end.origin + end.cope[:, None] * along + bar.radius * ring)


def _of_pairs(all_: Things, pairs: Sequence[tuple[str, str]]) -> list[Seam]:
    """Seams of plates, of all pairs that do lie at one another."""
    ordered = [_plate_first(all_, *p) for p in pairs]
    rows = np.array([[all_.index[n] for n in p] for p in ordered], dtype=np.intp).reshape(-1, 2)
    which = np.full((len(all_.all), len(all_.all)), -1)
    which[rows[:, 0], rows[:, 1]] = which[rows[:, 1], rows[:, 0]] = np.arange(len(rows))
    hulls, met = all_.fine, all_.touching
    pair = which[hulls.owner[met.i], hulls.owner[met.j]]
    met, pair = met.take(pair >= 0), pair[pair >= 0]
    i, j, forth = met.i, met.j, hulls.owner[met.i] == rows[pair, 0]
    away = np.where(forth[:, None], met.away, -met.away)
    low, high = np.maximum(hulls.low[i], hulls.low[j]), np.minimum(hulls.high[i], hulls.high[j])
    lots = [(k, np.nonzero(pair == k)[0]) for k in np.unique(pair)]
    return [_of_pair(all_, ordered[k], low[some], high[some], away[some]) for k, some in lots]


def _plate_first(all_: Things, one: str, other: str) -> tuple[str, str]:
    bar_first = all_.named(one).kind == "bar" and all_.named(other).kind != "bar"
    return (other, one) if bar_first else (one, other)


def _of_pair(all_: Things, names: tuple[str, str], low: Floats, high: Floats, away: Floats) -> Seam:
    """A plate's seam, its length from how far the two lie along one another (box, not path)."""
    size = np.maximum(high.max(axis=0) - low.min(axis=0), 0.0)
    leg = _thin(*(all_.named(n) for n in names))
    drawn = transverse(area=0.5 * leg * leg, thickness=leg, gap=0.0)
    mean = away.sum(axis=0)
    length = float(np.linalg.norm(mean))
    return Seam(
        parts=names,
        at=point(0.5 * (low + high).mean(axis=0)),
        length=float(np.linalg.norm(size)),
        leg=leg,
        away=point(mean / length if length > GRAZE * 1e-3 else away[0]),
        shrinks=drawn.value,
    )


def _thin(*things: Thing) -> float:
    """The thinner of two [mm]: what a weld's leg is taken as."""
    walls = [t.made.thickness for t in things if isinstance(t.made, Part)]
    walls += [t.made.wall for t in things if isinstance(t.made, BuiltBar)]
    return min(walls, default=3.0)


# ---- the torch ----------------------------------------------------------------------------------


def _reached(all_: Things, found: Sequence[Seam]) -> tuple[Seam, ...]:
    """The seams of coped ends, each with the share a torch gets at."""
    nozzles, whose = list[Hulls](), list[int]()
    for k, seam in enumerate(found):
        made = all_.named(seam.parts[0]).made
        if isinstance(made, BuiltBar):
            end = min((made.start, made.finish), key=lambda e: math.dist(e.origin, seam.at))
            nozzles.append(torches(made, end))
            whose += [k] * STATIONS
    return _told(all_, found, joined(*nozzles), np.array(whose)) if nozzles else tuple(found)


def torches(bar: BuiltBar, end: End) -> Hulls:
    """A nozzle at each station of a coped end's seam."""
    turn = np.radians(np.arange(0.0, 360.0, 360.0 / STATIONS))
    edge = edge_of(bar, end)[:: 360 // STATIONS]
    along, zero = np.array(end.along), np.array(end.zero)
    out = np.cos(turn)[:, None] * zero + np.sin(turn)[:, None] * cross(along, zero)
    way = math.cos(LEAN) * along + math.sin(LEAN) * out
    tip = edge + STICK_OUT * way
    return rods(tip, tip + NOZZLE_LONG * way, np.full(len(tip), NOZZLE_R))


def _told(all_: Things, found: Sequence[Seam], nozzles: Hulls, whose: Floats) -> tuple[Seam, ...]:
    own = {
        k: {all_.index[n] for n in found[k].parts if n in all_.index} for k in set(whose.tolist())
    }
    everything = all_.hulls
    i, j = near_pairs(nozzles, everything)
    other = np.array(
        [int(everything.owner[q]) not in own[int(whose[p])] for p, q in zip(i, j, strict=True)],
        dtype=bool,
    )
    i, j = i[other], j[other]
    hit = depths(nozzles, everything, i, j, least=GRAZE).depth > GRAZE
    i, j = i[hit], j[hit]
    return tuple(_one(all_, s, np.nonzero(whose == k)[0], i, j) for k, s in enumerate(found))


def _one(all_: Things, seam: Seam, rows: Ints, i: Ints, j: Ints) -> Seam:
    if len(rows) == 0:
        return seam
    mine = np.isin(i, rows)
    hides = {*zip(all_.hulls.owner[j[mine]].tolist(), i[mine].tolist(), strict=True)}
    stations = Counter(k for k, _ in hides)
    return replace(
        seam,
        tried=True,
        reached=1.0 - len({at for _, at in hides}) / len(rows),
        before=tuple(all_.all[k].name for k in sorted(stations, key=lambda k: (-stations[k], k))),
    )
