"""Results as JSON for the page: lengths in mm, angles in degrees, what is not finite as null."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from barwright.findings import Finding
from barwright.geometry.vectors import Floats
from barwright.job.errors import Fault

PLACES = 5
"""Decimals kept: a hundredth of a micrometre is more than a page can show."""


def dumps(value: Any) -> bytes:  # noqa: ANN401 - any plain data
    """Strict JSON in UTF-8; arrays of numbers as lists of lists.

    >>> dumps({"sd": (float("inf"), -0.0, 1), "at": np.array([[0.5, np.nan]])})
    b'{"sd":[null,0.0,1],"at":[[0.5,null]]}'
    """
    text = json.dumps(_plain(value), allow_nan=False, ensure_ascii=False, separators=(",", ":"))
    return text.encode("utf-8")


def _plain(value: Any) -> Any:  # noqa: ANN401 - any plain data
    if isinstance(value, float):
        return round(value, PLACES) + 0.0 if math.isfinite(value) else None
    if isinstance(value, str | int | None):
        return value
    if isinstance(value, np.ndarray):
        return _numbers(value)
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return value


def _numbers(values: Floats) -> Any:  # noqa: ANN401 - lists as deep as the array
    """An array as lists; only where something is not finite is each number looked at."""
    if np.isfinite(values).all():
        return (values.round(PLACES) + 0.0).tolist()
    return _plain(values.tolist())


def finding(found: Finding) -> dict[str, Any]:
    """A finding as the page shows it."""
    return {
        "code": found.code,
        "level": found.level.value,
        "subject": found.subject,
        "says": found.says,
        "measured": found.measured,
        "allowed": found.allowed,
        "unit": found.unit,
        "source": found.source,
        "remedy": found.remedy,
    }


def fault(wrong: Fault) -> dict[str, Any]:
    """A fault as the page shows it."""
    return {
        "file": wrong.file,
        "entry": wrong.entry,
        "line": wrong.line,
        "read": wrong.read,
        "expected": wrong.expected,
        "do": wrong.do,
    }
