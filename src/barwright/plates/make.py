"""Plates of a job: the fittings its joints ask for, the user's own plates, and their twins."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import import_module
from importlib.metadata import EntryPoint, entry_points

from barwright.findings import Finding, Level
from barwright.job.errors import BadInput, Fault
from barwright.job.schema import FittingUse, Job
from barwright.plates.blank import NothingLeft
from barwright.plates.checks import check
from barwright.plates.gauge import gauged
from barwright.plates.joint import CannotMake, Joint, Made
from barwright.plates.part import Parts
from barwright.plates.trim import trimmed, unknown
from barwright.plates.twin_fit import twin_joins
from barwright.plates.twins import twinned
from barwright.plates.user import user_plates
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars

Fitting = Callable[[Joint], Made]

BUILT_IN = {
    "box-gusset": "box_gusset",
    "boxed-hinge": "boxed_hinge",
    "corner-gusset": "corner_gusset",
    "foot-plate": "foot_plate",
    "latch-carrier": "latch_carrier",
    "striker-gusset": "striker_gusset",
    "tube-tab": "tube_tab",
}
"""Fittings that come with Barwright: module and function of the same name."""

GROUP = "barwright.fittings"
"""The entry point group where others' fittings are found."""

PLACES = ("hinge", "striker", "latch")
"""The fittings of a leaf, in the order they are made: the latch goes by the striker."""

BELONGS = {"boxed-hinge": "hinge", "striker-gusset": "striker", "latch-carrier": "latch"}
"""Where on a leaf a fitting that comes with Barwright goes; the others belong on none."""


def parts(job: Job, marks: Marks, bars: Bars, motions: tuple[Motion, ...]) -> Parts:
    """Every plate part of the job with its hardware and findings, twins included.

    Args:
        job: its sheet, plate, fitting, leaf and twin tables are read.
        marks: where they are.
        bars: the tubes.
        motions: how the leaves move.

    Raises:
        BadInput: parameters that cannot be used; the faults of all fittings together.
    """
    made: list[Made] = []
    faults: list[Fault] = []
    for group in (*_leaf_jobs(job, motions), *_loose_jobs(job)):
        done: dict[str, Made] = {}
        for row in group:
            joint = Joint(
                name=row.name,
                entry=row.entry,
                written=dict(row.use.model_extra or {}),
                job=job,
                marks=marks,
                bars=bars,
                motion=row.motion,
                made=done,
            )
            try:
                done[row.place] = _made(row.use.fitting, joint, row.place)
                made.append(done[row.place])
            except BadInput as error:
                faults += error.faults
            except CannotMake as error:
                made.append(Made(findings=(error.finding,)))
    try:
        made.append(user_plates(job, marks, bars))
    except BadInput as error:
        faults += error.faults
    made.append(Made(findings=_unhung(job)))
    if faults:
        raise BadInput(*faults)
    return _fitted(_twinned(_gathered(made, job), job, motions), bars)


def _made(kind: str, joint: Joint, place: str) -> Made:
    """One fitting; a plate that the joint cuts away is told like any lack of room."""
    _in_place(kind, joint, place)
    try:
        return fitting_named(kind, joint)(joint)
    except NothingLeft as error:
        raise CannotMake(_nothing_left(joint.name, error)) from None


def _in_place(kind: str, joint: Joint, place: str) -> None:
    """Refuse a fitting of ours on a place of the leaf that it is not made for.

    Raises:
        BadInput: it belongs elsewhere.
    """
    belongs = BELONGS.get(kind, "")
    if kind not in BUILT_IN or not place or belongs == place:
        return
    wanted = next(k for k, where in BELONGS.items() if where == place)
    leaf = joint.entry.rpartition(".")[0]
    there = f"[{leaf}.{belongs}]" if belongs else "a table [fitting.NAME] of its own"
    do = f'write fitting = "{wanted}" here; {kind} goes in {there}'
    raise joint.bad("fitting", kind, f"a fitting for the {place}", do=do)


