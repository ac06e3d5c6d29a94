"""Floor 12: the whole route, from a job to everything that is known about its parts.

Read `stages` like a table of contents: a line or two a stage. Each stage is a pure function of
what it is given and is remembered by it, so that an edit works out again only what it touches.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from functools import lru_cache, partial
from typing import Any

from barwright.buildup.make import buildup as make_buildup
from barwright.buildup.results import Buildup
from barwright.findings import Finding
from barwright.fits.chance import first_fit as chance_of_first_fit
from barwright.fits.chance_findings import findings as first_fit_findings
from barwright.fits.chance_result import FirstFit
from barwright.fits.make import Fits
from barwright.fits.make import fits as make_fits
from barwright.geometry.solids import Body
from barwright.helper import Handed, handed
from barwright.job.schema import Job, Reading
from barwright.plates.make import parts as make_parts
from barwright.plates.part import Parts
from barwright.plates.solids import body_of as body_of_part
from barwright.strength.make import analyse
from barwright.strength.results import Strength
from barwright.survey.check import check as check_survey
from barwright.survey.marks import Marks
from barwright.survey.radii import radius_of, spans_of
from barwright.survey.sides import check_sides
from barwright.survey.solve import solve as adjust
from barwright.swing.check import check as check_swings
from barwright.swing.make import motions as make_motions
from barwright.swing.motion import Motion, Swing
from barwright.swing.passing import Around, passings
from barwright.swing.room import rooms as make_rooms
from barwright.tubes.bars import Bars
from barwright.tubes.bodies import body_of as body_of_bar
from barwright.tubes.make import make as make_bars
from barwright.tubes.trim import trimmed

REMEMBERED = 16
"""How many results of each stage are kept: an undo finds its answer still there."""

Radii = tuple[tuple[str, float], ...]
Arounds = tuple[tuple[str, Around], ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class Build:
    """Everything the route found out about a job, or as far as it has come.

    Attributes:
        job: what was written down.
        marks: where every mark is, and how well that is known.
        bars: every tube with its bends and copes.
        motions: how each leaf moves.
        parts: the plate parts and the hardware.
        swings: what each leaf meets on its way.
        fits: how the hinges' pins, bushings and spacers go together.
        strength: the load cases, what holds, and with what margin.
        buildup: what is in what's way, how it comes apart, in what order it is built.
        first_fit: the chance that it all fits the first time, and what decides it.
        checked: what was checked at each stage done so far, by the name of what it found above.
    """

    job: Job
    marks: Marks
    bars: Bars
    motions: tuple[Motion, ...]
    parts: Parts
    swings: tuple[Swing, ...]
    fits: Fits
    strength: Strength
    buildup: Buildup
    first_fit: FirstFit
    checked: Mapping[str, tuple[Finding, ...]]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was checked, in the order of the route."""
        order = (f.name for f in fields(self))
        return tuple(found for stage in order for found in self.checked.get(stage, ()))

    @property
    def stage(self) -> str:
        """The stage done last, by the name of what it found."""
        return tuple(self.checked)[-1]


def build(job: Job) -> Build:
    """The whole route.

    Args:
        job: as loaded; lengths [mm], angles [rad].

    Raises:
        BadInput: the readings do not hold together, or a table asks for what cannot be.
    """
    *_, whole = stages(job)
    return whole


def stages(job: Job, *, before: Marks | None = None) -> Iterator[Build]:
    """The route stage by stage: what is known after each, the quick ones first; the last is all.

    What has not been reached yet is empty. Who stops asking stops the work.

    Args:
        job: as loaded.
        before: the marks before a value was edited, as `survey.solve` takes them.

    Raises:
        BadInput: as `build`; what came before holds.
    """
    marks = solve(job, before=before)
    yield (known := _begun(job, marks))
    bars = _bars(_only(job, *_OF_BARS), marks)
    motions = _motions(_only(job, "bar", "leaf", "twin"), marks, bars)
    yield (known := _more(known, bars.findings, bars=bars, motions=motions))
    parts = _parts(_only(job, *_ALL_BUT_READINGS), marks, bars, motions)
    together = _buildup(_only(job), bars, parts, motions)
    try:
        yield (known := _more(known, parts.findings, parts=parts))
        known = yield from _rest(known)
        buildup = together()
        yield _more(known, buildup.findings, buildup=buildup)
    finally:
        together.drop()


def _rest(known: Build) -> Generator[Build, None, Build]:
    """The stages from the swings to the strength; what is known after these comes back."""
    job, marks, bars = known.job, known.marks, known.bars
    motions, parts = known.motions, known.parts
    around = _around(bars, parts, motions)
    swings = _swings(motions, around)
    swept = _swing_findings(swings, motions, around)
    rooms = _rooms(_only(job, "leaf"), marks, motions, around)
    yield (known := _more(known, (*swept, *rooms), swings=swings))
    fits = _fits(_only(job, "fit", "leaf", "stock", "bar", "sheet"), parts, motions, marks)
    yield (known := _more(known, fits.findings, fits=fits))
    first = _first_fit(job, marks, bars, motions, parts, swings)
    yield (known := _more(known, first_fit_findings(first), first_fit=first))
    strength = _strength(_only(job, *_ALL_BUT_READINGS), bars, motions, parts)
    yield (known := _more(known, strength.findings, strength=strength))
    return known


