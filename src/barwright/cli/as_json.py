"""The commands' objects for programs: lengths in mm, angles in degrees."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from barwright.cli.cautions import CAUTIONS
from barwright.findings import Finding
from barwright.fits.chance_report import as_dict
from barwright.job.kinds import RULES

if TYPE_CHECKING:
    from barwright.pack.write import Pack
    from barwright.route import Build
    from barwright.survey.marks import Fitted, Marks
    from barwright.swing.motion import Swing
    from barwright.tubes.bars import BuiltBar, End

Object = dict[str, Any]


def solved(marks: Marks, findings: tuple[Finding, ...]) -> Object:
    """What `solve --json` prints."""
    return {
        "marks": {n: {"xyz": marks.at(n), "sd": marks.sd(n)} for n in marks.names},
        "readings": [_fitted(f) for f in marks.fitted],
        "sigma0": marks.sigma0,
        "freedom": marks.freedom,
        "next_reading": [
            {"kind": c.kind, "marks": c.marks, "gain": c.gain} for c in marks.next_reading
        ],
        "findings": [finding(f) for f in findings],
    }


def _fitted(fitted: Fitted) -> Object:
    reading = fitted.reading
    is_angle = RULES[reading.kind].value == "angle"
    return {
        "line": reading.line,
        "kind": reading.kind,
        "marks": reading.marks,
        "residual": math.degrees(fitted.residual) if is_angle else fitted.residual,
        "suspect": fitted.suspect,
        "redundancy": fitted.redundancy,
    }


def checked(build: Build) -> Object:
    """What `check --json` prints."""
    return {
        "findings": [finding(f) for f in build.findings],
        "bars": {b.name: bar(b) for b in build.bars.bars},
        "leaves": {s.leaf: leaf(s) for s in build.swings},
        "first_fit": as_dict(build.first_fit),
        "cautions": list(CAUTIONS),
    }


def packed(pack: Pack, findings: tuple[Finding, ...]) -> Object:
    """What `pack --json` prints."""
    return {
        "folder": str(pack.folder),
        "stage": pack.stage,
        "job_hash": pack.job_hash,
        "files": pack.files,
        "findings": [finding(f) for f in findings],
    }


def finding(found: Finding) -> Object:
    """One finding; its unit says what measured and allowed are in."""
    return {
        "code": found.code,
        "level": found.level.value,
        "subject": found.subject,
        "says": found.says,
        "measured": found.measured,
        "allowed": found.allowed,
        "unit": found.unit,
        "source": found.source,
        "remedy": found.remedy,
    }


def bar(built: BuiltBar) -> Object:
    """One bar: the saw, the bender and both ends."""
    return {
        "cut_length": built.cut_length,
        "straights": built.table.straights,
        "bends": [math.degrees(a) for a in built.table.bends],
        "turns": [math.degrees(a) for a in built.table.turns],
        "mass": built.mass,
        "twin_of": built.twin_of,
        "stands": built.stands,
        "ends": {"from": _end(built.start), "to": _end(built.finish)},
    }


def _end(end: End) -> Object:
    return {
        "mark": end.mark,
        "against": end.against,
        "zero": end.zero,
        "cope": [[degree, float(position)] for degree, position in enumerate(end.cope)],
    }


def leaf(swing: Swing) -> Object:
    """One leaf: what it first touches, and where it comes closest."""
    contact = swing.first_contact
    return {
        "first_contact": None if contact is None else math.degrees(contact),
        "with": swing.touches[1] if swing.touches else None,
        "least_clearance": swing.least_clearance,
        "at": math.degrees(swing.at),
        "nearest": swing.least_pair,
    }
