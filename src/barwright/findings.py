"""Floor 3: what was checked, measured and allowed, by which source, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from barwright.job.sentences import in_own_unit


class Level(StrEnum):
    """How much a finding matters."""

    MUST = "must"
    """The part will not fit, hold or be safe as it is."""
    LOOK = "look"
    """A person has to look and decide."""
    GOOD = "good"
    """Checked and found right: evidence, not praise."""


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing that was checked.

    Attributes:
        code: short and stable, floor first: "tubes.clr", "survey.suspect".
        level: must, look or good.
        subject: the part, mark or reading it is about, e.g. "bar.upper" or "readings.csv line 7".
        says: one sentence a fabricator understands, with the numbers in it.
        measured: what was found, in `unit`; None where nothing is measured.
        allowed: the bound it was held against, in `unit`; None where there is none.
        unit: "mm", "deg", "N", "MPa", "kg", "%" or "" for a plain ratio. Lengths stay in
            millimetres and angles are given in degrees here, since findings are for people.
        source: the rule, standard or trade practice behind the bound; "from memory" and
            "common practice, no source" say so.
        remedy: what to do, in numbers where there are numbers; empty where all is well.
    """

    code: str
    level: Level
    subject: str
    says: str
    measured: float | None = None
    allowed: float | None = None
    unit: str = ""
    source: str = ""
    remedy: str = ""


def told_in(finding: Finding, unit: str) -> Finding:
    """The finding with its sentences in the job's unit; its figures stay in `unit`.

    >>> told_in(Finding(code="a.b", level=Level.LOOK, subject="lug", says="2.5 mm off"), "in").says
    '0.098 in off'
    """
    says, remedy = in_own_unit(finding.says, unit), in_own_unit(finding.remedy, unit)
    return replace(finding, says=says, remedy=remedy)


def worst(findings: tuple[Finding, ...]) -> Level:
    """The gravest level among the findings; good when there are none."""
    order = (Level.MUST, Level.LOOK, Level.GOOD)
    return min((f.level for f in findings), key=order.index, default=Level.GOOD)
