"""Which gaps have to come out right, and what each hangs on: the linear form of a part's fit.

A part fits when every one of its rows lies within its limits,

    low_r <= nominal_r + S_r d + T_r e + slide_r t <= high_r,

with d how the marks truly stand off their estimates [mm], e the errors of making, and t one
free move of the part (a bar slid along itself, a leaf slid from hinge toward latch) that is
chosen after the fact so that the worst of both ends is shared. S and T are derivatives at the
parts as designed: first order, good while the doubts are small against the tubes' radii.
"""

from __future__ import annotations

from dataclasses import dataclass
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
    least, most = travel(model, values)
    t = np.where(np.isfinite(least) & np.isfinite(most), 0.5 * (least + most), 0.0)
    moved = values + model.slide.astype(values.dtype)[:, None] * t
    up = np.isfinite(model.high)
    inside = []
    for k in range(len(model.gaps)):
        low, high = model.gap_of == k, (model.gap_of == k) & up
        good = np.all(moved[low] >= _column(model.low[low] - 1e-4, values), axis=0)
        good &= np.all(moved[high] <= _column(model.high[high] + 1e-4, values), axis=0)
        inside.append(good)
    by_gap = np.array(inside)
    return Judged(fits=np.all(by_gap, axis=0), by_gap=by_gap, slid=t)


def fit(model: Model, values: Reals) -> NDArray[np.bool_]:
    """(n,) whether builds fit, as `judged` but without telling the gaps apart."""
    still = model.slide == 0.0
    least, most = travel(model, values)
    held = values[still]
    inside = (held >= _column(model.low[still] - 1e-4, values)) & (
        held <= _column(model.high[still] + 1e-4, values)
    )
    return np.asarray((least <= most + 1e-4) & np.all(inside, axis=0))


def travel(model: Model, values: Reals) -> tuple[Reals, Reals]:
    """Least and most slide (n,) [mm] that keeps every sliding row within its limits."""
    slides = model.slide != 0.0
    if not np.any(slides):
        return np.full(values.shape[1], -np.inf, values.dtype), np.full_like(values[0], np.inf)
    per = _column(1.0 / np.where(slides, model.slide, np.inf), values)
    ends = np.where(slides, (model.low, model.high), ((-np.inf,), (np.inf,)))
    low, high = (_column(end, values) * np.where(slides[:, None], per, 1.0) for end in ends)
    backward = model.slide[:, None] < 0.0
    low, high = np.where(backward, high, low), np.where(backward, low, high)
    scaled = values * per
    return (low - scaled).max(axis=0), np.subtract(high, scaled, out=scaled).min(axis=0)


def _column(limits: Floats, like: Reals) -> Reals:
    return limits.astype(like.dtype)[:, None]