def _unhung(job: Job) -> tuple[Finding, ...]:
    """Leaves that nothing carries, or nothing keeps shut."""
    return tuple(
        Finding(
            code=f"plates.no-{place}",
            level=Level.LOOK,
            subject=f"leaf.{name}",
            says=f"{name} swings, but nothing {does}: it has no {place}.",
            remedy=f'Add [leaf.{name}.{place}] with fitting = "{kind}", or leave it so if it is '
            f"{by} some other way.",
        )
        for name, leaf in job.leaf.items()
        for place, kind, does, by in (
            ("hinge", "boxed-hinge", "carries it", "hung"),
            ("latch", "latch-carrier", "keeps it shut", "held shut"),
        )
        if getattr(leaf, place) is None
    )


def _fitted(made: Parts, bars: Bars) -> Parts:
    """The parts with what their twins are welded to on the other side."""
    joins, found = twin_joins(made.parts, made.joins, bars)
    return replace(made, joins=joins, findings=(*made.findings, *found))


@dataclass(frozen=True, kw_only=True)
class Row:
    """One fitting that is asked for: its place on a leaf, its table, its name, its motion."""

    place: str
    entry: str
    name: str
    use: FittingUse
    motion: Motion | None


def _leaf_jobs(job: Job, motions: tuple[Motion, ...]) -> list[list[Row]]:
    """For each leaf, the fittings it asks for, in the order they are made."""
    moves = {m.leaf: m for m in motions if not m.twin_of}
    return [
        [
            Row(
                place=place,
                entry=f"leaf.{name}.{place}",
                name=f"{name}.{place}",
                use=use,
                motion=moves[name],
            )
            for place in PLACES
            if (use := getattr(leaf, place)) is not None
        ]
        for name, leaf in job.leaf.items()
        if name in moves
    ]


def _loose_jobs(job: Job) -> list[list[Row]]:
    return [
        [Row(place="", entry=f"fitting.{name}", name=name, use=use, motion=None)]
        for name, use in job.fitting.items()
    ]


def fitting_named(kind: str, joint: Joint) -> Fitting:
    """The function that makes a kind of fitting: built in, or found by entry point.

    Raises:
        BadInput: no such kind; the nearest known one is suggested.
    """
    if kind in BUILT_IN:
        module = BUILT_IN[kind]
        found: Fitting = getattr(import_module(f"barwright.plates.fittings.{module}"), module)
        return found
    for point in _others():
        if point.name == kind:
            loaded: Fitting = point.load()
            return loaded
    known = (*BUILT_IN, *(p.name for p in _others()))
    raise joint.bad("fitting", kind, "a kind of fitting", known)


@lru_cache(1)
def _others() -> tuple[EntryPoint, ...]:
    return tuple(entry_points(group=GROUP))


def _nothing_left(name: str, error: NothingLeft) -> Finding:
    return Finding(
        code="plates.nothing-left",
        level=Level.MUST,
        subject=name,
        says=f"The fitting is not made: {error}.",
        remedy="Give it more room at the joint, or larger dimensions in its table.",
    )


def _twinned(made: Parts, job: Job, motions: tuple[Motion, ...]) -> Parts:
    """The parts and their twins; those twins trimmed that have trims of their own."""
    both = twinned(made, job, motions)
    if not job.trim:
        return both
    first = len(made.parts)
    twins, said = trimmed(both.parts[first:], job.trim)
    lost = unknown(both.parts, job.trim)
    return replace(both, parts=(*made.parts, *twins), findings=(*both.findings, *said, *lost))


def _gathered(made: list[Made], job: Job) -> Parts:
    generated = tuple(p for m in made for p in m.parts)
    cut, trims = trimmed(generated, job.trim) if job.trim else (generated, ())
    plates = tuple(gauged(p) for p in cut)
    found: tuple[Finding, ...] = tuple(f for m in made for f in m.findings)
    return Parts(
        parts=plates,
        hardware=tuple(h for m in made for h in m.hardware),
        findings=(*found, *trims, *check(plates)),
        intended=frozenset().union(*(m.intended for m in made)),
        rests=frozenset().union(*(m.rests for m in made)),
        joins=frozenset().union(*(m.joins for m in made)),
    )
