"""What do a coped bar's gaps hang on? From the marks, the saw and the bender to both saddles.

The bar is made as drawn but for the shop's errors, and set where its saddles sit best on the
tubes as they truly are: by least squares, all ways a rigid piece can move. Hands and tacks then
set it off a little, and it is slid to share its gaps between both ends. A gap is measured square
to the receiver, from the tube's wall to its surface.
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
from barwright.geometry.vectors import Floats, square_to, unit
from barwright.job.schema import Job
from barwright.job.tolerance_schema import Tolerance
from barwright.survey.marks import Marks
from barwright.tubes.bars import Bars, BuiltBar, End

EVERY = 15
"""Whole degrees between the places round the tube where a saddle's gap is looked at."""
ALSO = 3.0
"""A second receiver this near [mm] at a place could bind there."""
OFF_MARKS = 0.1
"""What leaving its marks by a millimetre counts while a bar is seated, as gap all round [mm]:
no fitter lifts a bar a hand's breadth to where leaning posts stand closer."""
BY_HAND = frozenset({"placing", "tack"})
"""Errors of setting the bar, made after its saddles have found their place."""


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
    rig = _Rig(bar, saddles)
    used, on_marks = _on_marks(rig, marks, corners(job.bar[bar.name]))
    made = [(d, rows) for d, rows in _made(bar, rig, t) if d.sd > 0.0]
    on_doubts = np.stack([rows for _, rows in made], axis=1) if made else np.zeros((rig.count, 0))
    slide = rig.normal @ _free(saddles)
    seated = _seated(rig)
    set_by_hand = np.array([d.kind in BY_HAND for d, _ in made], dtype=bool)
    return Model(
        name=bar.name,
        bar=bar.name,
        gaps=tuple(_gap(bar, s, t) for s in saddles),
        gap_of=rig.which,
        nominal=np.concatenate([s.gap for s in saddles]),
        low=np.full(rig.count, -t.file),
        high=np.where(rig.rules, t.weld_gap, np.inf),
        slide=np.where(np.abs(slide) < SLIDES, 0.0, slide),
        marks=used,
        on_marks=seated @ on_marks,
        doubts=tuple(doubt for doubt, _ in made),
        on_doubts=np.where(set_by_hand, on_doubts, seated @ on_doubts),
    )


class _Rig:
    """A bar's rows of both ends together, and how they open when its ends are set aside.

    Attributes:
        saddles: the ends that are coped.
        first, final, way, long: the line from the bar's first point to its last.
        radius: of the bar.
        points, normal: (p, 3) of all rows.
        which: (p,) the saddle of each row; rules, last: as in the saddles.
        by_first, by_final: (p, 3) how each row opens as either end of the line is set aside by a
            vector square to it, the bar turning as one piece.
    """

    def __init__(self, bar: BuiltBar, saddles: list[_Saddle]) -> None:
        self.saddles = saddles
        self.first, self.final = np.array(bar.start.origin), np.array(bar.finish.origin)
        self.radius = bar.radius
        self.long = float(np.linalg.norm(self.final - self.first))
        self.way = (self.final - self.first) / self.long
        self.points = np.concatenate([s.points for s in saddles])
        self.normal = np.concatenate([s.normal for s in saddles])
        self.rules = np.concatenate([s.rules for s in saddles])
        self.which = np.repeat(np.arange(len(saddles)), [len(s.gap) for s in saddles])
        self.last = np.array([s.last for s in saddles])[self.which]
        self.count = len(self.points)
        off = self.points - self.first
        share = (off @ self.way)[:, None] / self.long
        tips = (self.normal @ self.way)[:, None] * (off - share * self.long * self.way) / self.long
        self.by_first = (1.0 - share) * self.normal + tips
        self.by_final = share * self.normal - tips

    def along(self, moves: Floats) -> Floats:
        """Moves (p, 3) as openings of the gaps (p,)."""
        return np.asarray(np.einsum("pk,pk->p", self.normal, moves))


