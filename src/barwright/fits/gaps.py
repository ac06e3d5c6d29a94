"""Which gaps have to come out right, and what each hangs on: the linear form of a part's fit.

A part fits when every one of its rows lies within its limits,

    low_r <= nominal_r + S_r d + T_r e + slide_r t <= high_r,

with d how the marks truly stand off their estimates [mm], e the errors of making, and t one
free move of the part (a bar slid along itself, a leaf slid from hinge toward latch) that is
chosen after the fact so that the worst of both ends is shared. S and T are derivatives at the
parts as designed: first order, good while the doubts are small against the tubes' radii.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats

Reals: TypeAlias = NDArray[np.floating[Any]]
"""Numbers of many builds, in single precision where there are many."""

SLIDES = 0.12
"""A cope's row whose gap takes less than this share of a slide counts as not sliding at all:
where its edge runs nearly along the receiver's surface. Makers of models set it to nothing."""


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """One error of making, independent of every other, normal about nothing.

    Attributes:
        kind: the process, the name of its figure in [tolerance]: "saw".
        what: where: "rail, from".
        sd: one standard deviation [mm or rad].
        source: where the figure comes from.
    """

    kind: str
    what: str
    sd: float
    source: str


@dataclass(frozen=True, kw_only=True)
class GapOf:
    """A gap as designed.

    Attributes:
        name: what it is: "rail at A against post".
        subject: what it belongs to: "bar.rail", "leaf.side.latch".
        low, high: what it may be [mm]; infinite where there is no bound.
        source: of those bounds.
        opens_by: which figure of the job opens it: "striker adjust"; empty for none.
    """

    name: str
    subject: str
    low: float
    high: float
    source: str
    opens_by: str = ""


@dataclass(frozen=True, kw_only=True, eq=False)
class Model:
    """One part's fit in linear form.

    Attributes:
        name: of the bar or the leaf.
        bar: which bar is trimmed to make it fit, empty for none.
        gaps: its gaps, g of them.
        gap_of: (rows,) which gap each row belongs to.
        nominal: (rows,) as designed and as the survey has it [mm].
        low, high: (rows,) limits [mm].
        slide: (rows,) how a row opens with the part's free move.
        marks: (m,) numbers of the marks it hangs on.
        on_marks: (rows, 3m) S, by x, y, z of each mark.
        doubts: the errors of making, e of them.
        on_doubts: (rows, e) T times each error's sd.
        notes: what was assumed.
    """

    name: str
    bar: str
    gaps: tuple[GapOf, ...]
    gap_of: NDArray[np.intp]
    nominal: Floats
    low: Floats
    high: Floats
    slide: Floats
    marks: NDArray[np.intp]
    on_marks: Floats
    doubts: tuple[Doubt, ...]
    on_doubts: Floats
    notes: tuple[str, ...] = ()

    @property
    def columns(self) -> NDArray[np.intp]:
        """(3m,) the columns of its marks in the survey's covariance."""
        return np.asarray((3 * self.marks[:, None] + np.arange(3)).ravel())

    @cached_property
    def still(self) -> NDArray[np.intp]:
        """The rows that do not slide."""
        return np.flatnonzero(self.slide == 0.0)

    @cached_property
    def per_slide(self) -> tuple[Floats, Floats, Floats]:
        """(rows,) each: 1 / slide, and the limits by it, the lesser first; none for still rows."""
        slides = self.slide != 0.0
        per = 1.0 / np.where(slides, self.slide, np.inf)
        ends = np.where(slides, (self.low, self.high), ((-np.inf,), (np.inf,)))
        ends = np.sort(ends * np.where(slides, per, 1.0), axis=0)
        return per, ends[0], ends[1]


@dataclass(frozen=True, kw_only=True, eq=False)
class Judged:
    """Which of some builds of a part fit.

    Attributes:
        fits: (n,) the part fits.
        by_gap: (gaps, n) each gap is within its limits once the slide is shared.
        slid: (n,) where the part is slid to: the middle of what its rows allow [mm].
    """

    fits: NDArray[np.bool_]
    by_gap: NDArray[np.bool_]
    slid: Reals


def judged(model: Model, values: Reals) -> Judged:
    """Hold built rows against their limits, the part slid to where it fits best.

    Args:
        model: the part.
        values: (rows, n) every row of every build, before any slide [mm].
    """
    t = slid(model, values)
    moved = values + _column(model.slide, values) * t
    good = moved >= _column(model.low - 1e-4, values)
    good &= moved <= _column(model.high + 1e-4, values)
    by_gap = np.array([np.all(good[model.gap_of == k], axis=0) for k in range(len(model.gaps))])
    return Judged(fits=np.all(by_gap, axis=0), by_gap=by_gap, slid=t)


def slid(model: Model, values: Reals) -> Reals:
    """(n,) where builds of a part are slid to: the middle of what its rows allow [mm]."""
    least, most = travel(model, values)
    return np.where(np.isfinite(least) & np.isfinite(most), 0.5 * (least + most), 0.0)


def fit(model: Model, values: Reals) -> NDArray[np.bool_]:
    """(n,) whether builds fit, as `judged` but without telling the gaps apart."""
    least, most = travel(model, values)
    good = least <= most + 1e-4
    at = model.still
    for held, low, high in zip(
        values[at], model.low[at].tolist(), model.high[at].tolist(), strict=True
    ):
        good &= held >= low - 1e-4
        if high < math.inf:
            good &= held <= high + 1e-4
    return np.asarray(good)


def travel(model: Model, values: Reals) -> tuple[Reals, Reals]:
    """Least and most slide (n,) [mm] that keeps every sliding row within its limits."""
    if len(model.still) == len(model.slide):
        return np.full(values.shape[1], -np.inf, values.dtype), np.full_like(values[0], np.inf)
    per, low, high = (_column(x, values) for x in model.per_slide)
    scaled = values * per
    return (low - scaled).max(axis=0), np.subtract(high, scaled, out=scaled).min(axis=0)


def _column(limits: Floats, like: Reals) -> Reals:
    return limits.astype(like.dtype)[:, None]
