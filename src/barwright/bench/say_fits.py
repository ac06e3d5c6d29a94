"""Operation 5 for the page: each hinge's gaps, how far they can go, and what decides them."""

from __future__ import annotations

from typing import Any

from barwright.fits.chance_result import FirstFit, Gap
from barwright.fits.hinge_stack import HingeFit
from barwright.fits.make import Fits
from barwright.fits.stack import Range, Simulated
from barwright.job.sentences import in_own_unit


def fitted(fits: Fits, first: FirstFit, unit: str) -> dict[str, Any]:
    """The chance of first-time fit with what decides it, and every hinge stack.

    Sentences are told in the job's unit; figures stay in mm, which the page turns by itself.
    """
    return {"first": _first(first, unit), "hinges": [_hinge(h) for h in fits.hinges]}


def _first(first: FirstFit, unit: str) -> dict[str, Any]:
    def told(text: str) -> str:
        return in_own_unit(text, unit)

    return {
        "chance": first.chance,
        "error": first.sampling_error,
        "trimmed": first.trimmed,
        "about": first.about,
        "why": told(first.why),
        "target": first.target,
        "decides": [
            {"name": told(d.name), "gain": d.gain, "share": d.share} for d in first.decides
        ],
        "again": [
            {"kind": a.kind, "marks": a.marks, "line": a.line, "gain": a.gain}
            for a in first.measure_again
        ],
        "trim": [
            {"bar": t.bar, "amount": t.amount, "before": t.before, "after": t.after}
            for t in first.trim_to_leave
        ],
        "open": [{"what": told(o.what), "by": o.by, "gain": o.gain} for o in first.open_gap],
        "parts": [{"name": p.name, "chance": p.chance, "counts": p.counts} for p in first.parts],
        "gaps": [_gap(g) for g in first.gaps],
        "notes": [told(n) for n in first.notes],
        "leaves_out": [told(n) for n in first.leaves_out],
        "samples": first.samples,
    }


def _gap(gap: Gap) -> dict[str, Any]:
    return {
        "name": gap.name,
        "part": gap.part,
        "nominal": gap.nominal,
        "low": gap.low,
        "high": gap.high,
        "sd": gap.sd,
        "chance": gap.chance,
        "shares": [(s.name, s.share) for s in gap.shares[:3]],
    }


def _hinge(hinge: HingeFit) -> dict[str, Any]:
    stack = hinge.stack
    gaps = (
        ("End float, bolt tight", hinge.end_float, hinge.end_float_drawn),
        ("Bushing on spacers", hinge.running, None),
        ("Cheeks less spacers", hinge.cheeks, None),
    )
    return {
        "leaf": stack.leaf,
        "sizes": [
            ("Bushing, length", stack.bushing),
            ("Bushing, outside", stack.bushing_od),
            ("Spacer, each", stack.spacer),
            ("Spacer, outside", stack.spacer_od),
            ("Bolt", stack.bolt),
            ("Hole in the cheeks", stack.hole),
            ("Between the cheeks", stack.gap),
        ],
        "running": stack.running,
        "gaps": [{"name": n, **_range(r), **_drawn(d)} for n, r, d in gaps],
        "bolt_in_hole": hinge.bolt_in_hole,
        "play": hinge.play,
        "play_drawn": _drawn(hinge.play_drawn)["drawn"],
        "reach": stack.reach,
    }


def _range(gap: Range) -> dict[str, float]:
    return {"nominal": gap.nominal, "least": gap.least, "most": gap.most}


def _drawn(drawn: Simulated | None) -> dict[str, Any]:
    if drawn is None:
        return {"drawn": None}
    return {
        "drawn": {
            "low": drawn.low,
            "high": drawn.high,
            "chance": drawn.chance,
            "chance_low": drawn.chance_low,
            "chance_high": drawn.chance_high,
            "shares": drawn.shares,
            "samples": drawn.samples,
        }
    }
