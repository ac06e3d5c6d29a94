"""Each gap by itself: where it is tightest, how much it spreads, and what that consists of."""

from __future__ import annotations

import numpy as np

from barwright.fits.chance_draw import Builds
from barwright.fits.chance_result import Gap, Share
from barwright.fits.gaps import Judged, Model, Reals, judged
from barwright.survey.marks import Marks

LEAST_SHARE = 0.005
"""Smaller shares are gathered as "other"."""


def gaps_of(builds: Builds, marks: Marks) -> tuple[Gap, ...]:
    """Every gap of every part of some builds."""
    return tuple(gap for model in builds.models for gap in _of_part(builds, model, marks))


def _of_part(builds: Builds, model: Model, marks: Marks) -> list[Gap]:
    some = builds.blocks()[0]  # enough for a spread; chances by themselves are for guidance
    values = builds.values(model, some)
    found = judged(model, values)
    return [_gap(builds, model, marks, k, values, found) for k in range(len(model.gaps))]


def _gap(  # noqa: PLR0917 - what it is worked out from
    builds: Builds, model: Model, marks: Marks, k: int, values: Reals, found: Judged
) -> Gap:
    gap = model.gaps[k]
    row = _tightest(builds, model, k)
    spread = float(np.std(values[row] + model.slide[row] * found.slid))
    return Gap(
        name=gap.name,
        subject=gap.subject,
        part=model.name,
        nominal=float(model.nominal[row]),
        low=gap.low,
        high=gap.high,
        sd=spread,
        chance=float(found.by_gap[k].mean()),
        shares=_shares(builds, model, marks, row),
        source=gap.source,
    )


def _tightest(builds: Builds, model: Model, k: int) -> int:
    """The row of a gap that is the fewest sd from a limit."""
    rows = np.flatnonzero(model.gap_of == k)
    sd = np.sqrt(np.maximum([_variance(builds, model, int(r)) for r in rows], 1e-12))
    room = np.minimum(model.nominal[rows] - model.low[rows], model.high[rows] - model.nominal[rows])
    return int(rows[np.argmin(room / sd)])


def _variance(builds: Builds, model: Model, row: int) -> float:
    s, at = model.on_marks[row], builds.where(model)
    return float(
        s @ builds.covariance[np.ix_(at, at)] @ s + model.on_doubts[row] @ model.on_doubts[row]
    )


def _shares(builds: Builds, model: Model, marks: Marks, row: int) -> tuple[Share, ...]:
    """By mark and by process; a mark's share is its term of S Q Sᵀ, correlations halved."""
    s, at = model.on_marks[row], builds.where(model)
    by_column = s * (builds.covariance[np.ix_(at, at)] @ s)
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
