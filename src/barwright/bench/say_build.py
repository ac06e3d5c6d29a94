"""Operation 7 for the page: the steps in which it goes together, and what is in the way."""

from __future__ import annotations

import math
from typing import Any

from barwright.buildup.results import Buildup, Clash, Freedom, Seam, Step, Way
from barwright.job.sentences import in_own_unit


def built_up(found: Buildup, unit: str) -> dict[str, Any]:
    """Every step in order, with what each adds and from where it comes.

    Args:
        found: what the stage found.
        unit: of the job, in which the steps speak.
    """
    return {
        "steps": [_step(s, unit) for s in found.steps],
        "clashes": [_clash(c) for c in found.clashes],
        "compared": found.compared,
        "ways": [_way(w) for w in found.ways],
        "seams": [_seam(s) for s in found.seams],
        "pulls": [
            {"leaf": p.leaf, "closer": p.closer, "gap": p.gap, "aside": p.aside}
            for p in found.pulls
        ],
        "reach": [
            {
                "bolt": r.bolt,
                "end": r.end,
                "socket": r.socket,
                "spanner": math.degrees(r.spanner),
                "blocked_by": r.blocked_by,
            }
            for r in found.reach
        ],
    }


def _step(step: Step, unit: str) -> dict[str, Any]:
    return {
        "title": step.title,
        "says": [in_own_unit(text, unit) for text in step.says],
        "adds": step.adds,
        "together": step.together,
        "explode": [{"name": name, "way": way} for name, way in step.explode],
        "hold": step.hold,
        "checks": step.checks,
        "state": step.state,
        "seams": step.seams,
        "freedom": [_freedom(f) for f in step.freedom],
    }


def _freedom(free: Freedom) -> dict[str, Any]:
    return {"name": free.name, "left": free.left, "ways": free.ways, "by": free.by, "fix": free.fix}


def _clash(clash: Clash) -> dict[str, Any]:
    return {
        "first": clash.first,
        "second": clash.second,
        "state": clash.state,
        "depth": clash.depth,
        "where": clash.where,
        "welded": clash.welded,
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "names": way.names,
        "out": way.comes_out,
        "blocked_by": way.blocked_by,
        "goes": way.goes,
    }


def _seam(seam: Seam) -> dict[str, Any]:
    return {
        "parts": seam.parts,
        "length": seam.length,
        "leg": seam.leg,
        "reached": seam.reached if seam.tried else None,
        "before": seam.before,
    }
