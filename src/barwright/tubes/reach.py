"""What the job itself says an end is coped against, and whether it gets there."""

from __future__ import annotations

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.foot import foot_on
from barwright.geometry.vectors import Floats
from barwright.job.schema import Job
from barwright.tubes.meeting import Site, clear_of
from barwright.tubes.shape import Refused, Shape


def explicit(job: Job, here: Site) -> tuple[str, ...] | None:
    """The bars an end is to be coped against by the bar's table; None where it says nothing."""
    cope = job.bar[here.shape.name].cope
    return cope.to if here.last else cope.from_


def told(here: Site, names: tuple[str, ...], everyone: tuple[Shape, ...]) -> dict[Shape, Floats]:
    """The bars the job names, with where the end is clear of each, shape (360,) [mm].

    Raises:
        Refused: as `_reached`.
    """
    return dict(_reached(here, name, everyone) for name in names)


def _reached(here: Site, name: str, everyone: tuple[Shape, ...]) -> tuple[Shape, Floats]:
    """The bar of that name and its cut, if the end gets to it.

    Raises:
        Refused: there is no such bar, it is out of reach, or it runs alongside.
    """
    other = next((shape for shape in everyone if shape.name == name), None)
    if other is None or other.name == here.shape.name:
        raise Refused(_no_such(here, name))
    gap = foot_on(other.centreline, here.tip.origin).distance - other.radius
    reach = 2.0 * here.shape.radius
    if here.mark not in other.inner and gap > reach:
        raise Refused(_too_far(here, name, gap, reach))
    cut = clear_of(here, other)
    if not np.any(np.isfinite(cut)):
        raise Refused(_misses(here, name))
    return other, cut


def _no_such(here: Site, name: str) -> Finding:
    return Finding(
        code="tubes.cope",
        level=Level.MUST,
        subject=f"bar.{here.shape.name}",
        says=f"{here.shape.name} is to be coped at {here.mark} against {name}, "
        "and there is no such bar to cope it against.",
        remedy=f"correct cope in [bar.{here.shape.name}], or see what is wrong with {name}",
    )


def _too_far(here: Site, name: str, gap: float, reach: float) -> Finding:
    return Finding(
        code="tubes.meet",
        level=Level.MUST,
        subject=f"bar.{here.shape.name}",
        says=f"{here.shape.name} does not meet {name}: mark {here.mark} is {gap:.1f} mm "
        "off its surface.",
        measured=gap,
        allowed=reach,
        unit="mm",
        source="one diameter of the bar; common practice, no source",
        remedy=f"check the readings of {here.mark}, or take {name} out of its cope",
    )


def _misses(here: Site, name: str) -> Finding:
    return Finding(
        code="tubes.meet",
        level=Level.MUST,
        subject=f"bar.{here.shape.name}",
        says=f"{here.shape.name} runs past {name} at {here.mark}: no line of its wall meets it.",
        source="geometry",
        remedy=f"bring {here.mark} onto {name}, or take {name} out of its cope",
    )