def _on_marks(rig: _Rig, marks: Marks, own: tuple[str, ...]) -> tuple[NDArray[np.intp], Floats]:
    """The marks' numbers (m,), and (p, 3m): the bar goes with its end marks, the receiver with its.

    Along itself the bar is set midway between what its two marks say.
    """
    ends = [marks.names.index(own[0]), marks.names.index(own[-1])]
    carriers = np.concatenate([s.carriers for s in rig.saddles])
    weights = np.concatenate([s.weights for s in rig.saddles])
    used = np.unique([*ends, *carriers.ravel()]).astype(np.intp)
    out = np.zeros((rig.count, len(used), 3))
    middle = np.outer(rig.way, rig.way)
    for end, by in zip(ends, (rig.by_first, rig.by_final), strict=True):
        moved = by @ (np.eye(3) - middle) + rig.normal @ middle / 2.0
        out[:, np.searchsorted(used, end)] += moved
    rows = np.arange(rig.count)
    for c in range(2):
        where = np.searchsorted(used, carriers[:, c])
        out[rows, where] -= weights[:, c, None] * rig.normal
    return used, out.reshape(rig.count, -1)


def _free(saddles: list[_Saddle]) -> Floats:
    """The way a bar is pushed to share its gaps: along itself, or down for a hoop on two feet."""
    first, last = (np.array(s.end.along) for s in (saddles[0], saddles[-1]))
    if len(saddles) == 1:
        return first
    apart, together = first - last, first + last
    longer = apart if np.linalg.norm(apart) >= np.linalg.norm(together) else together
    return unit(longer)


Made = Iterator[tuple[Doubt, Floats]]
"""Errors of making, and what one sd of each does to all rows (p,)."""


def _made(bar: BuiltBar, rig: _Rig, t: Tolerance) -> Made:
    yield from _cut(bar, rig, t)
    yield from _set(bar, rig, t)
    yield from _bent(bar, rig, t)


def _cut(bar: BuiltBar, rig: _Rig, t: Tolerance) -> Made:
    """Each cope is cut a little long or short, and turned about the tube."""
    for k, here in enumerate(rig.saddles):
        where, at = f"{bar.name} at {here.end.mark}", rig.which == k
        along = np.array(here.end.along)
        turned = np.cross(along, rig.points - np.array(here.end.origin))
        yield doubt_of("saw", where, t), at * (rig.normal @ along) * t.saw
        yield doubt_of("cope_turn", where, t), at * rig.along(turned) * t.cope_turn / bar.radius


def _set(bar: BuiltBar, rig: _Rig, t: Tolerance) -> Made:
    """Each end is set aside of its mark, and pulled by its tacks."""
    side = square_to(rig.way)
    for kind, sd in (("placing", t.placing), ("tack", t.tack)):
        for end, by in ((bar.start, rig.by_first), (bar.finish, rig.by_final)):
            for way, word in ((side, "one way"), (np.cross(rig.way, side), "the other")):
                yield doubt_of(kind, f"{bar.name} at {end.mark}, {word}", t), by @ way * sd


def _bent(bar: BuiltBar, rig: _Rig, t: Tolerance) -> Made:
    """Each bend's errors; the bar is then turned back so that its ends are in line again."""
    for warp in warps(bar, t):
        gone = warp.moves(rig.final)
        back = gone - (gone @ rig.way) * rig.way
        yield warp.doubt, rig.last * rig.along(warp.moves(rig.points)) - rig.by_final @ back


def _seated(rig: _Rig) -> Floats:
    """(rows, rows): takes out of any move what seating the bar mends.

    A saddle finds its own place on a tube: the bar is moved as one piece, all six ways, to where
    its gaps and what it has then left its marks by, at `OFF_MARKS`, are least squares.
    """
    side = square_to(rig.way)
    axes = np.array([rig.way, side, np.cross(rig.way, side)])
    off = rig.points - 0.5 * (rig.first + rig.final)
    levers = np.array([rig.radius, rig.long / 2.0, rig.long / 2.0])
    turns = np.cross(off, rig.normal) @ axes.T / levers
    moves = np.concatenate([rig.normal @ axes.T, turns], axis=1)
    kept = moves * rig.rules[:, None]
    still = OFF_MARKS**2 * float(np.count_nonzero(rig.rules)) * np.eye(6)
    mend = np.linalg.solve(kept.T @ kept + still, kept.T)
    return np.asarray(np.eye(rig.count) - moves @ mend)


def _gap(bar: BuiltBar, s: _Saddle, t: Tolerance) -> GapOf:
    return GapOf(
        name=f"{bar.name} at {s.end.mark} against {', '.join(s.end.against)}",
        subject=f"bar.{bar.name}",
        low=-t.file,
        high=t.weld_gap,
        source=t.source_of("weld_gap"),
    )
