"""[tolerance] of job.toml: how well the shop makes things, for the chance of first-time fit.

Every doubt is one standard deviation, as `plus_minus` is in readings.csv; limits say so. The
built-in figures are common practice, no source, unless `SOURCES` says otherwise: write your own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from pydantic import Field

from barwright.job.entry import Entry
from barwright.job.quantities import Angle, SomeLength

PRACTICE = "common practice, no source"

SOURCES: Mapping[str, str] = MappingProxyType(
    {"cut": "ISO 9013 class 1 by thickness and length, limits taken as three standard deviations"}
)
"""Where a built-in figure comes from, where that is not common practice."""


class Tolerance(Entry):
    """[tolerance]: one standard deviation of each process, and what a joint may be off.

    Attributes:
        cut: of a laser-cut edge [mm]; None takes ISO 9013 class 1 by the plate's thickness.
        saw: of where a bar's end is sawn or coped along the bar [mm].
        cope_turn: of how far a cope is turned about the tube, on its surface [mm].
        bend_angle: of a bend [rad].
        bend_length: of the length that goes into a bend (bend allowance) [mm].
        bend_turn: of the roll between one bend and the next [rad].
        placing: of how far a hand sets an end off where it sits best, each way [mm].
        tack: of the pull of tacks at an end, each way [mm].
        weld: of the pull of welding a fitting, each way [mm].
        weld_turn: of how far welding leans a hinge over, each way [rad].
        hinge_play: running clearance of the pin, on the diameter [mm].
        weld_gap: the widest gap that is still welded [mm], a limit.
        file: how deep a joint may bind and still be filed to fit in place [mm], a limit.
    """

    cut: SomeLength | None = None
    saw: SomeLength = 0.4
    cope_turn: SomeLength = 0.4
    bend_angle: Angle = Field(default=math.radians(0.3), ge=0.0)
    bend_length: SomeLength = 0.5
    bend_turn: Angle = Field(default=math.radians(0.3), ge=0.0)
    placing: SomeLength = 0.25
    tack: SomeLength = 0.15
    weld: SomeLength = 0.3
    weld_turn: Angle = Field(default=math.radians(0.1), ge=0.0)
    hinge_play: SomeLength = 0.1
    weld_gap: SomeLength = 1.5
    file: SomeLength = 0.5

    def source_of(self, name: str) -> str:
        """Where a figure comes from: the job's own, a standard, or common practice."""
        if name in self.model_fields_set and getattr(self, name) is not None:
            return "job.toml [tolerance]"
        return SOURCES.get(name, PRACTICE)


__all__ = ["PRACTICE", "SOURCES", "Tolerance"]
