"""Operation 4 for the page: each plate flat, with folds and etching, and the bought things."""

from __future__ import annotations

import math
from typing import Any

from barwright.pack.corner_numbers import numbered
from barwright.pack.twins import as_cut
from barwright.plates.folded import width_of
from barwright.plates.part import Fold, Hardware, Part, Parts


def plates(parts: Parts) -> dict[str, Any]:
    """Every plate and every bought thing."""
    return {
        "parts": [{**_part(as_cut(p)), "corners": _corners(p)} for p in parts.parts],
        "hardware": [_hardware(h) for h in parts.hardware],
    }


def _part(part: Part) -> dict[str, Any]:
    return {
        "name": part.name,
        "thickness": part.thickness,
        "material": part.material,
        "outline": part.outline.vertices,
        "holes": [h.vertices for h in part.holes],
        "folds": [_fold(f, part.thickness) for f in part.folds],
        "etch": [
            {"path": e.path, "text": e.text, "at": e.at, "height": e.height} for e in part.etch
        ],
        "rides": part.rides,
        "twin_of": part.twin_of,
    }


def _corners(part: Part) -> list[dict[str, Any]]:
    """Number, place and way outward of each corner, on the pattern as cut, as on paper."""
    side = -1.0 if part.placed.mirrors else 1.0
    return [
        {"n": n, "at": (side * x, y), "out": (side * u, v)} for n, (x, y), (u, v) in numbered(part)
    ]


def _fold(fold: Fold, thickness: float) -> dict[str, Any]:
    return {
        "start": fold.start,
        "end": fold.end,
        "angle": math.degrees(fold.angle),
        "radius": fold.radius,
        "width": width_of(fold, thickness),
    }


def _hardware(item: Hardware) -> dict[str, Any]:
    return {
        "name": item.name,
        "what": item.what,
        "dims": item.dims,
        "rides": item.rides,
        "twin_of": item.twin_of,
    }
