"""Floor 12: the whole route, from a job to everything that is known about its parts.

Read `build` like a table of contents: one line a stage. Each stage is a pure function of what it
is given and is remembered by it, so that an edit works out again only what it touches.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from barwright.findings import Finding
from barwright.geometry.solids import Body
from barwright.job.schema import Job, Reading
from barwright.plates.make import Parts
from barwright.plates.make import parts as make_parts
from barwright.plates.solids import body_of as body_of_part
from barwright.survey.check import check as check_survey
from barwright.survey.marks import Marks
from barwright.survey.radii import radius_of
from barwright.survey.solve import solve as adjust
from barwright.swing.clearance import swing
from barwright.swing.make import motions as make_motions
from barwright.swing.motion import Motion, Swing
from barwright.tubes.bars import Bars
from barwright.tubes.bodies import body_of as body_of_bar
from barwright.tubes.make import make as make_bars

REMEMBERED = 16
"""How many results of each stage are kept: an undo finds its answer still there."""

Radii = tuple[tuple[str, float], ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class Build:
    """Everything the route found out about a job.

    Attributes:
        job: what was written down.
        marks: where every mark is, and how well that is known.
        bars: every tube with its bends and copes.
        motions: how each leaf moves.
        parts: the plate parts and the hardware.
        swings: what each leaf meets on its way.
        findings: all that was checked, in the order of the route.
    """

    job: Job
    marks: Marks
    bars: Bars
    motions: tuple[Motion, ...]
    parts: Parts
    swings: tuple[Swing, ...]
    findings: tuple[Finding, ...]


def build(job: Job) -> Build:
    """The whole route.

    Args:
        job: as loaded; lengths [mm], angles [rad].

    Raises:
        BadInput: the readings do not hold together, or a table asks for what cannot be.
    """
    marks = solve(job)
    bars = _bars(_only(job, "stock", "bender", "bar", "leaf", "twin"), marks)
    motions = _motions(_only(job, "bar", "leaf", "twin"), marks)
    parts = _parts(_only(job, *_ALL_BUT_READINGS), marks, bars, motions)
    swings = _swings(bars, motions, parts)
    findings = (
        *check_survey(marks),
        *bars.findings,
        *parts.findings,
    )
    return Build(
        job=job,
        marks=marks,
        bars=bars,
        motions=motions,
        parts=parts,
        swings=swings,
        findings=findings,
    )


def solve(job: Job) -> Marks:
    """The first stage alone: where the marks are.

    Raises:
        BadInput: the readings do not hold together.
    """
    return _marks(job.readings, tuple(sorted(radius_of(job).items())))


_ALL_BUT_READINGS = tuple(name for name in Job.model_fields if name not in {"readings", "job"})


def _only(job: Job, *tables: str) -> Job:
    """The job with nothing in it but [job] and these tables: what a stage may read."""
    kept = {name: getattr(job, name) for name in ("job", *tables)}
    return Job.model_construct(**kept)


@lru_cache(REMEMBERED)
def _marks(readings: tuple[Reading, ...], radii: Radii) -> Marks:
    return adjust(readings, radius_of=dict(radii))


@lru_cache(REMEMBERED)
def _bars(job: Job, marks: Marks) -> Bars:
    return make_bars(job, marks)


@lru_cache(REMEMBERED)
def _motions(job: Job, marks: Marks) -> tuple[Motion, ...]:
    return make_motions(job, marks)


@lru_cache(REMEMBERED)
def _parts(job: Job, marks: Marks, bars: Bars, motions: tuple[Motion, ...]) -> Parts:
    return make_parts(job, marks, bars, motions)


@lru_cache(REMEMBERED)
def _swings(bars: Bars, motions: tuple[Motion, ...], parts: Parts) -> tuple[Swing, ...]:
    riders = {name: m.leaf for m in motions for name in m.bars}
    bodies = [(body_of_bar(b), riders.get(b.name, "")) for b in bars.bars]
    bodies += [(body_of_part(p), p.rides) for p in parts.parts]
    bodies += [(h.body, h.rides) for h in parts.hardware]
    return tuple(_one_swing(motion, bodies, parts) for motion in motions)


def _one_swing(motion: Motion, bodies: list[tuple[Body, str]], parts: Parts) -> Swing:
    movers = tuple(body for body, leaf in bodies if leaf == motion.leaf)
    standing = tuple(body for body, leaf in bodies if leaf != motion.leaf)
    return swing(motion, movers, standing, allowed=parts.intended)
