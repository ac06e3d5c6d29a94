"""Which way each bar goes in among those that stand already, and what it needs held open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.buildup.blocking import rounds
from barwright.buildup.hulls import Hulls, joined, owned
from barwright.buildup.rays import entries
from barwright.buildup.things import Things
from barwright.buildup.ways import both
from barwright.geometry.vectors import Floats, Point, cross, point
from barwright.tubes.bars import BuiltBar

FAR = 60.0
"""A bar that moves this far off its place is out of its copes [mm]."""
SLACK = 0.6
"""Overlap let pass as touching at a cope [mm]."""


@dataclass(frozen=True, kw_only=True)
class Placing:
    """How a bar goes in.

    Attributes:
        name: of the bar.
        comes: unit direction it is brought in from; None where no straight move brings it in.
        blocked_by: bars that have to be let go for it; empty where it goes in freely.
    """

    name: str
    comes: Point | None
    blocked_by: tuple[str, ...] = ()


def placings(all_: Things) -> list[list[Placing]]:
    """Bars that do not swing in rounds, each coped only against bars of rounds before it.

    Bars that are on the vehicle already are not put up: the others find their way in among them.
    """
    bars = {t.name: t.made for t in all_.all if isinstance(t.made, BuiltBar) and not t.rides}
    needs = {n: [*b.start.against, *b.finish.against] for n, b in bars.items() if not b.stands}
    standing, out = [n for n, b in bars.items() if b.stands], list[list[Placing]]()
    hulls = {n: _own(all_, n, k) for k, n in enumerate(bars)}
    names = list(bars)
    for ready in rounds(needs):
        placed = []
        for name in ready:
            placed.append(_place(all_, hulls, (name, standing), names))
            standing.append(name)
        out.append(placed)
    return out


def _own(all_: Things, name: str, owner: int) -> Hulls:
    return owned(all_.fine.of(all_.index[name]), owner)


def _place(
    all_: Things, hulls: dict[str, Hulls], at: tuple[str, list[str]], names: list[str]
) -> Placing:
    """One bar among those standing."""
    name, standing = at
    near = [n for n in standing if _near(hulls[name], hulls[n])]
    if not near:
        return Placing(name=name, comes=(0.0, 0.0, 1.0))
    rest = joined(*(hulls[n] for n in near))
    ways = _ways(all_, name)
    found = entries(hulls[name], rest, ways, slack=SLACK, until=FAR)
    if np.isinf(found.first).any():
        return Placing(name=name, comes=point(ways[int(np.isinf(found.first).argmax())]))
    best = int(found.first.argmax())
    return Placing(name=name, comes=None, blocked_by=(names[rest.owner[found.by[best]]],))


def _near(a: Hulls, b: Hulls) -> bool:
    low, high = a.low.min(axis=0) - FAR, a.high.max(axis=0) + FAR
    return bool(((b.low <= high) & (b.high >= low)).all(axis=1).any())


def _ways(all_: Things, name: str) -> Floats:
    """Along the receivers at either end, square to bar and receiver, along the bar, up."""
    bar = all_.named(name).made
    assert isinstance(bar, BuiltBar)  # noqa: S101 - asked for bars only
    rows = [np.array([0.0, 0.0, 1.0])]
    for end in (bar.start, bar.finish):
        along = np.array(end.along)
        for other in end.against:
            receiver = all_.named(other).made
            way = _way_at(receiver, end.origin) if isinstance(receiver, BuiltBar) else along
            square = cross(along, way)
            rows += [way, *([square / np.linalg.norm(square)] if square.any() else [])]
        rows.append(-along)
    rows += [np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])]
    return both(np.array(rows))


def _way_at(bar: BuiltBar, at: Point) -> Floats:
    """The receiver's own direction where it is met."""
    from barwright.geometry.path import length, point_at, tangent_at

    s = np.linspace(0.0, length(bar.centreline), 200)
    k = int(np.linalg.norm(point_at(bar.centreline, s) - at, axis=1).argmin())
    return np.asarray(tangent_at(bar.centreline, s[[k]])[0])
