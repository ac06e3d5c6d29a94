"""What a leaf leaves room for: a person through its opening, a release cable over its hinge.

Lengths are in millimetres, angles in radians once read.
"""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Discriminator, Field, Tag

from barwright.job.entry import Entry, Name
from barwright.job.quantities import Direction, Length, PositiveLength, Written


def _mark_or_point(place: Written) -> str:
    """A place is a mark's name, or three coordinates."""
    return "mark" if isinstance(place, str) else "point"


Place: TypeAlias = Annotated[
    Annotated[Name, Tag("mark")] | Annotated[tuple[Length, Length, Length], Tag("point")],
    Discriminator(_mark_or_point),
]
"""A mark, or a point of the vehicle [mm]."""


class Opening(Entry):
    """[leaf.NAME.opening]: the way out that the open leaf leaves.

    Attributes:
        corners: marks round it, in order, on the centrelines of the bars round it.
        clothing: what is worn: light, medium or heavy.
        depth: of a body that goes through flat [mm]; by default a 95th percentile man's chest.
        circle: diameter of the circle that the rules ask for [mm].
        rule: which rules those are.
    """

    corners: tuple[Name, ...] = Field(min_length=3)
    clothing: Literal["light", "medium", "heavy"] = "medium"
    depth: PositiveLength | None = None
    circle: PositiveLength | None = None
    rule: str = Field(default="", max_length=200)


class CableRun(Entry):
    """[leaf.NAME.cable]: a release cable that runs over to the leaf.

    Attributes:
        fixed: the last clamp that stands still.
        out: the direction in which the cable leaves it.
        riding: the first clamp on the leaf, where it is when closed.
        into: the direction in which the cable enters that, when closed.
        bend: the least bend radius that the cable's maker allows [mm].
        length: of the cable between the two clamps as built [mm]; without it, it is worked out.
    """

    fixed: Place
    out: Direction
    riding: Place
    into: Direction
    bend: PositiveLength
    length: PositiveLength | None = None


__all__ = ["CableRun", "Opening", "Place"]
