"""The fields' types: what reads a length or an angle as written and keeps mm or rad."""

from __future__ import annotations

import math
from typing import Annotated, Any, TypeAlias

from pydantic import BeforeValidator, Field, ValidationInfo, WithJsonSchema

from barwright.job.lengths import parse_length

_AS_WRITTEN = {"anyOf": [{"type": "number"}, {"type": "string"}]}


def _length(value: Any, info: ValidationInfo) -> float:  # noqa: ANN401 - as written
    """Millimetres; a bare number is in the job's unit, which the loader passes along."""
    if not isinstance(value, str | int | float):
        raise ValueError("a length was expected, such as 1.75 or '38.1 mm'")  # noqa: TRY004
    return parse_length(value, (info.context or {}).get("unit", "mm"))


def _angle(value: Any, info: ValidationInfo) -> float:  # noqa: ANN401, ARG001 - as written
    """Radians; angles are written in degrees."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("an angle in degrees was expected, such as 22.5")  # noqa: TRY004
    try:
        degrees = float(value.replace("°", "").replace("deg", "")) if isinstance(value, str) else value
    except ValueError:
        raise ValueError("an angle in degrees was expected, such as 22.5") from None
    if not math.isfinite(degrees):
        raise ValueError("an angle must be a finite number of degrees")
    return math.radians(degrees)


Length: TypeAlias = Annotated[float, BeforeValidator(_length), WithJsonSchema(_AS_WRITTEN)]
"""Any length, in millimetres once read."""

SomeLength: TypeAlias = Annotated[Length, Field(ge=0.0)]
"""A length of nothing or more."""

PositiveLength: TypeAlias = Annotated[Length, Field(gt=0.0)]
"""A length above nothing."""

Angle: TypeAlias = Annotated[float, BeforeValidator(_angle), WithJsonSchema(_AS_WRITTEN)]
"""An angle, in radians once read."""
