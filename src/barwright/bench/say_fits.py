"""Operation 5 for the page: each hinge's gaps, how far they can go, and what decides them."""

from __future__ import annotations

from typing import Any

from barwright.fits.hinge_stack import HingeFit
from barwright.fits.make import Fits
from barwright.fits.stack import Range, Simulated


def fitted(fits: Fits) -> dict[str, Any]:
    """Every hinge stack."""
    return {"hinges": [_hinge(h) for h in fits.hinges]}


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
