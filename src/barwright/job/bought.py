"""Reading a flat outline from a DXF file: closed edges, round holes, marked lines.

Straights, arcs, circles and polylines are taken as they are; splines and ellipses as short
straights within `SMOOTH`. Text, dimensions, hatches and points are left out. Edges on a layer
whose name says so (etch, mark, centre …) are lines marked on the part, not cut.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from barwright.job.drawings import (
    Drawing,
    Ring,
    backwards,
    ring_area,
    sampled,
)
from barwright.job.dxf_edges import MOST, Sheet, take
from barwright.job.errors import BadInput, Fault
from barwright.job.rings import closed

LARGEST = 5_000.0
"""Across [mm]: what is larger was drawn in another unit."""

UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 8: 25.4e-6, 9: 0.0254, 13: 0.001}
"""Millimetres to one unit, by DXF's $INSUNITS: in, ft, mm, cm, m, microinch, mil, micrometre."""
WORDS = {"in": 25.4, "mm": 1.0}

FILES_KEPT = 16
"""Drawings remembered by their bytes: a job is read again at each edit of a reading."""


@lru_cache(FILES_KEPT)
def read_dxf(raw: bytes, file: str, *, unit: str, said: str | None = None) -> Drawing:
    """The outline in a DXF file.

    Args:
        raw: the file's bytes.
        file: its name, as the job has it.
        unit: of a file that names none: the job's, "in" or "mm".
        said: a unit that stands above what the file names; None for none.

    Raises:
        BadInput: no DXF, no closed outline, an edge that is left open, more than one part, or a
            size or unit that cannot be.
    """
    document = _document(raw, file)
    read = Sheet(scale=_scale(document, file, unit, said))
    try:
        for entity in document.modelspace():
            take(read, entity, 0)
            if len(read.edges) + len(read.rings) > MOST:
                raise _bad(file, f"more than {MOST} edges", "a part's outline", "simplify it")
        return _drawing(read, file)
    except (ValueError, ArithmeticError, LookupError, TypeError, AttributeError) as wrong:
        raise _bad(
            file, str(wrong)[:120], "edges a DXF can hold", "save it again as R2000 or later"
        ) from None


def _document(raw: bytes, file: str) -> Any:  # noqa: ANN401 - ezdxf's own type
    import logging

    import ezdxf
    from ezdxf import recover

    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)
    try:
        return recover.read(io.BytesIO(raw))[0]
    except (ezdxf.DXFError, OSError, ValueError, ArithmeticError, LookupError, TypeError,
            AttributeError, RecursionError, AssertionError):  # fmt: skip
        raise _bad(
            file,
            f"{len(raw)} bytes that are no DXF drawing",
            "a DXF file, in text, R12 or later",
            "export it again as DXF (text, not binary)",
        ) from None


def _scale(document: Any, file: str, unit: str, said: str | None) -> float:  # noqa: ANN401
    """Millimetres to one unit of the drawing."""
    if said is not None:
        return WORDS[said]
    code = int(document.header.get("$INSUNITS", 0) or 0)
    if code == 0:
        return WORDS[unit]
    if code not in UNITS:
        raise _bad(
            file,
            f"$INSUNITS {code}",
            "inches, feet, mm, cm or m",
            'say unit = "mm" or "in" in the table',
        )
    return UNITS[code]


def _drawing(read: Sheet, file: str) -> Drawing:
    rings = [*read.rings, *closed(read.edges, file)]
    rings = [r for r in rings if abs(ring_area(r)) > 1e-3]
    if not rings:
        raise _bad(
            file, "no closed outline", "the part's outer edge, closed", "draw it as a closed line"
        )
    rings.sort(key=lambda r: -abs(ring_area(r)))
    outer, *inner = (r if ring_area(r) > 0.0 else backwards(r) for r in rings)
    _must_be_one(outer, inner, file)
    return Drawing(
        file=file,
        outline=outer,
        holes=tuple(backwards(r) for r in inner),
        lines=tuple(read.lines),
        smoothed=read.smoothed,
        notes=tuple(_notes(read)),
    )


def _notes(read: Sheet) -> Iterator[str]:
    if read.smoothed:
        yield f"its free curves are taken as straights within {read.smoothed:.2f} mm"
    if read.odd:
        yield f"left out: {', '.join(sorted(read.odd))}"


def _must_be_one(outer: Ring, inner: list[Ring], file: str) -> None:
    """Raises BadInput for a size that cannot be, and for edges beside or within one another."""
    from shapely.geometry import Polygon

    whole = Polygon(sampled(outer))
    x0, y0, x1, y1 = whole.bounds
    across = max(x1 - x0, y1 - y0)
    if not 1.0 <= across <= LARGEST:
        raise _bad(
            file,
            f"{across:.4g} mm across",
            f"a part of 1 mm to {LARGEST:.0f} mm",
            'check its unit, or say unit = "mm" or "in" in the table',
        )
    if not whole.is_valid:
        raise _bad(file, "an outline that crosses itself", "one that does not", "mend the drawing")
    holes = [Polygon(sampled(r)) for r in inner]
    for i, hole in enumerate(holes):
        within = hole.is_valid and whole.contains(hole)
        if not within or any(hole.intersects(o) for o in holes[:i]):
            x, y = hole.representative_point().coords[0]
            raise _bad(
                file,
                f"a second edge at x {x:.1f}, y {y:.1f} mm that is no hole in the first",
                "one part: an outline, and holes within it that do not touch",
                "keep one part in the file",
            )


def _bad(file: str, read: str, expected: str, do: str) -> BadInput:
    return BadInput(Fault(file=file, entry="", read=read, expected=expected, do=do))
