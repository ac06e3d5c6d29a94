"""What do a coped bar's gaps hang on? From the marks, the saw and the bender to both saddles.

The bar is made as drawn but for the shop's errors, and set with its ends in line with where
their marks truly are; then it is slid along itself and rolled to where both saddles sit best.
A gap is measured square to the receiver, from the tube's wall to its surface.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.fits.gaps import SLIDES, Doubt, GapOf, Model
from barwright.fits.gaps_made import doubt_of, warps
from barwright.fits.gaps_surface import carried, corners, near
from barwright.geometry.cope import Tip
from barwright.geometry.vectors import Floats, square_to
from barwright.job.schema import Job
from barwright.job.tolerance_schema import Tolerance
from barwright.survey.marks import Marks
from barwright.tubes.bars import Bars, BuiltBar, End

EVERY = 15
"""Whole degrees between the places round the tube where a saddle's gap is looked at."""
ALSO = 3.0
"""A second receiver this near [mm] at a place could bind there."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Saddle:
    """The rows of one end.

    Attributes:
        end: which end of the bar.
        last: False for its `from`, True for its `to`.
        points: (p, 3) of the cut [mm].
        gap, normal: (p,) [mm] and (p, 3) to the receiver as designed.
        carriers, weights: (p, 2) the marks that carry the receiver there.
        rules: (p,) whether this receiver is the nearest there, so that the gap counts.
    """

    end: End
    last: bool
    points: Floats
    gap: Floats
    normal: Floats
    carriers: NDArray[np.intp]
    weights: Floats
    rules: NDArray[np.bool_]


def bar_model(job: Job, marks: Marks, bars: Bars, bar: BuiltBar) -> Model | None:
    """A bar's saddles in linear form; None where neither end is coped against a bar.

    Args:
        job: its bars and tolerances are read.
        marks: where the marks are.
        bars: all bars, the receivers among them.
        bar: one written in the job, not a twin.
    """
    ends = ((False, bar.start), (True, bar.finish))
    found = [_saddle(job, marks, bars, bar, end, last=last) for last, end in ends]
    saddles = [s for s in found if s is not None]
    return _assembled(job, marks, bar, saddles) if saddles else None


def _saddle(
    job: Job, marks: Marks, bars: Bars, bar: BuiltBar, end: End, *, last: bool
) -> _Saddle | None:
    known = {b.name: b for b in bars.bars}
    others = [known[n] for n in end.against if n in known and n in job.bar]
    if not others:
        return None
    rims = _rims(bar, end)
    count = rims.shape[1]
    flat = rims.reshape(-1, 3)
    seen = [near(other, flat) for other in others]
    gaps = np.array([s.gap for s in seen]).reshape(len(others), -1, count)
    wall = gaps.argmin(axis=1)  # (receivers, stations): the wall's nearest radius
    least = np.take_along_axis(gaps, wall[:, None], axis=1)[:, 0]
    rules = least == least.min(axis=0)
    rows = rules | (least < ALSO)
    parts = []
    for r, other in enumerate(others):
        pick = (wall[r] * count + np.arange(count))[rows[r]]
        carriers, weights = carried(job.bar[other.name], marks, seen[r].foot[pick])
        parts.append((flat[pick], least[r][rows[r]], seen[r].normal[pick], carriers, weights))
    points, gap, normal, carriers, weights = (
        np.concatenate([p[k] for p in parts]) for k in range(5)
    )
    return _Saddle(
        end=end,
        last=last,
        points=points,
        gap=gap,
        normal=normal,
        carriers=carriers,
        weights=weights,
        rules=np.concatenate([rules[r][rows[r]] for r in range(len(others))]),
    )


def _rims(bar: BuiltBar, end: End) -> Floats:
    """Points of the cut at the bore, in mid-wall and outside, (3, stations, 3) [mm]."""
    tip = Tip(
        origin=end.origin,
        along=end.along,
        zero=end.zero,
        inner=bar.radius - bar.wall,
        outer=bar.radius,
    )
    at = np.arange(0, 360, EVERY)
    spokes = tip.spokes(np.radians(at))
    cut = np.array(end.origin) + end.cope[at][:, None] * np.array(end.along)
    return np.array([cut + r * spokes for r in np.linspace(tip.inner, tip.outer, 3)])


def _assembled(job: Job, marks: Marks, bar: BuiltBar, saddles: list[_Saddle]) -> Model:
    t = job.tolerance
    own = corners(job.bar[bar.name])
    ends = np.array([marks.names.index(own[0]), marks.names.index(own[-1])])
    used = np.unique(np.concatenate([ends, *(s.carriers.ravel() for s in saddles)]))
    place = {int(m): i for i, m in enumerate(used)}
    first, final = np.array(bar.start.origin), np.array(bar.finish.origin)
    chord = _Chord(first=first, final=final)
    on_marks = np.concatenate([_on_marks(s, chord, place, ends) for s in saddles])
    made = _made(bar, saddles, chord, t)
    on_doubts = np.stack([rows for _, rows in made], axis=1)
    slide = np.concatenate([s.normal @ _free(saddles) for s in saddles])
    roll = np.concatenate([_along(s, np.cross(chord.way, s.points - first)) for s in saddles])
    nominal = np.concatenate([s.gap for s in saddles])
    rules = np.concatenate([s.rules for s in saddles])
    sits = _rolled(slide, roll, rules)
    return Model(
        name=bar.name,
        bar=bar.name,
        gaps=tuple(_gap(bar, s, t) for s in saddles),
        gap_of=np.concatenate([np.full(len(s.gap), k) for k, s in enumerate(saddles)]),
        nominal=nominal,
        low=np.full(len(nominal), -t.file),
        high=np.where(rules, t.weld_gap, np.inf),
        slide=np.where(np.abs(slide) < SLIDES, 0.0, slide),
        marks=used.astype(np.intp),
        on_marks=sits @ on_marks,
        doubts=tuple(doubt for doubt, _ in made),
        on_doubts=sits @ on_doubts,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Chord:
    """The line between a bar's ends as drawn."""

    first: Floats
    final: Floats

    @property
    def long(self) -> float:
        return float(np.linalg.norm(self.final - self.first))

    @property
    def way(self) -> Floats:
        return np.asarray((self.final - self.first) / self.long)

    def swung(self, points: Floats, first: Floats, final: Floats) -> Floats:
        """How points (p, 3) of a rigid bar move when its ends are set aside by (3,) each."""
        share = (points - self.first) @ self.way / self.long
        aside = np.outer(1.0 - share, first) + np.outer(share, final)
        off = points - self.first - np.outer(share * self.long, self.way)
        tilt = (final - first) - ((final - first) @ self.way) * self.way
        return np.asarray(aside - np.outer(off @ tilt / self.long, self.way))


