"""Reading a template as `barwright trace` wrote it: NAME.json, with what it says of its doubt."""

from __future__ import annotations

import json
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from barwright.job.drawings import Drawing, DrawnLine, Ring, backwards, ring_area
from barwright.job.errors import BadInput, Fault

Finite = Annotated[float, Field(allow_inf_nan=False, ge=-1e5, le=1e5)]
Doubt = Annotated[float, Field(allow_inf_nan=False, ge=0.0, le=1e3)]
Spot = tuple[Finite, Finite]


class _Loose(BaseModel):
    model_config = ConfigDict(extra="ignore")


class _Run(_Loose):
    vertices: Annotated[
        tuple[tuple[Finite, Finite, Finite], ...], Field(min_length=2, max_length=20_000)
    ]


class _Line(_Loose):
    name: str
    a: Spot
    b: Spot
    sd: Doubt = 0.0


class _Template(_Loose):
    outline: _Run
    holes: Annotated[tuple[_Run, ...], Field(max_length=1000)] = ()
    lines: Annotated[tuple[_Line, ...], Field(max_length=1000)] = ()
    edge_sd: Doubt
    scale_sd: Doubt
    notes: tuple[str, ...] = ()


def read_template(raw: bytes, file: str) -> Drawing:
    """The outline, holes, drawn lines and doubts of a traced template.

    Args:
        raw: the bytes of NAME.json.
        file: its name, as the job has it.

    Raises:
        BadInput: it is not what `barwright trace` writes.
    """
    try:
        return _drawing(_Template.model_validate(_json(raw)), file)
    except (ValueError, ValidationError, ArithmeticError, RecursionError):
        raise BadInput(
            Fault(
                file=file,
                entry="",
                read=f"{len(raw)} bytes that are no traced template",
                expected="the NAME.json that `barwright trace` wrote",
                do="trace the photo again, or name the .dxf",
            )
        ) from None


def _drawing(found: _Template, file: str) -> Drawing:
    """Raises ValueError for an edge that holds nothing."""
    return Drawing(
        file=file,
        outline=_run(found.outline.vertices, 1.0),
        holes=tuple(_run(h.vertices, -1.0) for h in found.holes),
        lines=tuple(DrawnLine(name=x.name, a=x.a, b=x.b, sd=x.sd) for x in found.lines),
        edge_sd=found.edge_sd,
        scale_sd=found.scale_sd,
        notes=found.notes,
    )


def _json(raw: bytes) -> Any:  # noqa: ANN401 - any JSON
    return json.loads(raw.decode("utf-8-sig"))


def _run(ring: Ring, way: float) -> Ring:
    """The ring run the way it is to run: +1 anticlockwise, -1 clockwise."""
    area = ring_area(ring)
    if area == 0.0:
        raise ValueError("an edge that holds nothing")
    return ring if area * way > 0.0 else backwards(ring)
