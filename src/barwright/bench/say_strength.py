"""Operation 6 for the page: every load case, what governs it, and how the frame moves under it."""

from __future__ import annotations

from typing import Any

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.results import Held, Strength, Use, shape_of


def held(strength: Strength) -> dict[str, Any]:
    """Every case, after the cautions that stand before all of them."""
    cases = [_case(strength, i, case) for i, case in enumerate(strength.held)]
    return {"cautions": strength.cautions, "cases": cases}


def _case(strength: Strength, i: int, it: Held) -> dict[str, Any]:
    shape = [_run(*row) for row in shape_of(strength, i)]
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
        "largest": _largest(shape),
        "shape": shape,
    }


def _use(name: str, use: Use) -> dict[str, Any]:
    return {"name": name, "share": use.share, "where": use.where, "along": use.along}


def _run(bar: str, points: Floats, moves: Floats) -> dict[str, Any]:
    """One bar's points and how they moved; nothing moves where the answer does not exist."""
    steady = np.where(np.isfinite(moves), moves, 0.0)
    return {"bar": bar, "points": points.round(2), "moves": steady.round(4)}


def _largest(shape: list[dict[str, Any]]) -> float:
    """How far anything moves."""
    return max(
        (float(np.linalg.norm(r["moves"], axis=1).max(initial=0.0)) for r in shape), default=0.0
    )
