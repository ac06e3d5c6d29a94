"""The job card: the operations of the route in the order of the work, and how each one stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from barwright.bench.plain import finding
from barwright.findings import Finding, Level, told_in, worst

if TYPE_CHECKING:
    from barwright.route import Build

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
        stage: of the route, after which it stands.
        evidence: what it rests on, in a line; empty where there is nothing yet.
        owed: what a person still has to do.
    """

    key: str
    name: str
    floors: tuple[str, ...]
    stage: str
    evidence: Callable[[Build], str]
    owed: Callable[[Build], list[str]]


def card(op: Operation, build: Build) -> dict[str, Any]:
    """One operation, once its stage is done: how it stands, its evidence, findings, what is owed.

    Make, the last one, takes what belongs to no other.
    """
    mine = [f for f in build.findings if _floor(f) in op.floors]
    if op.key == "make":
        mine += [f for f in build.findings if _floor(f) not in KNOWN]
    evidence = op.evidence(build)
    return {
        "key": op.key,
        "name": op.name,
        "state": worst(tuple(mine)).value if evidence else "none",
        **{level.value: sum(f.level is level for f in mine) for level in Level},
        "evidence": evidence,
        "owed": op.owed(build),
        "findings": [finding(told_in(f, build.job.job.unit)) for f in mine],
    }


NO_BARS = (
    "No bars yet. Say which tube is on the rack under [stock.main], then add a bar: its stock, "
    "and the marks the middle of the tube runs through."
)
NO_LEAF = "Nothing swings yet. Name the bars that swing together and the line they turn about."
NO_PLATES = "No plates yet. A leaf's hinge and latch make theirs; or draw one by its corners."
NO_LOADS = "No load of your own. The usual yardsticks are put on every leaf in any case."


def _floor(found: Finding) -> str:
    return found.code.partition(".")[0]


def _count(number: int, one: str, more: str = "") -> str:
    return f"{number} {one if number == 1 else more or one + 's'}"


def _measured(build: Build) -> str:
    marks = build.marks
    if not marks.names:
        return ""
    suspects = sum(f.suspect for f in marks.fitted)
    told = f"{_count(len(marks.names), 'mark')} from {_count(len(build.job.readings), 'reading')}, "
    told += f"{marks.freedom} to spare" if marks.freedom else "none to spare"
    return told + (f", {_count(suspects, 'suspect')}" if suspects else "")


def _owed_measuring(build: Build) -> list[str]:
    again = [
        f"Take {f.reading.kind} {' '.join(f.reading.marks)} again (line {f.reading.line})."
        for f in build.marks.fitted
        if f.suspect
    ]
    decides = [
        f"Take {r.decides.kind} {' '.join(r.decides.marks)}: it tells two answers apart."
        for r in build.marks.rivals
        if r.decides
    ]
    return [*again, *decides]


def _tubes(build: Build) -> str:
    bars, stand = build.bars.to_make, sum(b.stands for b in build.bars.bars)
    if not build.bars.bars:
        return ""
    bends = sum(len(b.table.bends) for b in bars)
    mass = sum(b.mass for b in bars)
    standing = f"; {stand} standing" if stand else ""
    return f"{_count(len(bars), 'bar')}, {_count(bends, 'bend')}, {mass:.1f} kg{standing}"


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


def _musts(build: Build) -> list[str]:
    musts = sum(f.level is Level.MUST for f in build.findings)
    return [f"{_count(musts, 'finding')} must be dealt with before metal is cut."] if musts else []


def _nothing_owed(_build: Build) -> list[str]:
    return []


OPERATIONS = (
    Operation(
        key="measure",
        name="Measure",
        floors=("survey",),
        stage="marks",
        evidence=_measured,
        owed=_owed_measuring,
    ),
    Operation(
        key="tubes",
        name="Tubes",
        floors=("tubes",),
        stage="bars",
        evidence=_tubes,
        owed=lambda build: [] if build.bars.bars else [NO_BARS],
    ),
    Operation(
        key="swing",
        name="Swing",
        floors=("swing",),
        stage="swings",
        evidence=_swings,
        owed=lambda build: [] if build.motions else [NO_LEAF],
    ),
    Operation(
        key="plates",
        name="Plates",
        floors=("plates",),
        stage="parts",
        evidence=_plates,
        owed=lambda build: [] if build.parts.parts else [NO_PLATES],
    ),
    Operation(
        key="fit",
        name="Fit",
        floors=("fits", "fit"),
        stage="first_fit",
        evidence=_fit,
        owed=_nothing_owed,
    ),
    Operation(
        key="strength",
        name="Strength",
        floors=("strength",),
        stage="strength",
        evidence=_strength,
        owed=lambda build: [] if build.job.load else [NO_LOADS],
    ),
    Operation(
        key="build",
        name="Build",
        floors=("buildup",),
        stage="buildup",
        evidence=_steps,
        owed=_nothing_owed,
    ),
    Operation(
        key="make",
        name="Make",
        floors=("pack",),
        stage="buildup",
        evidence=_make,
        owed=_musts,
    ),
)
"""In the order of the work, which is not quite that of the calculation."""

KNOWN = frozenset(floor for op in OPERATIONS for floor in op.floors)
