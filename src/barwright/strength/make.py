"""Will it hold? Every load case on the frame of the job, one stage of the route."""

from __future__ import annotations

from barwright.findings import Finding, Level
from barwright.job.errors import BadInput, Fault
from barwright.job.schema import Job
from barwright.strength.check import check
from barwright.strength.findings_of import case_finding, cautions
from barwright.strength.joints_use import HasParts
from barwright.strength.loads import Case, cases
from barwright.strength.materials import BOLTS
from barwright.strength.model import Model, model
from barwright.strength.results import Strength
from barwright.strength.solve import Loose
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars


def analyse(job: Job, bars: Bars, motions: tuple[Motion, ...], parts: HasParts) -> Strength:
    """Every load case of a job; nothing at all for one without [load] tables and leaves.

    Args:
        job: stock, [load] and [strength].
        bars: as built.
        motions: how the leaves hang.
        parts: hinge and striker hardware.

    Raises:
        BadInput: a [load] or [strength] table asks for what is not there; all faults at once.
    """
    _known(job)
    asked = cases(job, bars, motions)
    if not asked:
        return Strength()
    made = model(job, bars, motions, [c.at for c in asked])
    if made is None:
        return Strength(findings=(*cautions(), _nothing()))
    inside = {b.name for b in made.mesh.bars}
    kept = tuple(c for c in asked if c.at[0] in inside and inside.issuperset(c.along))
    left = tuple(_outside(c) for c in asked if c not in kept)
    if not kept:
        return Strength(model=made, findings=(*cautions(), *made.findings, *left))
    return _checked(job, made, kept, parts, left)


def _checked(
    job: Job, made: Model, kept: tuple[Case, ...], parts: HasParts, left: tuple[Finding, ...]
) -> Strength:
    try:
        held, answer = check(job, made, kept, parts)
    except Loose:
        return Strength(model=made, findings=(*cautions(), *made.findings, *left, _mechanism()))
    return Strength(
        held=held,
        model=made,
        answer=answer,
        findings=(*cautions(), *made.findings, *left, *(case_finding(h) for h in held)),
    )


def _known(job: Job) -> None:
    """The bolt grade must be one of the table.

    Raises:
        BadInput: it is not.
    """
    grade = job.strength.bolt_grade
    if grade not in BOLTS:
        raise BadInput(
            Fault(
                file="job.toml",
                entry="strength.bolt_grade",
                read=grade,
                expected=f"one of {', '.join(BOLTS)}",
                do="write the grade stamped on the bolt's head",
            )
        )


def _nothing() -> Finding:
    return Finding(
        code="strength.nothing",
        level=Level.LOOK,
        subject="strength",
        says="There is no frame to push on: no bars, or none that is held.",
        remedy="Name the marks it is mounted at: held = [...] in [strength].",
    )


def _mechanism() -> Finding:
    return Finding(
        code="strength.mechanism",
        level=Level.MUST,
        subject="strength",
        says="The frame can move without resistance, so no load can be put on it.",
        remedy="Name three marks or more, not in one line, that it is mounted at: held = [...] in "
        "[strength].",
    )


def _outside(case: Case) -> Finding:
    return Finding(
        code="strength.not-held",
        level=Level.MUST if case.must else Level.LOOK,
        subject=case.subject,
        says=f"{case.name} pushes on {case.at[0]}, which hangs together with nothing that is held.",
        source=case.source,
        remedy=f"Let {case.at[0]} meet the frame, or give its leaf a latch.",
    )
