"""The job card: the operations of the route in the order of the work, and how each one stands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from barwright.bench.plain import finding
from barwright.findings import Finding, Level, worst
from barwright.job.schema import Job
from barwright.route import Build
from barwright.survey.marks import Marks

CAUTION = (
    "This is arithmetic on what was measured, not an approval. Where lives depend on cage, hinge "
    "or latch, the rule book, the scrutineer and a licensed engineer decide."
)


@dataclass(frozen=True, kw_only=True)
class Operation:
    """One operation of the route.

    Attributes:
        key: what the page knows it by.
        name: as the card says it.
        floors: whose findings belong to it.
    """

    key: str
    name: str
    floors: tuple[str, ...]


OPERATIONS = (
    Operation(key="measure", name="Measure", floors=("survey",)),
    Operation(key="tubes", name="Tubes", floors=("tubes",)),
    Operation(key="swing", name="Swing", floors=("swing",)),
    Operation(key="plates", name="Plates", floors=("plates",)),
    Operation(key="fit", name="Fit", floors=("fits", "fit")),
    Operation(key="strength", name="Strength", floors=("strength",)),
    Operation(key="build", name="Build", floors=("buildup",)),
    Operation(key="make", name="Make", floors=("pack",)),
)


def measured_card(job: Job, marks: Marks, findings: tuple[Finding, ...]) -> dict[str, Any]:
    """Operation 1 alone, while the rest is still being worked out."""
    return _said(OPERATIONS[0], findings, _measured(job, marks), _owed_measuring(marks))


def card(build: Build) -> dict[str, Any]:
    """Every operation: how it stands, its evidence in a line, its findings, what is owed."""
    parts: tuple[tuple[str, list[str]], ...] = (
        (_measured(build.job, build.marks), _owed_measuring(build.marks)),
        (_tubes(build), _owed(not build.bars.bars, NO_BARS)),
        (_swings(build), _owed(not build.motions, NO_LEAF)),
        (_plates(build), _owed(not build.parts.parts, NO_PLATES)),
        (_fit(build), []),
        (_strength(build), _owed(not build.job.load, NO_LOADS)),
        (_steps(build), []),
        (_make(build), _musts(build.findings)),
    )
    known = {f for op in OPERATIONS for f in op.floors}
    ops = []
    for op, (evidence, owed) in zip(OPERATIONS, parts, strict=True):
        mine = tuple(f for f in build.findings if _floor(f) in op.floors)
        if op.key == "make":
            mine += tuple(f for f in build.findings if _floor(f) not in known)
        ops.append(_said(op, mine, evidence, owed))
    return {"ops": ops, "caution": CAUTION}


NO_BARS = (
    "No bars yet. Say which tube is on the rack under [stock.main], then add a bar: its stock, "
    "and the marks the middle of the tube runs through."
)
NO_LEAF = "Nothing swings yet. Name the bars that swing together and the line they turn about."
NO_PLATES = "No plates yet. A leaf's hinge and latch make theirs; or draw one by its corners."
NO_LOADS = "No load of your own. The usual yardsticks are put on every leaf in any case."


def _said(
    op: Operation, findings: tuple[Finding, ...], evidence: str, owed: list[str]
) -> dict[str, Any]:
    return {
        "key": op.key,
        "name": op.name,
        "state": _state(findings, evidence),
        "must": sum(f.level is Level.MUST for f in findings),
        "look": sum(f.level is Level.LOOK for f in findings),
        "good": sum(f.level is Level.GOOD for f in findings),
        "evidence": evidence,
        "owed": owed,
        "findings": [finding(f) for f in findings],
    }


def _state(findings: tuple[Finding, ...], evidence: str) -> str:
    """must, look, good, or none where nothing has been worked out."""
    return worst(findings).value if evidence else "none"


def _floor(found: Finding) -> str:
    return found.code.partition(".")[0]


def _count(number: int, one: str, more: str = "") -> str:
    return f"{number} {one if number == 1 else more or one + 's'}"


def _measured(job: Job, marks: Marks) -> str:
    if not marks.names:
        return ""
    suspects = sum(f.suspect for f in marks.fitted)
    told = f"{_count(len(marks.names), 'mark')} from {_count(len(job.readings), 'reading')}, "
    told += f"{marks.freedom} to spare" if marks.freedom else "none to spare"
    return told + (f", {_count(suspects, 'suspect')}" if suspects else "")


def _owed_measuring(marks: Marks) -> list[str]:
    again = [
        f"Take {f.reading.kind} {' '.join(f.reading.marks)} again (line {f.reading.line})."
        for f in marks.fitted
        if f.suspect
    ]
    decides = [
        f"Take {r.decides.kind} {' '.join(r.decides.marks)}: it tells two answers apart."
        for r in marks.rivals
        if r.decides
    ]
    return [*again, *decides]


def _tubes(build: Build) -> str:
    bars = build.bars.bars
    if not bars:
        return ""
    bends = sum(len(b.table.bends) for b in bars)
    mass = sum(b.mass for b in bars)
    return f"{_count(len(bars), 'bar')}, {_count(bends, 'bend')}, {mass:.1f} kg"


def _swings(build: Build) -> str:
    if not build.motions:
        return ""
    stopped = sum(s.first_contact is not None for s in build.swings)
    leaves = _count(len(build.motions), "leaf", "leaves")
    return f"{leaves}, {f'{stopped} stopped on the way' if stopped else 'free all the way'}"


def _plates(build: Build) -> str:
    parts, bought = build.parts.parts, build.parts.hardware
    if not parts:
        return ""
    folds = sum(len(p.folds) for p in parts)
    things = _count(len(bought), "bought part")
    return f"{_count(len(parts), 'plate')}, {_count(folds, 'fold')}, {things}"


def _strength(build: Build) -> str:
    held = build.strength.held
    if not held:
        return ""
    short = sum(h.factor < 1.0 for h in held)
    return f"{_count(len(held), 'load case')}, {short or 'none'} that it does not stand"


def _steps(build: Build) -> str:
    found = build.buildup
    holds = sum(bool(s.hold) for s in found.steps)
    if not found.steps:
        return ""
    return f"{_count(len(found.steps), 'step')}, {_count(holds, 'hold point')}"


def _fit(build: Build) -> str:
    """The chance of first-time fit, where it is known, or else how many hinges were looked at."""
    chance = build.first_fit.chance
    if chance is not None:
        return f"{100.0 * chance:.0f} % chance that it fits the first time"
    return _count(len(build.fits.hinges), "hinge stack") if build.fits.hinges else ""


def _make(build: Build) -> str:
    return "" if not (build.bars.bars or build.parts.parts) else "ready to be written"


def _musts(findings: Iterable[Finding]) -> list[str]:
    musts = sum(f.level is Level.MUST for f in findings)
    return [f"{_count(musts, 'finding')} must be dealt with before metal is cut."] if musts else []


def _owed(missing: bool, says: str) -> list[str]:
    return [says] if missing else []