def _begun(job: Job, marks: Marks) -> Build:
    """What is known when the marks are; all else is empty."""
    return Build(
        job=job,
        marks=marks,
        bars=Bars(bars=()),
        motions=(),
        parts=Parts(),
        swings=(),
        fits=Fits(),
        strength=Strength(),
        buildup=Buildup(),
        first_fit=FirstFit(chance=None),
        checked={"marks": (*check_survey(marks), *_sides(_only(job, *_OF_SIDES), marks))},
    )


def _more(known: Build, checked: tuple[Finding, ...], **found: Any) -> Build:  # noqa: ANN401
    """What is known with one more stage done, named for the first thing it found."""
    return replace(known, checked={**known.checked, next(iter(found)): checked}, **found)


def solve(job: Job, *, before: Marks | None = None) -> Marks:
    """The first stage alone: where the marks are.

    Args:
        job: as loaded.
        before: as `stages` has it.

    Raises:
        BadInput: the readings do not hold together.
    """
    radii = tuple(sorted(radius_of(job).items()))
    return _marks(job.readings, radii, spans_of(job), _Hint(before))


class _Hint:
    """Marks to begin from; whichever they are, a result that is remembered is the same."""

    def __init__(self, marks: Marks | None) -> None:
        self.marks = marks

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Hint)

    def __hash__(self) -> int:
        return 0


_OF_SIDES = ("readings", "stock", "bar", "leaf", "twin", "tolerance")
_OF_BARS = ("stock", "bender", "bar", "standing", "leaf", "twin", "tolerance", "trim")
_ALL_BUT_READINGS = tuple(name for name in Job.model_fields if name not in {"readings", "job"})


def _only(job: Job, *tables: str) -> Job:
    """The job with nothing in it but [job] and these tables: what a stage may read."""
    kept = {name: getattr(job, name) for name in ("job", *tables)}
    return Job.model_construct(**kept)


@lru_cache(REMEMBERED)
def _marks(
    readings: tuple[Reading, ...], radii: Radii, spans: tuple[tuple[str, str], ...], hint: _Hint
) -> Marks:
    return adjust(readings, radius_of=dict(radii), spans=spans, before=hint.marks)


@lru_cache(REMEMBERED)
def _sides(job: Job, marks: Marks) -> tuple[Finding, ...]:
    return check_sides(job, marks)


@lru_cache(REMEMBERED)
def _bars(job: Job, marks: Marks) -> Bars:
    made = make_bars(job, marks)
    return trimmed(made, job) if job.trim else made


@lru_cache(REMEMBERED)
def _motions(job: Job, marks: Marks, bars: Bars) -> tuple[Motion, ...]:
    """The leaves whose bars could all be made; why a bar could not is among the bars' findings."""
    there = {bar.name for bar in bars.bars}
    return tuple(m for m in make_motions(job, marks) if there.issuperset(m.bars))


@lru_cache(REMEMBERED)
def _parts(job: Job, marks: Marks, bars: Bars, motions: tuple[Motion, ...]) -> Parts:
    return make_parts(job, marks, bars, motions)


@lru_cache(REMEMBERED)
def _around(
    bars: Bars, parts: Parts, motions: tuple[Motion, ...]
) -> tuple[tuple[str, Around], ...]:
    riders = {name: m.leaf for m in motions for name in m.bars}
    bodies = [(body_of_bar(b), riders.get(b.name, "")) for b in bars.bars]
    bodies += [(body_of_part(p), p.rides) for p in parts.parts]
    bodies += [(h.body, h.rides) for h in parts.hardware]
    return tuple((m.leaf, _around_one(m.leaf, bodies, parts)) for m in motions)


def _around_one(leaf: str, bodies: list[tuple[Body, str]], parts: Parts) -> Around:
    return Around(
        movers=tuple(body for body, rides in bodies if rides == leaf),
        standing=tuple(body for body, rides in bodies if rides != leaf),
        allowed=parts.intended,
        rests=parts.rests,
    )


@lru_cache(REMEMBERED)
def _swings(motions: tuple[Motion, ...], around: Arounds) -> tuple[Swing, ...]:
    return passings(motions, dict(around))


@lru_cache(REMEMBERED)
def _swing_findings(
    swings: tuple[Swing, ...], motions: tuple[Motion, ...], around: Arounds
) -> tuple[Finding, ...]:
    return check_swings(swings, motions, dict(around))


@lru_cache(REMEMBERED)
def _rooms(
    job: Job, marks: Marks, motions: tuple[Motion, ...], around: Arounds
) -> tuple[Finding, ...]:
    return make_rooms(job, marks, motions, dict(around))


@lru_cache(REMEMBERED)
def _fits(job: Job, parts: Parts, motions: tuple[Motion, ...], marks: Marks) -> Fits:
    return make_fits(job, parts, motions, marks)


@lru_cache(REMEMBERED)
def _strength(job: Job, bars: Bars, motions: tuple[Motion, ...], parts: Parts) -> Strength:
    return analyse(job, bars, motions, parts)


@lru_cache(REMEMBERED)
def _buildup(job: Job, bars: Bars, parts: Parts, motions: tuple[Motion, ...]) -> Handed[Buildup]:
    return handed(partial(make_buildup, job, bars, parts, motions))


@lru_cache(REMEMBERED)
def _first_fit(  # noqa: PLR0917 - the stages of the route, in its order
    job: Job,
    marks: Marks,
    bars: Bars,
    motions: tuple[Motion, ...],
    parts: Parts,
    swings: tuple[Swing, ...],
) -> FirstFit:
    return chance_of_first_fit(job, marks, bars, motions, parts, swings)
