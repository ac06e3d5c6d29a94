"""What is there to say about a case? One finding, with what governs and what would mend it."""

from __future__ import annotations

import math

from barwright.findings import Finding, Level
from barwright.strength.results import CAUTIONS, Held

CODE = "strength.case"


def cautions() -> tuple[Finding, ...]:
    """What stands before every result."""
    return (
        Finding(
            code="strength.caution",
            level=Level.LOOK,
            subject="strength",
            says=" ".join(CAUTIONS),
            source="house rule",
            remedy="Show the job to the scrutineer and to a licensed engineer before it is used.",
        ),
    )


def case_finding(held: Held) -> Finding:
    """One case: what it stands, what governs, where it bends for good.

    A push of the job's own that the frame does not stand is a `must`; of a published yardstick it
    is for a person to look at, and so is a frame that stands but bends for good.
    """
    short = held.factor < 1.0
    bends = held.yields.share > 1.0
    level = Level.LOOK if short or bends else Level.GOOD
    if short and held.case.must:
        level = Level.MUST
    return Finding(
        code=CODE,
        level=level,
        subject=held.case.subject,
        says=_says(held, short=short, bends=bends),
        measured=round(100.0 * held.factor, 1) if math.isfinite(held.factor) else None,
        allowed=100.0,
        unit="%",
        source=held.case.source,
        remedy=_remedy(held) if level is not Level.GOOD else "",
    )


def _says(held: Held, *, short: bool, bends: bool) -> str:
    stands = f"It stands {held.factor:.2f} times that; what governs is {held.governs}."
    if short:
        stands = f"It stands only {held.factor:.2f} of that; what governs is {held.governs}."
    if not held.stable:
        stands = f"It has no second-order answer (it buckles or folds). {stands}"
    y = held.yields
    first = f"{y.where} at {y.along:.0f} mm is the most used: {100 * y.share:.0f} % of yield"
    set_ = ", so it bends for good" if bends else ""
    return (
        f"{held.case.name}: {held.case.says}. {stands} {first}{set_}. Column {held.column.where} "
        f"{100 * held.column.share:.0f} %, weld on {held.weld.where} {100 * held.weld.share:.0f} %"
        f"{_joints(held)}. The largest shift is {held.shift.share:.1f} mm on {held.shift.where}"
        f"{_hinges(held)}. Not a homologation."
    )


def _joints(held: Held) -> str:
    return "" if held.bolt is None else f", {held.bolt.where} {100 * held.bolt.share:.0f} %"


def _hinges(held: Held) -> str:
    if held.pushover is None or not held.pushover.hinges:
        return ""
    how = "folds up" if held.pushover.folded else "was followed"
    first = held.pushover.first
    return (
        f"; the first plastic hinge forms at {first:.2f} and the frame {how} at {held.collapse:.2f}"
    )


def _remedy(held: Held) -> str:
    """How much stronger what governs must be, forces taken as they are."""
    if held.factor >= 1.0:
        y = held.yields
        return f"If it must not bend for good, give {y.where} {y.share:.2f} times the modulus."
    need = 1.0 / max(held.factor, 1e-3)
    return (
        f"What governs needs {need:.2f} times its strength: a larger section, a brace, or a bolt "
        "or weld that much larger. Then check again."
    )
