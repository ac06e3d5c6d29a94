"""The tables of job.toml about fits and strength: [fit.NAME], [load.NAME], [strength].

Lengths are in millimetres, forces in newtons once read.
"""

from __future__ import annotations

import math
import re
from typing import Annotated, Literal, TypeAlias

from pydantic import BeforeValidator, Field, WithJsonSchema

from barwright.job.entry import Entry, Name
from barwright.job.quantities import Direction, PositiveLength, SomeLength, Written

NEWTONS = {"n": 1.0, "kn": 1000.0, "lbf": 4.4482216152605, "lb": 4.4482216152605, "kgf": 9.80665}
"""Newtons in each unit (NIST SP 811, appendix B); a shop's `lb` of push is lbf."""

LARGEST_N = 1e7
"""A thousand tonnes: nothing on a vehicle is pushed harder, so more is a slip of the pen."""

_FORCE = re.compile(r"(\d++(?:\.\d*+)?+|\.\d++)\s*(n|kn|lbf|lb|kgf)", re.IGNORECASE | re.ASCII)


def parse_force(value: Written) -> float:
    """A force in newtons, from text with a unit: a bare number could mean too many things.

    Raises:
        ValueError: it is not a force; the message says what was expected.

    >>> parse_force("9 kN"), round(parse_force("2250 lbf"), 1)
    (9000.0, 10008.5)
    """
    found = _FORCE.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found:
        raise ValueError(
            "a force with its unit was expected, such as '9 kN', '500 N' or '2250 lbf'"
        )
    newtons = float(found[1]) * NEWTONS[found[2].lower()]
    if not 0.0 < newtons <= LARGEST_N or not math.isfinite(newtons):
        raise ValueError("a force above 0 and up to 10 000 kN was expected")
    return newtons


Force: TypeAlias = Annotated[
    float, BeforeValidator(parse_force), WithJsonSchema({"type": "string", "quantity": "force"})
]
"""A force, in newtons once read."""

Share: TypeAlias = Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False)]
Positive: TypeAlias = Annotated[float, Field(gt=0.0, le=1e9, allow_inf_nan=False)]


class FitTable(Entry):
    """[fit.LEAF]: the hinge stack of a leaf, where the fitting's own sizes do not say it.

    Attributes:
        bushing, bushing_od: length and outside diameter of the bushing [mm].
        spacer: length of each of the two spacers [mm].
        spacer_od: their outside diameter, which is the bushing's nominal bore [mm].
        bolt: the pivot bolt's diameter [mm].
        hole: diameter of the holes in the cheeks [mm].
        gap: between the cheeks' inner faces [mm]; None takes the two spacers' length.
        end_float: what is wanted with the bolt tight [mm].
        running: fit of spacer in bushing: "RC4" or "H8/f7"; None takes one by the job's unit.
        length_tolerance: plus and minus on turned lengths [mm].
        gap_tolerance: plus and minus on the gap between the cheeks as tacked [mm].
        bolt_slack: between bolt and the spacer's bore, on the diameter [mm].
        play: what the latch takes up, each way, at the leaf's free end [mm].
        weld_near: from the bushing to the nearest weld bead [mm]; None for welded on itself.
        housing_od, press: of the ring the bushing is pressed into, and its fit ("H7/p6"); None
            where it is not pressed.
    """

    bushing: PositiveLength | None = None
    bushing_od: PositiveLength | None = None
    spacer: PositiveLength | None = None
    spacer_od: PositiveLength | None = None
    bolt: PositiveLength | None = None
    hole: PositiveLength | None = None
    gap: PositiveLength | None = None
    end_float: PositiveLength = 0.508
    running: str | None = None
    length_tolerance: PositiveLength = 0.05
    gap_tolerance: PositiveLength = 0.25
    bolt_slack: SomeLength = 0.1
    play: PositiveLength = 3.0
    weld_near: SomeLength | None = None
    housing_od: PositiveLength | None = None
    press: str | None = None


class LoadTable(Entry):
    """[load.NAME]: a push on the structure.

    Attributes:
        on: the bar that is pushed; `at` a mark, where that is plainer.
        where: how far along the bar, 0 at its `from`, 1 at its `to`.
        push: which way: a direction, or "in" (toward the centre plane) or "out".
        force: how hard.
        rule: a published rule that says how hard, in place of `force`.
        must: whether failing it is a `must` finding; otherwise it is for a person to look at.
    """

    on: Name | None = None
    at: Name | None = None
    where: Share = 0.5
    push: Literal["in", "out"] | Direction = "in"
    force: Force | None = None
    rule: str | None = None
    must: bool = True


class Feet(Entry):
    """[strength.feet]: feet bolted to a body shell, held to a rule book's sizes.

    Attributes:
        reinforcement: length, width and thickness of the plate on or under the shell [mm].
        bolt: nominal diameter of the feet's bolts [mm].
    """

    reinforcement: tuple[PositiveLength, PositiveLength, PositiveLength]
    bolt: PositiveLength


class StrengthTable(Entry):
    """[strength]: how the frame is held and judged.

    Attributes:
        held: marks where the frame stands fast in every case; empty takes the lowest tubes.
        clamped: whether they are held against turning too.
        joint: turning stiffness of a coped joint [kN m/rad]; None for rigid.
        welded: whether strength beside welds is lowered for steels that lose it (cold drawn,
            heat treated).
        safety: factor on every load.
        bolt_grade: of the hinge and striker bolts.
        bead: leg of the fillet welds [mm]; None takes full-size welds, a throat as the wall.
        tubes: a rule book's least tube sizes, by name ("fia-2009-other"), every stock is held to.
        doors: leaves that are side doors of a vehicle: they are held against published pushes
            for such doors, as yardsticks. Any other leaf only carries what [load] says.
        rules: which published pushes those are, by name ("r11-latch"); empty takes the usual.
        feet: what goes under the foot plates of a frame that stands on a body shell; None leaves
            their sizes unjudged.
    """

    held: tuple[Name, ...] = ()
    clamped: bool = False
    joint: Positive | None = None
    welded: bool = True
    safety: Annotated[float, Field(ge=1.0, le=10.0)] = 1.0
    bolt_grade: str = "8.8"
    bead: PositiveLength | None = None
    tubes: str | None = None
    doors: tuple[Name, ...] = ()
    rules: tuple[str, ...] = ()
    feet: Feet | None = None


__all__ = ["Feet", "FitTable", "Force", "LoadTable", "StrengthTable", "parse_force"]
