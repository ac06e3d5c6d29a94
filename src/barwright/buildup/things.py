"""Everything that is put together, by name: bars, plates and hardware; what is welded to what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from barwright.buildup.fine import fine_hulls, mirrors_of, with_twins
from barwright.buildup.hulls import Hulls, hulls_of
from barwright.buildup.touching import Contacts, joined, touching
from barwright.geometry.convex import Ints
from barwright.geometry.solids import Body
from barwright.geometry.vectors import Floats
from barwright.plates.part import Hardware, Part, Parts
from barwright.plates.solids import body_of as body_of_part
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar
from barwright.tubes.bodies import body_of as body_of_bar

Pair = tuple[str, str]
WELDED = 2.0
"""Parts said to be welded are joined where they come this near to one another [mm]."""
HELD = 0.45
"""Parts this near hold one another [mm]: half the play of a bolt in its hole or a tab in a slot."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Thing:
    """One part.

    Attributes:
        name: unique in the job.
        made: the bar, plate or hardware it is.
        rides: the leaf it swings with; empty when it stands still.
    """

    name: str
    made: BuiltBar | Part | Hardware
    rides: str = ""

    @cached_property
    def body(self) -> Body:
        """Its solids, never smaller than the part."""
        if isinstance(self.made, BuiltBar):
            return body_of_bar(self.made)
        return body_of_part(self.made) if isinstance(self.made, Part) else self.made.body

    @property
    def kind(self) -> str:
        """One of "bar", "plate" and "hardware"."""
        if isinstance(self.made, BuiltBar):
            return "bar"
        return "plate" if isinstance(self.made, Part) else "hardware"

    @property
    def twin_of(self) -> str:
        """What it mirrors; empty for what the job itself says."""
        return self.made.twin_of


@dataclass(frozen=True, kw_only=True, eq=False)
class Things:
    """All parts, with how they go together.

    Attributes:
        all: bars, then plates, then hardware.
        welded: pairs that are welded to one another, in alphabetical order each.
        meant: pairs whose solids may overlap, since one goes through the other.
        motions: how the leaves move.
    """

    all: tuple[Thing, ...]
    welded: frozenset[Pair]
    meant: frozenset[Pair]
    motions: tuple[Motion, ...] = ()

    def named(self, name: str) -> Thing:
        """The part of that name.

        Raises:
            KeyError: there is none.
        """
        return self.all[self.index[name]]

    @cached_property
    def hulls(self) -> Hulls:
        """All bodies as hulls: never smaller than the parts; `owner` counts `all`."""
        own = hulls_of(self.all[k].body for k in np.flatnonzero(self.mirrors < 0).tolist())
        return with_twins(own, self.mirrors)

    @cached_property
    def fine(self) -> Hulls:
        """All parts as they truly are, with copes, bores and holes; `owner` counts `all`."""
        return fine_hulls([t.made for t in self.all], self.mirrors)

    @cached_property
    def touching(self) -> Contacts:
        """Where parts touch or overlap: what is welded within 2 mm, all else but bars in a hair."""
        bars = np.array([t.kind == "bar" for t in self.all], dtype=bool)
        p, q = np.triu_indices(len(bars), 1)
        welded = np.zeros((len(bars), len(bars)), dtype=bool)
        for one, other in self.welded:
            welded[self.index[one], self.index[other]] = True
        tied, some = (welded | welded.T)[p, q], ~(bars[p] & bars[q])
        pairs = np.column_stack([p, q])
        return joined(
            touching(self.fine, self.mirrors, pairs[some & tied], WELDED),
            touching(self.fine, self.mirrors, pairs[some & ~tied], HELD),
        )

    @cached_property
    def middles(self) -> tuple[Floats, Floats]:
        """The sum of the middles of each part's hulls, shape (n, 3) [mm], and how many they are."""
        total = np.zeros((len(self.all), 3))
        np.add.at(total, self.hulls.owner, self.hulls.corners.mean(axis=1))
        return total, np.bincount(self.hulls.owner, minlength=len(total)).astype(float)

    @cached_property
    def mirrors(self) -> Ints:
        """Which of all each one mirrors to the last digit; -1 for none, shape (n,)."""
        return mirrors_of([t.made for t in self.all])

    @cached_property
    def index(self) -> dict[str, int]:
        """Where each is in `all`."""
        return {t.name: i for i, t in enumerate(self.all)}


def things(bars: Bars, parts: Parts, motions: tuple[Motion, ...]) -> Things:
    """Everything that is put together.

    Args:
        bars: the tubes; one is welded to what it is coped against.
        parts: plates and hardware; they say what they are welded to and what they may touch.
        motions: how the leaves move.
    """
    riders = {name: m.leaf for m in motions for name in m.bars}
    found = [Thing(name=b.name, made=b, rides=riders.get(b.name, "")) for b in bars.bars]
    found += [Thing(name=p.name, made=p, rides=p.rides) for p in parts.parts]
    found += [Thing(name=h.name, made=h, rides=h.rides) for h in parts.hardware]
    there, hardware = {t.name for t in found}, {h.name for h in parts.hardware}
    copes = {pair(b.name, o) for b in bars.bars for e in (b.start, b.finish) for o in e.against}
    joins = {pair(*p) for p in parts.joins}
    return Things(
        all=tuple(found),
        welded=frozenset(
            p for p in copes | joins if there >= {*p}
        ),  # what could not be made is not
        meant=frozenset(p for p in {pair(*p) for p in parts.intended} | joins if hardware & {*p}),
        motions=motions,
    )


def pair(a: str, b: str) -> Pair:
    """Two names in alphabetical order."""
    return (a, b) if a <= b else (b, a)


def groups(all_: Things, names: Iterable[str]) -> list[tuple[str, ...]]:
    """Which of some parts are one piece once welded, the largest piece first."""
    left, pieces = dict.fromkeys(names), []
    near: dict[str, list[str]] = {name: [] for name in left}
    for one, other in all_.welded:
        near.setdefault(one, []).append(other)
        near.setdefault(other, []).append(one)
    while left:
        piece, todo = [], [next(iter(left))]
        del left[todo[0]]
        while todo:
            piece.append(todo.pop())
            todo += [n for n in near[piece[-1]] if n in left]
            for n in near[piece[-1]]:
                left.pop(n, None)
        pieces.append(tuple(piece))
    return sorted(pieces, key=lambda p: (-len(p), p))


__all__ = ["Pair", "Thing", "Things", "groups", "pair", "things"]
