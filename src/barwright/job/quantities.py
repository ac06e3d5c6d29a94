"""The fields' types: what reads a length or an angle as written and keeps mm or rad.

`quantity` in the JSON Schema says which of the two a field is.
"""

from __future__ import annotations

import math
import re
from typing import Annotated, Any, TypeAlias

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    PlainSerializer,
    PlainValidator,
    ValidationInfo,
    WithJsonSchema,
)

from barwright.geometry.vectors import Point
from barwright.job.angles import parse_angle
from barwright.job.lengths import parse_length
from barwright.job.names import LONGEST_NAME, NAME_PATTERN

Written: TypeAlias = Any
"""A value of job.toml as the TOML reader hands it over."""

LEAST_PLUS_MINUS_MM = 0.001
"""No reading on a vehicle is better than a micrometre."""

LEAST_PLUS_MINUS_RAD = math.radians(0.001)

DIRECTIONS: dict[str, Point] = {
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
    "forward": (1.0, 0.0, 0.0),
    "back": (-1.0, 0.0, 0.0),
}
"""The named directions: x forward, y left, z up."""

_LENGTH = {"type": ["number", "string"], "quantity": "length"}
_ANGLE = {"type": ["number", "string"], "quantity": "angle"}


def _length(value: Written, info: ValidationInfo) -> float:
    """Millimetres; a bare number is in the job's unit, which the loader passes along."""
    return parse_length(value, (info.context or {}).get("unit", "mm"))


def _spin(value: Written) -> float | str:
    """The word level, the name of a mark to roll toward, or an angle."""
    is_name = isinstance(value, str) and re.fullmatch(NAME_PATTERN, value)
    if is_name and not value[0].isdigit() and len(value) <= LONGEST_NAME:
        return str(value)
    try:
        return parse_angle(value)
    except ValueError:
        raise ValueError(
            '"level", an angle in degrees or the name of a mark was expected'
        ) from None


def _direction(value: Written) -> Point | str:
    """A named direction, or three numbers that are not all zero."""
    if isinstance(value, str) and value in DIRECTIONS:
        return value
    if isinstance(value, list | tuple) and len(value) == 3 and all(map(_plain_number, value)):
        x, y, z = (float(v) for v in value)
        if any((x, y, z)):
            return (x, y, z)
    raise ValueError(f"one of {', '.join(DIRECTIONS)} was expected, or [x, y, z] not all zero")


def _as_written(direction: Point | str) -> Any:  # noqa: ANN401 - nothing to hold it against again
    """A direction for JSON: its name, or a list of three numbers."""
    return direction if isinstance(direction, str) else list(direction)


def _plain_number(value: Written) -> bool:
    return type(value) in {int, float} and abs(value) < 1e9  # nan compares false


Length: TypeAlias = Annotated[float, BeforeValidator(_length), WithJsonSchema(_LENGTH)]
"""Any length, in millimetres once read."""

SomeLength: TypeAlias = Annotated[Length, Field(ge=0.0)]
"""A length of nothing or more."""

PositiveLength: TypeAlias = Annotated[Length, Field(gt=0.0)]
"""A length above nothing."""


def _between(least: float, most: float, what: str) -> AfterValidator:
    """Holds a length [mm] to what can stand in a shop; beyond it a unit was mistaken."""

    def held(value: float) -> float:
        if not least <= value <= most:
            raise ValueError(f"{what} of {least:g} to {most:g} mm was expected; check its unit")
        return value

    return AfterValidator(held)


Diameter: TypeAlias = Annotated[PositiveLength, _between(1.0, 1000.0, "a tube")]
"""Across a tube, outside [mm]."""

Wall: TypeAlias = Annotated[PositiveLength, _between(0.05, 100.0, "a wall")]
"""Of a tube [mm]."""

Thickness: TypeAlias = Annotated[PositiveLength, _between(0.1, 100.0, "a plate")]
"""Of a plate [mm]."""

Angle: TypeAlias = Annotated[float, BeforeValidator(parse_angle), WithJsonSchema(_ANGLE)]
"""An angle, in radians once read."""

LengthDoubt: TypeAlias = Annotated[Length, Field(ge=LEAST_PLUS_MINUS_MM)]
"""One standard deviation of a length reading [mm]."""

AngleDoubt: TypeAlias = Annotated[Angle, Field(ge=LEAST_PLUS_MINUS_RAD)]
"""One standard deviation of an angle reading [rad]."""

Spin: TypeAlias = Annotated[
    float | str, PlainValidator(_spin), WithJsonSchema({"type": ["number", "string"]})
]
"""The roll of a bent bar: "level", an angle [rad], or a mark's name."""

Direction: TypeAlias = Annotated[
    Point | str,
    PlainValidator(_direction),
    PlainSerializer(_as_written, when_used="json"),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": list(DIRECTIONS)},
                {"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3},
            ]
        }
    ),
]
"""A named direction or a vector of any length but zero."""