def _on_marks(s: _Saddle, chord: _Chord, place: dict[int, int], ends: NDArray[np.intp]) -> Floats:
    """(p, 3m): the bar goes where its end marks are; the receiver where its own marks are."""
    out = np.zeros((len(s.points), len(place), 3))
    rows = np.arange(len(s.points))
    middle = np.outer(chord.way, chord.way) / 2.0
    square = np.eye(3) - 2.0 * middle
    for k in range(3):
        step = np.eye(3)[k]
        for end, first, final in ((0, square @ step, 0 * step), (1, 0 * step, square @ step)):
            moves = chord.swung(s.points, first, final) + middle @ step
            out[:, place[int(ends[end])], k] += _along(s, moves)
    for c in range(2):
        where = np.array([place[int(m)] for m in s.carriers[:, c]])
        np.subtract.at(out, (rows, where), s.weights[:, c, None] * s.normal)
    return out.reshape(len(s.points), -1)


def _along(s: _Saddle, moves: Floats) -> Floats:
    """Moves (p, 3) as openings of the gaps."""
    return np.asarray(np.einsum("pk,pk->p", s.normal, moves))


def _free(saddles: list[_Saddle]) -> Floats:
    """The way a bar is pushed to share its gaps: along itself, or down for a hoop on two feet."""
    ways = np.array([s.normal[s.rules].mean(axis=0) for s in saddles])
    return np.asarray(np.linalg.svd(ways)[2][0])


