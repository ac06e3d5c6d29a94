"""The chance of first-time fit as plain values for JSON: lengths in mm, angles in degrees."""

from __future__ import annotations

import math
from typing import TypeAlias

from barwright.fits.chance_result import FirstFit, Gap, Source

Plain: TypeAlias = "str | float | int | bool | list[Plain] | dict[str, Plain] | None"


def as_dict(first: FirstFit) -> dict[str, Plain]:
    """What `check --json` shows under "first_fit".

    Chances and shares are 0..1; gains are in percentage points. A bound that is not there is
    null.

    >>> as_dict(FirstFit(chance=None, why="Nothing to fit."))["chance"] is None
    True
    """
    return {
        "chance": first.chance,
        "sampling_error": first.sampling_error,
        "trimmed": first.trimmed,
        "about": first.about,
        "why": first.why,
        "target": first.target,
        "gaps": [_gap(g) for g in first.gaps],
        "parts": [
            {
                "name": p.name,
                "chance": p.chance,
                "sampling_error": p.sampling_error,
                "in_whole": p.counts,
            }
            for p in first.parts
        ],
        "decides": [
            {"name": d.name, "gain": 100.0 * d.gain, "share": d.share, "source": d.source}
            for d in first.decides
        ],
        "measure_again": [
            {"kind": a.kind, "marks": list(a.marks), "line": a.line, "gain": 100.0 * a.gain}
            for a in first.measure_again
        ],
        "trim_to_leave": [
            {
                "bar": t.bar,
                "amount": t.amount,
                "ends": t.ends,
                "before": t.before,
                "after": t.after,
                "takes": t.takes,
            }
            for t in first.trim_to_leave
        ],
        "open_gap": [{"what": o.what, "by": o.by, "gain": 100.0 * o.gain} for o in first.open_gap],
        "sources": [_source(s) for s in first.sources],
        "notes": list(first.notes),
        "leaves_out": list(first.leaves_out),
        "samples": first.samples,
        "seed": first.seed,
    }


def _gap(gap: Gap) -> dict[str, Plain]:
    return {
        "name": gap.name,
        "subject": gap.subject,
        "part": gap.part,
        "nominal": gap.nominal,
        "low": gap.low if math.isfinite(gap.low) else None,
        "high": gap.high if math.isfinite(gap.high) else None,
        "sd": gap.sd,
        "chance": gap.chance,
        "shares": [{"name": s.name, "share": s.share} for s in gap.shares],
        "source": gap.source,
    }


def _source(source: Source) -> dict[str, Plain]:
    angle = source.unit == "rad"
    return {
        "name": source.name,
        "sd": math.degrees(source.sd) if angle else source.sd,
        "unit": "deg" if angle else source.unit,
        "source": source.source,
    }
