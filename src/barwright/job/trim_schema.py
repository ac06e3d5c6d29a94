"""[[trim]] of job.toml: what the mock-up taught, kept when the parts are worked out again.

Corners and edges of a plate go by the numbers printed on its template; edge 2 runs from corner 2
to the next. Lengths are in millimetres once read.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from barwright.job.entry import Entry, Name
from barwright.job.plate_schema import FlatLength
from barwright.job.quantities import PositiveLength

WAYS = (
    {"part", "corner", "chamfer"},
    {"part", "corner", "round_"},
    {"part", "edge", "back"},
    {"bar", "end", "length"},
)
"""The fields that together make a trim."""

EXPECTED = (
    "part with corner and chamfer, part with corner and round, part with edge and back, or bar "
    "with end and length; give one of these whole (at goes with part alone)"
)


class Trim(Entry):
    """One thing to take off a part.

    Attributes:
        part: name of a plate part, as printed on its template; its twin is trimmed with it.
        corner: number of an outside corner.
        chamfer: how far along both edges the corner is cut off [mm].
        round_: radius the corner is rounded to [mm]; `round` in the file.
        edge: number of a straight edge.
        back: how far the edge is moved in [mm].
        at: where the corner, or a point of the edge, was on the template when this was
            written [mm]: tells when the part has changed too much for its numbers.
        bar: a bar's name; its twin is trimmed with it.
        end: which of its ends.
        length: how much is taken off that end, its cope kept [mm].
        note: why.
    """

    part: str | None = Field(default=None, min_length=1, max_length=200)
    corner: int | None = Field(default=None, ge=1)
    chamfer: PositiveLength | None = None
    round_: PositiveLength | None = Field(default=None, alias="round")
    edge: int | None = Field(default=None, ge=1)
    back: PositiveLength | None = None
    at: FlatLength | None = None
    bar: Name | None = None
    end: Literal["from", "to"] | None = None
    length: PositiveLength | None = None
    note: str = ""

    @model_validator(mode="after")
    def _one_way(self) -> Trim:
        """A trim says one thing, and all of it."""
        said = {n for n in type(self).model_fields if getattr(self, n) is not None}
        if said - {"at", "note"} not in WAYS or (self.bar and self.at):
            raise ValueError(EXPECTED)
        return self


__all__ = ["Trim"]
