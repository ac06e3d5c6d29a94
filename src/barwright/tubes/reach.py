"""What the job itself says an end is coped against, and whether it gets there."""

from __future__ import annotations

import math

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.cope import plane_cope
from barwright.geometry.foot import foot_on
from barwright.geometry.vectors import Floats
from barwright.job.schema import Job
from barwright.survey.marks import Marks
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


def face_cut(job: Job, here: Site, marks: Marks) -> tuple[Floats, ...]:
    """Where the end is clear of the plate face it lands on, (360,) [mm]; nothing without one.

    Raises:
        Refused: a mark of the face has no place, the marks lie in line, or the bar runs along it.
    """
    cope = job.bar[here.shape.name].cope
    names = cope.to_face if here.last else cope.from_face
    if names is None:
        return ()
    lost = [name for name in names if name not in marks]
    if lost:
        raise Refused(_no_face(here, f"no reading says where {', '.join(lost)} is"))
    a, b, c = (np.array(marks.at(name)) for name in names)
    normal = np.cross(b - a, c - a)
    if float(np.linalg.norm(normal)) <= 1e-9 * math.dist(a, b) * math.dist(a, c):
        raise Refused(_no_face(here, f"{', '.join(names)} lie in line"))
    toward = 1.0 if float(normal @ np.array(here.tip.along)) > 0.0 else -1.0
    try:
        return (plane_cope(here.tip, a, toward * normal),)
    except ValueError:
        raise Refused(_no_face(here, "it runs along that face")) from None


def _no_face(here: Site, why: str) -> Finding:
    return Finding(
        code="tubes.cope",
        level=Level.MUST,
        subject=f"bar.{here.shape.name}",
        says=f"{here.shape.name} cannot be cut to the face at {here.mark}: {why}.",
        source="geometry: three marks that are not in line make a face",
        remedy="name three marks on the plate's face that readings tie down",
    )


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
