"""Operation 1 for the page: every reading with how it fitted, every mark with its doubt."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

import numpy as np

from barwright.bench.rows import rows_of
from barwright.geometry.vectors import Floats
from barwright.job.kinds import RULES
from barwright.job.row import Row
from barwright.job.schema import Job
from barwright.survey.marks import Candidate, Fitted, Marks, Rival


def measured(job: Job, marks: Marks, readings: str) -> dict[str, Any]:
    """Readings as written beside their residuals, marks with their ellipsoids, what to do next."""
    fitted = {f.reading.line: f for f in marks.fitted}
    return {
        "unit": job.job.unit,
        "rows": [{**_written(row), **_fit(fitted.get(row.line))} for row in rows_of(readings)],
        "marks": [_mark(marks, i) for i in range(len(marks.names))],
        "sigma0": marks.sigma0,
        "freedom": marks.freedom,
        "next": [_candidate(c) for c in marks.next_reading],
        "rivals": [_rival(marks, r) for r in marks.rivals],
        "mistakes": [{"line": m.line, "says": m.says, "marks": m.marks} for m in marks.mistakes],
        "mirrored": marks.mirrored,
        "defect": marks.rank_defect,
        "left_out": marks.report.left_out,
    }


def written(readings: str) -> list[dict[str, Any]]:
    """The rows alone, for when they cannot be solved."""
    return [{**_written(row), **_fit(None)} for row in rows_of(readings)]


def kinds() -> dict[str, dict[str, Any]]:
    """What each kind of reading wants, for the page's form."""
    return {name: {**asdict(rule), "least": None, "greatest": None} for name, rule in RULES.items()}


def _written(row: Row) -> dict[str, Any]:
    return {
        "line": row.line,
        "kind": row.kind,
        "marks": row.marks,
        "value": row.value,
        "plus_minus": row.plus_minus,
        "note": row.note,
    }


def _fit(fitted: Fitted | None) -> dict[str, Any]:
    if fitted is None:
        return {"residual": None, "sd": None, "suspect": False, "redundancy": None, "angle": False}
    angle = RULES[fitted.reading.kind].value == "angle"
    shown = math.degrees if angle else float
    return {
        "residual": shown(fitted.residual),
        "sd": shown(fitted.reading.plus_minus),
        "suspect": fitted.suspect,
        "redundancy": fitted.redundancy,
        "angle": angle,
    }


def _mark(marks: Marks, i: int) -> dict[str, Any]:
    block = marks.covariance[3 * i : 3 * i + 3, 3 * i : 3 * i + 3]
    return {
        "name": marks.names[i],
        "xyz": marks.at(marks.names[i]),
        "sd": marks.sd(marks.names[i]),
        "axes": _axes(block),
    }


def _axes(block: Floats) -> Floats | None:
    """The ellipsoid's half axes [mm], one standard deviation long; None where it has no end."""
    if not np.all(np.isfinite(block)):
        return None
    size, way = np.linalg.eigh(block)
    return np.asarray((way * np.sqrt(np.maximum(size, 0.0))).T)


def _candidate(c: Candidate) -> dict[str, Any]:
    return {"kind": c.kind, "marks": c.marks, "gain": c.gain}


def _rival(marks: Marks, rival: Rival) -> dict[str, Any]:
    return {
        "moved": rival.moved,
        "apart": rival.apart,
        "decides": _candidate(rival.decides) if rival.decides else None,
        "xyz": {n: rival.xyz[marks.names.index(n)] for n in rival.moved},
    }
