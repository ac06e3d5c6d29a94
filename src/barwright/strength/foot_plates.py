"""Is a tube's foot on sheet metal big enough? Rule sizes of mounting feet, and bearing on them.

The rule: FIA Appendix J article 253-8 as quoted in public (read there): a foot plate of at least
3 mm, at least three bolts, and a reinforcement plate of at least 3 mm and 120 cm². The bolts' size
(M8, grade 8.8) is from memory. The edition of the day decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from barwright.findings import Finding, Level
from barwright.job.schema import Job
from barwright.plates.outline import region
from barwright.plates.part import Part

LEAST_THICKNESS = 3.0
LEAST_BOLTS = 3
LEAST_AREA = 12000.0
LEAST_BOLT = 8.0
SOURCE = "FIA Appendix J art. 253-8 as quoted in public (2009); bolts from memory"


@dataclass(frozen=True, kw_only=True)
class Foot:
    """A tube's foot on a body shell.

    Attributes:
        name: what it is called in findings.
        plate: thickness of the foot's own plate [mm].
        reinforcement: thickness of the plate on or under the shell [mm].
        area: of the reinforcement [mm²].
        bolts: how many.
        bolt: their nominal diameter [mm].
    """

    name: str
    plate: float
    reinforcement: float
    area: float
    bolts: int
    bolt: float


BOLT_HOLES = 1.4
"""A hole this much wider than the bolt is for something else; common practice, no source."""


def feet_of(job: Job, parts: Iterable[Part]) -> tuple[Foot, ...]:
    """The job's foot plates, with what [strength.feet] says goes under them; none without it.

    A hole that such a bolt goes through counts as a bolt.
    """
    under = job.strength.feet
    if under is None:
        return ()
    feet = {name for name, use in job.fitting.items() if use.fitting == "foot-plate"}
    long, wide, thick = under.reinforcement
    return tuple(
        Foot(
            name=part.name,
            plate=part.thickness,
            reinforcement=thick,
            area=long * wide,
            bolts=sum(under.bolt - 0.1 <= d <= BOLT_HOLES * under.bolt for d in _bores(part)),
            bolt=under.bolt,
        )
        for part in parts
        if part.name in feet
    )


def _bores(part: Part) -> list[float]:
    """Diameters of its holes [mm], each as if it were round."""
    return [2.0 * math.sqrt(region(hole).area / math.pi) for hole in part.holes]


def foot_findings(foot: Foot) -> tuple[Finding, ...]:
    """One finding for each size of a foot that the rule asks for.

    >>> bad = foot_findings(Foot(name="PL", plate=3, reinforcement=3, area=9000, bolts=3, bolt=8))
    >>> [(f.level.value, f.measured, f.allowed) for f in bad if f.level is Level.MUST]
    [('must', 9000.0, 12000.0)]
    """
    asked = (
        ("plate", "the foot plate's thickness", foot.plate, LEAST_THICKNESS, "mm"),
        (
            "reinforcement",
            "the reinforcement's thickness",
            foot.reinforcement,
            LEAST_THICKNESS,
            "mm",
        ),
        ("area", "the reinforcement's area", foot.area, LEAST_AREA, "mm²"),
        ("bolts", "the number of bolts", float(foot.bolts), float(LEAST_BOLTS), ""),
        ("bolt", "the bolts' diameter", foot.bolt, LEAST_BOLT, "mm"),
    )
    return tuple(_one(foot.name, row) for row in asked)


def _one(name: str, asked: tuple[str, str, float, float, str]) -> Finding:
    what, words, has, least, unit = asked
    short = has < least
    return Finding(
        code=f"strength.foot-{what}",
        level=Level.MUST if short else Level.GOOD,
        subject=name,
        says=f"{words} is {has:g} {unit}".rstrip() + f", at least {least:g} is asked for",
        measured=float(has),
        allowed=least,
        unit=unit,
        source=SOURCE,
        remedy=f"make {words} at least {least:g} {unit}".rstrip() if short else "",
    )
