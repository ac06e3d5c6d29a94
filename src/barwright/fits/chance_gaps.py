"""Each gap by itself: where it is tightest, how much it spreads, and what that consists of."""

from __future__ import annotations

import numpy as np

from barwright.fits.chance_draw import Builds
from barwright.fits.chance_result import Gap, Share
from barwright.fits.gaps import Judged, Model, Reals, judged
from barwright.geometry.convex import Bools
from barwright.geometry.vectors import Floats
from barwright.survey.marks import Marks

LEAST_SHARE = 0.005
"""Smaller shares are gathered as "other"."""


def gaps_of(builds: Builds, marks: Marks) -> tuple[Gap, ...]:
    """Every gap of every part of some builds."""
    some = builds.blocks()[0]  # enough for a spread; chances by themselves are for guidance
    return tuple(
        gap
        for model in builds.models
        for gap in _of_part(builds, model, marks, builds.values(model, some))[0]
    )


def told(builds: Builds, marks: Marks) -> tuple[list[Gap], Bools]:
    """The gaps of the one part that was built, and which of its builds fit (n,)."""
    model = builds.models[0]
    gaps, found = _of_part(builds, model, marks, builds.values(model))
    return gaps, found.fits


def _of_part(builds: Builds, model: Model, marks: Marks, values: Reals) -> tuple[list[Gap], Judged]:
    found = judged(model, values)
    at = builds.where(model)
    told = model.on_marks @ builds.covariance[np.ix_(at, at)]
    spread = _spreads(model, told)
    rows = [_tightest(model, spread, k) for k in range(len(model.gaps))]
    return [_gap(model, marks, row, told[row], values[row], found) for row in rows], found


def _gap(  # noqa: PLR0917 - what it is worked out from
    model: Model, marks: Marks, row: int, told: Floats, values: Reals, found: Judged
) -> Gap:
    k = int(model.gap_of[row])
    gap = model.gaps[k]
    spread = float(np.std(values + model.slide[row] * found.slid))
    return Gap(
        name=gap.name,
        subject=gap.subject,
        part=model.name,
        nominal=float(model.nominal[row]),
        low=gap.low,
        high=gap.high,
        sd=spread,
        chance=float(found.by_gap[k].mean()),
        shares=_shares(model, marks, row, told),
        source=gap.source,
    )


def _tightest(model: Model, spread: Floats, k: int) -> int:
    """The row of a gap that is the fewest sd from a limit."""
    rows = np.flatnonzero(model.gap_of == k)
    room = np.minimum(model.nominal - model.low, model.high - model.nominal)[rows]
    return int(rows[np.argmin(room / spread[rows])])


def _spreads(model: Model, told: Floats) -> Floats:
    """One sd (rows,) of every row before any slide: sqrt of the diagonal of S Q Sᵀ + T Tᵀ.

    Args:
        model: the part.
        told: (rows, 3m) S Q.
    """
    variance = (told * model.on_marks).sum(axis=1) + (model.on_doubts**2).sum(axis=1)
    return np.asarray(np.sqrt(np.maximum(variance, 1e-12)))


def _shares(model: Model, marks: Marks, row: int, told: Floats) -> tuple[Share, ...]:
    """By mark and by process; a mark's share is its term of S Q Sᵀ, correlations halved."""
    by_column = model.on_marks[row] * told
    parts: dict[str, float] = {}
    for m, value in zip(model.marks, by_column.reshape(-1, 3).sum(axis=1), strict=True):
        parts[f"mark {marks.names[m]}"] = float(value)
    for doubt, slope in zip(model.doubts, model.on_doubts[row], strict=True):
        parts[doubt.kind] = parts.get(doubt.kind, 0.0) + float(slope) ** 2
    total = sum(parts.values())
    if total <= 0.0:
        return ()
    ranked = sorted(parts.items(), key=lambda item: -item[1])
    shown = [Share(name=n, share=v / total) for n, v in ranked if abs(v) >= LEAST_SHARE * total]
    rest = 1.0 - sum(x.share for x in shown)
    return (*shown, *([Share(name="other", share=rest)] if abs(rest) > 1e-9 else []))
