"""Will it fit the first time? The chance, what decides it, and what to do about it.

The survey's covariance and the shop's tolerances are carried by Monte Carlo to every gap that
matters. Each gap is linear in all of them (derivatives at the parts as designed); which builds
fit is decided build by build, with the largest and least of the gaps and the parts' free moves,
which are not linear. `FirstFit.leaves_out` says what is not in the number.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.fits.chance_advice import advise
from barwright.fits.chance_draw import Builds, draw, draw_each, error_of
from barwright.fits.chance_findings import findings
from barwright.fits.chance_gaps import gaps_of, told
from barwright.fits.chance_models import Whole, whole_of
from barwright.fits.chance_result import FirstFit, Gap, PartChance, Source
from barwright.fits.gaps import Doubt, Model, fit
from barwright.fits.gaps_swing import Built
from barwright.geometry.convex import Bools
from barwright.job.schema import Job
from barwright.plates.part import Parts
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion, Swing
from barwright.tubes.bars import Bars

SEED = 7
TARGET = 0.95
"""The chance that the advice aims at."""
SHARE_OF_SAMPLES = 8
"""Parts outside the whole are judged by one build in so many: their own error is stated."""
LEAVES_OUT = (
    "readings that are wrong rather than doubtful, and second answers of the survey",
    "mistakes: a part mirrored, a mark confused, a cope cut on the wrong end",
    "a tube that is not round or straight, and a bar sprung into place",
    "the frame moving while it is welded, beyond the tolerances given for tack and weld",
    "plates welded to one another: tabs in slots, folds that meet",
    "leaf parts other than the narrowest place of the swing as designed",
)


def first_fit(  # noqa: PLR0917 - the stages of the route, in its order
    job: Job,
    marks: Marks,
    bars: Bars,
    motions: tuple[Motion, ...],
    parts: Parts,
    swings: tuple[Swing, ...],
    *,
    samples: int = 20_000,
    seed: int = SEED,
) -> FirstFit:
    """The chance of first-time fit.

    Args:
        job: its [tolerance], [fit] and fittings' tables are read.
        marks: the survey with its covariance.
        bars: every tube.
        motions: how the leaves move.
        parts: plates and hardware.
        swings: what each leaf meets.
        samples: how many builds are drawn for the whole; an eighth of it for other parts.
        seed: of the random numbers; the same seed gives the same answer.

    Raises:
        BadInput: a fitting's parameter cannot be used.
    """
    built = Built(job=job, marks=marks, bars=bars, parts=parts)
    whole = whole_of(built, motions, swings)
    if not whole.counting:
        return _nothing(whole, samples, seed)
    builds = draw(whole.counting, marks, samples, seed)
    fits, each = tried(builds)
    chance = float(fits.mean())
    others = _others(whole, marks, samples // SHARE_OF_SAMPLES, seed)
    advice = advise(built, builds, target=TARGET)
    models = (*whole.counting, *whole.others)
    return FirstFit(
        chance=chance,
        sampling_error=error_of(chance, samples),
        trimmed=max(advice.trimmed, chance),
        about=whole.about,
        gaps=(*gaps_of(builds, marks), *others.gaps),
        parts=(*_parts(each, counts=True), *_parts(others.fits, counts=False)),
        decides=advice.decides,
        measure_again=advice.measure_again,
        trim_to_leave=advice.trim_to_leave,
        open_gap=advice.open_gap,
        target=TARGET,
        sources=_sources(models),
        notes=tuple(dict.fromkeys((*whole.notes, *(n for m in models for n in m.notes)))),
        leaves_out=LEAVES_OUT,
        samples=samples,
        seed=seed,
    )


def tried(builds: Builds) -> tuple[Bools, dict[str, Bools]]:
    """(n,) which builds fit as a whole, and which of each part by its name."""
    each = {
        m.name: np.concatenate([fit(m, builds.values(m, some)) for some in builds.blocks()])
        for m in builds.models
    }
    return np.all(list(each.values()), axis=0), each


@dataclass(frozen=True, kw_only=True, eq=False)
class _Others:
    """Parts outside the whole: their gaps, and which builds of each fit."""

    gaps: tuple[Gap, ...]
    fits: dict[str, Bools]


def _others(whole: Whole, marks: Marks, samples: int, seed: int) -> _Others:
    """Each part outside the whole, judged by itself."""
    each = draw_each(whole.others, marks, max(samples, 1), seed + 1)
    found = [(builds.models[0].name, *told(builds, marks)) for builds in each]
    return _Others(
        gaps=tuple(gap for _, gaps, _ in found for gap in gaps),
        fits={name: fits for name, _, fits in found},
    )


def _parts(each: dict[str, Bools], *, counts: bool) -> tuple[PartChance, ...]:
    return tuple(
        PartChance(
            name=name,
            chance=float(fits.mean()),
            sampling_error=error_of(float(fits.mean()), len(fits)),
            counts=counts,
        )
        for name, fits in each.items()
    )


def _nothing(whole: Whole, samples: int, seed: int) -> FirstFit:
    why = "; ".join(whole.notes) or "no bar is coped against another, and no leaf has fittings"
    return FirstFit(chance=None, why=f"Nothing to fit: {why}.", samples=samples, seed=seed)


def _sources(models: tuple[Model, ...]) -> tuple[Source, ...]:
    """Each figure once, at its largest."""
    most: dict[str, Doubt] = {}
    for doubt in (d for m in models for d in m.doubts):
        if doubt.kind not in most or most[doubt.kind].sd < doubt.sd:
            most[doubt.kind] = doubt
    return tuple(
        Source(name=k, sd=d.sd, unit="rad" if k in ANGLES else "mm", source=d.source)
        for k, d in most.items()
    )


ANGLES = frozenset({"bend_angle", "bend_turn", "weld_turn"})
"""The figures of [tolerance] that are angles."""

__all__ = ["FirstFit", "findings", "first_fit"]