Moves = list[Floats]
"""How the points (p, 3) of each saddle move [mm]."""


def _made(
    bar: BuiltBar, saddles: list[_Saddle], chord: _Chord, t: Tolerance
) -> list[tuple[Doubt, Floats]]:
    """Every error of making and setting, and what one sd of it does to all rows."""
    found = (*_cut(bar, saddles, t), *_set(bar, saddles, chord, t), *_bent(bar, saddles, chord, t))
    return [
        (doubt, np.concatenate([_along(s, m) for s, m in zip(saddles, moves, strict=True)]))
        for doubt, moves in found
        if doubt.sd > 0.0
    ]


def _cut(bar: BuiltBar, saddles: list[_Saddle], t: Tolerance) -> Iterator[tuple[Doubt, Moves]]:
    """Each cope is cut a little long or short, and turned about the tube."""
    for here in saddles:
        where = f"{bar.name} at {here.end.mark}"
        along = np.array(here.end.along)
        off = here.points - np.array(here.end.origin)
        push = np.broadcast_to(along * t.saw, off.shape)
        turn = np.cross(along * t.cope_turn / bar.radius, off)
        yield doubt_of("saw", where, t), _only(saddles, here, push)
        yield doubt_of("cope_turn", where, t), _only(saddles, here, turn)


def _only(saddles: list[_Saddle], here: _Saddle, moves: Floats) -> Moves:
    return [moves if s is here else np.zeros_like(s.points) for s in saddles]


def _set(
    bar: BuiltBar, saddles: list[_Saddle], chord: _Chord, t: Tolerance
) -> Iterator[tuple[Doubt, Moves]]:
    """Each end is set aside of its mark, and pulled by its tacks."""
    side = square_to(chord.way)
    for kind, sd in (("placing", t.placing), ("tack", t.tack)):
        for end, mark in enumerate((bar.start.mark, bar.finish.mark)):
            for way in (side, np.cross(chord.way, side)):
                ends = [np.zeros(3), np.zeros(3)]
                ends[end] = way * sd
                moves = [chord.swung(s.points, ends[0], ends[1]) for s in saddles]
                yield doubt_of(kind, f"{bar.name} at {mark}", t), moves


def _bent(
    bar: BuiltBar, saddles: list[_Saddle], chord: _Chord, t: Tolerance
) -> Iterator[tuple[Doubt, Moves]]:
    """Each bend's errors; the bar is then turned back so that its ends are in line again."""
    for warp in warps(bar, t):
        gone = warp.moves(chord.final)
        back = gone - (gone @ chord.way) * chord.way
        yield (
            warp.doubt,
            [
                s.last * warp.moves(s.points) - chord.swung(s.points, np.zeros(3), back)
                for s in saddles
            ],
        )


def _rolled(slide: Floats, roll: Floats, rules: NDArray[np.bool_]) -> Floats:
    """(rows, rows): takes out of any move what rolling the bar mends, by least squares."""
    both = np.stack([slide, roll], axis=1)
    weight = rules.astype(float)[:, None]
    if float(np.linalg.norm(roll)) < 1e-6:
        return np.eye(len(slide))
    mend = np.linalg.pinv(both * weight, rcond=1e-6)[1] * weight[:, 0]
    return np.asarray(np.eye(len(slide)) - np.outer(roll, mend))


def _gap(bar: BuiltBar, s: _Saddle, t: Tolerance) -> GapOf:
    return GapOf(
        name=f"{bar.name} at {s.end.mark} against {', '.join(s.end.against)}",
        subject=f"bar.{bar.name}",
        low=-t.file,
        high=t.weld_gap,
        source=t.source_of("weld_gap"),
    )
