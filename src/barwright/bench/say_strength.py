"""Operation 6 for the page: every load case, what governs it, and how the frame moves under it."""

from __future__ import annotations

from typing import Any

import numpy as np

from barwright.strength.results import Held, Strength, Use, moves_of, runs_of


def held(strength: Strength) -> dict[str, Any]:
    """Every case, after the cautions that stand before all of them, and what is drawn of each."""
    runs, model = runs_of(strength), strength.model
    drawn = sorted({n for _, nodes in runs for n in nodes})
    return {
        "cautions": strength.cautions,
        "cases": [_case(strength, i, case, drawn) for i, case in enumerate(strength.held)],
        "runs": [{"bar": bar, "nodes": nodes} for bar, nodes in runs],
        "nodes": [] if model is None else model.mesh.nodes.round(2),
    }


def _case(strength: Strength, i: int, it: Held, drawn: list[int]) -> dict[str, Any]:
    moves = moves_of(strength, i)
    far = np.linalg.norm(moves[drawn if len(moves) else []], axis=1)
    uses = (
        ("First yield of a tube", it.yields),
        ("A tube as a column", it.column),
        ("A weld", it.weld),
        ("A bolt or its cheeks", it.bolt),
    )
    return {
        "name": it.case.name,
        "says": it.case.says,
        "source": it.case.source,
        "must": it.case.must,
        "force": it.case.force,
        "at": it.case.at[0],
        "factor": it.factor,
        "governs": it.governs,
        "buckling": it.buckling,
        "buckling_beyond": it.buckling_beyond,
        "collapse": it.collapse,
        "uses": [_use(name, use) for name, use in uses if use is not None],
        "shift": _use("", it.shift),
        "stable": it.stable,
        "hinge": it.hinge,
        "latch": it.latch,
        "largest": float(far.max(initial=0.0)),
        "moves": moves.round(4),
    }


def _use(name: str, use: Use) -> dict[str, Any]:
    return {"name": name, "share": use.share, "where": use.where, "along": use.along}
