"""Will it hold? Every load case on the frame of the job, one stage of the route."""

from __future__ import annotations

from collections.abc import Iterable

from barwright.findings import Finding, Level
from barwright.job.errors import BadInput, Fault
from barwright.job.schema import Job
from barwright.strength.check import check
from barwright.strength.columns import ec3_class_1
from barwright.strength.findings_of import case_finding, cautions
from barwright.strength.foot_plates import feet_of, foot_findings
from barwright.strength.joints_use import HasParts
from barwright.strength.loads import Case, cases
from barwright.strength.materials import BOLTS, WEAKEST, material
from barwright.strength.model import Model, model
from barwright.strength.results import Strength
from barwright.strength.rules import RULES
from barwright.strength.solve import Loose
from barwright.strength.tube_rules import TUBE_RULES, tube_finding
from barwright.strength.welds import least_leg
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars
from barwright.tubes.section import Section


def analyse(job: Job, bars: Bars, motions: tuple[Motion, ...], parts: HasParts) -> Strength:
    """Every load case of a job; no case at all for one without [load] tables and vehicle doors.

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
    ruled = (*_tube_sizes(job, bars), *_feet(job, parts))
    sizes = (*ruled, *_unloaded(job, motions, asked))
    if not asked:
        return Strength(findings=(*cautions(), *sizes) if ruled else sizes)
    made = model(job, bars, motions, [c.at for c in asked])
    if made is None:
        return Strength(findings=(*cautions(), *sizes, _nothing()))
    inside = {b.name for b in made.mesh.bars}
    kept = tuple(c for c in asked if c.at[0] in inside and inside.issuperset(c.along))
    left = _left_out(asked, kept, made)
    before = (*cautions(), *sizes, *made.findings, *_thin(made), *_beads(job, made), *left)
    if not kept:
        return Strength(model=made, findings=before)
    return _checked(job, made, kept, parts, before)


def _checked(
    job: Job, made: Model, kept: tuple[Case, ...], parts: HasParts, before: tuple[Finding, ...]
) -> Strength:
    try:
        held, answer = check(job, made, kept, parts)
    except Loose:
        return Strength(model=made, findings=(*before, _mechanism()))
    return Strength(
        held=held,
        model=made,
        answer=answer,
        findings=(*before, *(case_finding(h) for h in held)),
    )


def _known(job: Job) -> None:
    """Bolt grade, tube rule and published pushes must be of the tables.

    Raises:
        BadInput: one is not.
    """
    table = job.strength
    rows: list[tuple[str, str | None, Iterable[str]]] = [
        ("bolt_grade", table.bolt_grade, BOLTS),
        ("tubes", table.tubes, TUBE_RULES),
        *(("rules", name, RULES) for name in table.rules),
    ]
    faults = [
        Fault(
            file="job.toml",
            entry=f"strength.{field}",
            read=read,
            expected=f"one of {', '.join(known)}",
            do=f"correct {field} in [strength]",
        )
        for field, read, known in rows
        if read is not None and read not in known
    ]
    if faults:
        raise BadInput(*faults)


def _tube_sizes(job: Job, bars: Bars) -> tuple[Finding, ...]:
    """Each stock that is used, held to the rule the job names."""
    if job.strength.tubes is None:
        return ()
    rule = TUBE_RULES[job.strength.tubes]
    used = [name for name in job.stock if any(b.stock == name for b in bars.bars)]
    steels = {name: material(job.stock[name].steel) or WEAKEST for name in used}
    return tuple(
        tube_finding(
            f"stock.{name}",
            Section(od=job.stock[name].od, wall=job.stock[name].wall),
            (steels[name].fy, steels[name].fu),
            rule,
        )
        for name in used
    )


def _feet(job: Job, parts: HasParts) -> tuple[Finding, ...]:
    """The foot plates, held to the rule's sizes where the job asks for it."""
    return tuple(f for foot in feet_of(job, parts.parts) for f in foot_findings(foot))


def _thin(made: Model) -> tuple[Finding, ...]:
    """A wall too thin to form a plastic hinge before it buckles in, once for each stock."""
    rows = zip(made.mesh.bars, made.sections, made.steels, strict=True)
    thin = {b.stock: (s, m) for b, s, m in rows if not ec3_class_1(s.od, s.wall, m.fy)}
    return tuple(
        Finding(
            code="strength.thin-wall",
            level=Level.LOOK,
            subject=f"stock.{name}",
            says=f"Its wall is 1/{s.od / s.wall:.0f} of its diameter: it may buckle in before it "
            "bends as far as the collapse load takes for granted.",
            measured=s.od / s.wall,
            allowed=50.0 * 235.0 / m.fy,
            source="EN 1993-1-1 table 5.2, class 1, from memory",
            remedy=f"Take a wall of at least {s.od * m.fy / (50.0 * 235.0):.2f} mm.",
        )
        for name, (s, m) in thin.items()
    )


def _beads(job: Job, made: Model) -> tuple[Finding, ...]:
    """A fillet that is smaller than the thinnest one a wall asks for, once for each stock."""
    bead = job.strength.bead
    if bead is None:
        return ()
    walls = {bar.stock: bar.wall for bar in made.mesh.bars}
    return tuple(
        Finding(
            code="strength.bead",
            level=Level.LOOK,
            subject=f"stock.{name}",
            says=f"A fillet of {bead:.1f} mm leg is too small for a wall of {wall:.2f} mm.",
            measured=bead,
            allowed=least_leg(wall),
            unit="mm",
            source="AISC 360 table J2.4",
            remedy=f"Weld a leg of at least {least_leg(wall):g} mm.",
        )
        for name, wall in walls.items()
        if bead < least_leg(wall)
    )


def _unloaded(
    job: Job, motions: tuple[Motion, ...], asked: tuple[Case, ...]
) -> tuple[Finding, ...]:
    """A leaf that nothing pushes on, once for each."""
    pushed = {c.at[0] for c in asked}
    return tuple(
        Finding(
            code="strength.no-load",
            level=Level.LOOK,
            subject=f"leaf.{m.leaf}",
            says=f"Nothing pushes on {m.leaf}, so it is not known what it stands.",
            remedy=f'Write the push it must stand: [load.NAME] with on = "{m.bars[0]}" and a '
            f'force. If it is a vehicle\'s side door, name it: doors = ["{m.leaf}"] in '
            "[strength].",
        )
        for m in motions
        if not m.twin_of and m.bars and m.leaf in job.leaf and pushed.isdisjoint(m.bars)
    )


def _left_out(asked: tuple[Case, ...], kept: tuple[Case, ...], made: Model) -> tuple[Finding, ...]:
    """Cases on what is not in the frame; a leaf's published pushes are told of once, if at all."""
    out = [c for c in asked if c not in kept]
    swings = {f.subject for f in made.findings if f.code == "strength.no-latch"}
    own = [c for c in out if not c.leaf]
    first = {c.leaf: c for c in reversed(out) if c.leaf and c.subject not in swings}
    return tuple(_outside(c) for c in (*own, *first.values()))


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
