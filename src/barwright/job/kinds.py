"""The kinds of reading: how many marks each wants, what its value is, and its usual doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

Value: TypeAlias = Literal["length", "angle", "point", ""]


@dataclass(frozen=True, kw_only=True)
class Rule:
    """What a row of one kind must hold.

    Attributes:
        fewest, most: how many marks; `most` is None where a straightedge may lie on any number.
        value: what the value column holds; empty for a kind without a value.
        least, greatest: the bounds of the value [mm or rad].
        says: what the kind says, for messages.
    """

    fewest: int
    most: int | None
    value: Value
    says: str
    least: float = -math.inf
    greatest: float = math.inf

    @property
    def doubt(self) -> Literal["length", "angle"]:
        """What its plus/minus is."""
        return "angle" if self.value == "angle" else "length"


RULES: dict[str, Rule] = {
    "tape": Rule(fewest=2, most=2, value="length", least=0.0, says="the distance of two marks"),
    "over": Rule(
        fewest=2, most=2, value="length", least=0.0, says="outside to outside of two tubes"
    ),
    "between": Rule(
        fewest=2, most=2, value="length", least=0.0, says="inside to inside of two tubes"
    ),
    "height": Rule(fewest=1, most=1, value="length", says="the height above the datum"),
    "station": Rule(fewest=1, most=1, value="length", says="how far forward of the cross datum"),
    "offset": Rule(fewest=1, most=1, value="length", says="how far left of the centre plane"),
    "incline": Rule(
        fewest=2,
        most=2,
        value="angle",
        least=-math.pi / 2,
        greatest=math.pi / 2,
        says="the angle above level of the line between two marks",
    ),
    "corner": Rule(
        fewest=3,
        most=3,
        value="angle",
        least=0.0,
        greatest=math.pi,
        says="the angle at the middle one of three marks",
    ),
    "level": Rule(fewest=2, most=2, value="", says="two marks at the same height"),
    "plumb": Rule(fewest=2, most=2, value="", says="two marks one above the other"),
    "line": Rule(fewest=3, most=None, value="", says="three or more marks in a straight line"),
    "flat": Rule(fewest=4, most=None, value="", says="four or more marks in one plane"),
    "middle": Rule(fewest=3, most=3, value="", says="a mark halfway between two others"),
    "pair": Rule(fewest=2, most=2, value="", says="two marks that are twins"),
    "fixed": Rule(fewest=1, most=1, value="point", says="a mark at known x y z"),
}
