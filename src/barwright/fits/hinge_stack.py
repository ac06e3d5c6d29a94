"""Does the hinge turn freely without rattling? Bushing, two spacers that meet, bolt, cheeks.

The spacers go into the bushing from both sides and meet in its middle; together they are a little
longer than the bushing. The bolt clamps cheek, spacers, cheek into one; the bushing turns on the
spacers, and what they are longer by is its end float (0.020 in: common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from barwright.fits import ansi_b4_1, iso286
from barwright.fits.iso286 import Limits
from barwright.fits.press import Ring, press
from barwright.fits.stack import (
    REMEMBERED,
    Contributor,
    Range,
    Simulated,
    monte_carlo,
    rss,
    worst_case,
)
from barwright.geometry.vectors import Floats

END_FLOAT = 0.508
"""0.020 in of end float with the bolt tight: common practice, no source [mm]."""

BUSH_PRACTICE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "housing": ("H7",),
        "outside": ("r6", "s7"),
        "bore-before": ("F7", "G7"),
        "bore-after": ("H7",),
        "inserting-pin": ("m5", "m6"),
    }
)
"""What ISO 2795 advises for plain bushes up to 50 mm that are pressed in (extract, read)."""


@dataclass(frozen=True, kw_only=True)
class Stack:
    """The sizes of one hinge [mm].

    Attributes:
        leaf: the leaf it carries.
        bushing, bushing_od: length and outside diameter of the bushing.
        spacer: length of each spacer.
        spacer_od: nominal diameter of the running fit.
        bolt, hole: the bolt, and the holes in the cheeks.
        gap: between the cheeks' inner faces.
        running: fit of spacer in bushing, "RC4" or "H8/f7".
        length_tolerance, gap_tolerance: plus and minus.
        bolt_slack: between bolt and spacer bore, on the diameter.
        reach: from the axis to the leaf's free end.
        housing_od, press: of the ring the bushing is pressed into, and its fit; 0 and "" where it
            is not pressed.
    """

    leaf: str
    bushing: float
    bushing_od: float
    spacer: float
    spacer_od: float
    bolt: float
    hole: float
    gap: float
    running: str
    length_tolerance: float
    gap_tolerance: float
    bolt_slack: float
    reach: float
    housing_od: float = 0.0
    press: str = ""


@dataclass(frozen=True, kw_only=True)
class HingeFit:
    """How a hinge stack fits [mm].

    Attributes:
        stack: what was looked at.
        end_float: of the bushing between the cheeks, bolt tight: worst case.
        end_float_likely: the same by root sum of squares.
        end_float_drawn: the same by Monte Carlo; its chance is that of any float at all.
        running: clearance of the bushing on the spacers, on the diameter.
        closes: how much of the bore a press takes (0 where nothing is pressed).
        cheeks: gap between the cheeks less the spacers: above zero they are drawn in, below they
            must be sprung open.
        bolt_in_hole: clearance of the bolt in the cheeks' holes, on the diameter.
        play: how far the leaf's free end can be lifted or dropped from the middle, each way,
            worst case: half the end float, and the tilt the running clearance allows.
        play_drawn: the same by Monte Carlo.
    """

    stack: Stack
    end_float: Range
    end_float_likely: Range
    end_float_drawn: Simulated
    running: Range
    closes: float
    cheeks: Range
    bolt_in_hole: float
    play: float
    play_drawn: Simulated


def fit_limits(size: float, code: str) -> tuple[Limits, Limits]:
    """Hole and shaft limits [mm] of a fit written "RC4" (ANSI B4.1) or "H8/f7" (ISO 286).

    Raises:
        ValueError: a fit or size the tables do not hold.

    >>> [round(x.lower, 3) for x in fit_limits(18.0, "H8/f7")]
    [0.0, -0.034]
    """
    if "/" in code:
        hole, shaft = (part.strip() for part in code.split("/", 1))
        iso286.fit(size, hole, shaft)  # refuses a shaft written first
        return iso286.limits(size, hole), iso286.limits(size, shaft)
    return ansi_b4_1.limits(size, code)


def hinge_fit(stack: Stack, *, samples: int = 50_000, seed: int = 1) -> HingeFit:
    """Everything about one hinge stack.

    Args:
        stack: its sizes.
        samples: builds drawn for the Monte Carlo figures.
        seed: of their random numbers.

    Raises:
        ValueError: a fit or size the tables do not hold.

    >>> s = Stack(leaf="side", bushing=50.0, bushing_od=28.0, spacer=25.254, spacer_od=18.0,
    ...           bolt=12.0, hole=12.25, gap=50.508, running="H8/f7", length_tolerance=0.05,
    ...           gap_tolerance=0.25, bolt_slack=0.1, reach=700.0)
    >>> f = hinge_fit(s)
    >>> round(f.end_float.least, 3), round(f.running.most, 3), round(f.play, 2)
    (0.358, 0.061, 1.18)
    """
    ends = _end_float(stack)
    bore, shaft = _running(stack)
    closes = _closes(stack)
    running = worst_case((bore, shaft))
    running = Range(
        nominal=running.nominal, least=running.least - closes, most=running.most - closes
    )
    float_ = worst_case(ends)
    return HingeFit(
        stack=stack,
        end_float=float_,
        end_float_likely=rss(ends),
        end_float_drawn=_end_float_drawn(ends, samples, seed),
        running=running,
        closes=closes,
        cheeks=worst_case(_cheeks(stack)),
        bolt_in_hole=stack.hole - stack.bolt,
        play=0.5 * float_.most + _tilt(stack, running.most),
        play_drawn=_play(stack, (*ends, bore, shaft), closes, samples, seed),
    )


def _end_float(stack: Stack) -> tuple[Contributor, ...]:
    t = stack.length_tolerance
    return (
        Contributor(name="upper spacer", nominal=stack.spacer, plus=t, minus=t),
        Contributor(name="lower spacer", nominal=stack.spacer, plus=t, minus=t),
        Contributor(name="bushing", nominal=stack.bushing, plus=t, minus=t, sensitivity=-1.0),
    )


@lru_cache(REMEMBERED)
def _end_float_drawn(ends: tuple[Contributor, ...], samples: int, seed: int) -> Simulated:
    """The end float by Monte Carlo; remembered, since most changes to a job leave it."""
    return monte_carlo(ends, least=0.0, samples=samples, seed=seed)


def _cheeks(stack: Stack) -> tuple[Contributor, ...]:
    t = stack.length_tolerance
    return (
        Contributor(
            name="cheeks", nominal=stack.gap, plus=stack.gap_tolerance, minus=stack.gap_tolerance
        ),
        Contributor(
            name="spacers", nominal=2.0 * stack.spacer, plus=2 * t, minus=2 * t, sensitivity=-1.0
        ),
    )


def _running(stack: Stack) -> tuple[Contributor, Contributor]:
    hole, shaft = fit_limits(stack.spacer_od, stack.running)
    d = stack.spacer_od
    return (
        Contributor(name="bushing bore", nominal=d, plus=hole.upper, minus=-hole.lower),
        Contributor(
            name="spacer od", nominal=d, plus=shaft.upper, minus=-shaft.lower, sensitivity=-1.0
        ),
    )


def _closes(stack: Stack) -> float:
    """How much the tightest press closes the bushing's bore [mm, diameter]."""
    if not stack.press:
        return 0.0
    hole, shaft = fit_limits(stack.bushing_od, stack.press)
    tight = max(shaft.upper - hole.lower, 0.0)
    inner = Ring(bore=stack.spacer_od, od=stack.bushing_od)
    return press(inner, Ring(bore=stack.bushing_od, od=stack.housing_od), tight).closes


def _tilt(stack: Stack, clearance: float) -> float:
    """How far the free end goes up or down from the middle as the bushing tilts [mm].

    Corner to corner the bushing tilts by clearance over its length, each way.
    """
    return max(clearance, 0.0) / stack.bushing * stack.reach


def _play(
    stack: Stack, sizes: tuple[Contributor, ...], closes: float, samples: int, seed: int
) -> Simulated:
    def play(at: Mapping[str, Floats]) -> Floats:
        slack = np.maximum(at["bushing bore"] - at["spacer od"] - closes, 0.0)
        ends = np.maximum(at["upper spacer"] + at["lower spacer"] - at["bushing"], 0.0)
        return np.asarray(0.5 * ends + slack / at["bushing"] * stack.reach)

    return monte_carlo(sizes, samples=samples, seed=seed, gap=play)
