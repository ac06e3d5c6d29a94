"""A traced template as files: DXF and SVG in true size, and a sheet of how sure it is."""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from pathlib import Path
from typing import Any

from barwright.job.errors import BadInput, Fault
from barwright.pack.drawing import CUT, ETCH, NOTE, Circle, Line, Loop, Primitive, Style, Text
from barwright.pack.dxf import dxf_bytes
from barwright.pack.names import file_name
from barwright.pack.svg import svg_text
from barwright.pack.units import number
from barwright.survey.template_photo import MOST_BYTES
from barwright.survey.template_trace import trace
from barwright.survey.template_types import Outline, Pick, Template

ROUND = 1e-9
"""Of a bulge from 1: below it two halves are one circle."""

LINE = Style(colour="#1f5fa8", width=0.25, dash=(6.0, 1.5, 1.0, 1.5))


def trace_to(
    photo: Path,
    out: Path,
    *,
    board_name: str,
    thickness: float,
    tolerance: float = 0.25,
    printed_bar: float | None = None,
    printed_long: tuple[float, float] | None = None,
    camera_height: float | None = None,
    picks: tuple[Pick, ...] = (),
) -> tuple[Template, tuple[Path, ...]]:
    """Trace a photo and write NAME.dxf, NAME.svg and NAME.json into a folder.

    Args:
        photo: a JPEG or PNG file.
        out: the folder, made if need be.
        board_name: of the board it lies on.
        thickness: of the cardboard [mm].
        tolerance: of the straights and arcs [mm].
        printed_bar: the 100 mm bar as measured on the print [mm].
        printed_long: the two long bars as measured, across and up [mm].
        camera_height: above the board, if measured [mm].
        picks: two points on each drawn line to keep.

    Returns:
        the template, and the files written.

    Raises:
        BadInput: the photo cannot be read or traced.
    """
    template = trace(
        _read(photo),
        board_name=board_name,
        thickness=thickness,
        tolerance=tolerance,
        printed_bar=printed_bar,
        printed_long=printed_long,
        camera_height=camera_height,
        picks=picks,
        name=photo.name,
    )
    out.mkdir(parents=True, exist_ok=True)
    stem = file_name(photo.stem)
    made = (
        (f"{stem}.dxf", dxf_bytes(drawing(template))),
        (f"{stem}.svg", svg_text((*drawing(template), *_said(template))).encode("utf-8")),
        (f"{stem}.json", (json.dumps(as_json(template), indent=1) + "\n").encode("utf-8")),
    )
    for name, data in made:
        (out / name).write_bytes(data)
    return template, tuple(out / name for name, _ in made)


def _read(photo: Path) -> bytes:
    try:
        if photo.stat().st_size > MOST_BYTES:
            read, do = f"{photo.stat().st_size} bytes", "take it again at 12 megapixels"
            most = f"at most {MOST_BYTES // 1_000_000} MB"
            raise BadInput(Fault(file=photo.name, entry="photo", read=read, expected=most, do=do))
        return photo.read_bytes()
    except OSError as wrong:
        raise BadInput(
            Fault(
                file=photo.name,
                entry="photo",
                read=wrong.strerror or "nothing",
                expected="a photo that can be read",
                do="check the path and the file's permissions",
            )
        ) from None


def drawing(template: Template) -> tuple[Primitive, ...]:
    """The template's edges to cut and its drawn centrelines, in the board's frame [mm]."""
    edges = [_edge(o) for o in (template.outline, *template.holes)]
    lines = [Line(start=x.a, end=x.b, layer=ETCH, style=LINE) for x in template.lines]
    return (*edges, *lines)


def _edge(outline: Outline) -> Primitive:
    v = outline.vertices
    if len(v) == 2 and all(abs(abs(b) - 1.0) < ROUND for _, _, b in v):
        centre = ((v[0][0] + v[1][0]) / 2, (v[0][1] + v[1][1]) / 2)
        return Circle(centre=centre, radius=math.dist(v[0][:2], v[1][:2]) / 2, layer=CUT)
    return Loop(vertices=v, layer=CUT)


def _said(template: Template) -> tuple[Primitive, ...]:
    """How sure it is, under the drawing."""
    low = min(y for _, y, _ in template.outline.vertices)
    left = min(x for x, _, _ in template.outline.vertices)
    return tuple(
        Text(text=text, at=(left, low - 8.0 - 5.0 * i), height=2.5, layer=NOTE)
        for i, text in enumerate(summary(template))
    )


def summary(template: Template) -> tuple[str, ...]:
    """What was found and how sure it is, in lines for people."""
    return (_found(template), _sure(template), _taken(template), *template.notes)


def _found(it: Template) -> str:
    runs, holes, lines = len(it.outline.vertices), len(it.holes), len(it.lines)
    return (
        f"{runs} straights and arcs, {holes} holes, {lines} drawn lines; fitted within "
        f"{number(it.tolerance, 2)} mm, the worst run's points {number(max(it.outline.rms), 2)} mm "
        "rms off it"
    )


def _sure(it: Template) -> str:
    v = it.outline.vertices
    long = max(math.dist(a[:2], b[:2]) for a in v for b in v)
    return (
        f"edges ±{number(it.edge_sd, 2)} mm, scale ±{number(100 * it.scale_sd, 2)} %: "
        f"{number(long, 0)} mm across is sure to ±{number(it.length_sd(long), 2)} mm (one sd)"
    )


def _taken(it: Template) -> str:
    view = it.view
    return (
        f"{view.markers} markers, {number(view.rms, 2)} px rms; {number(view.pixel, 2)} mm a px; "
        f"camera {number(view.height, 0)} ±{number(view.height_sd, 0)} mm above the board, tilted "
        f"{number(math.degrees(view.tilt), 0)}°; card {number(it.thickness, 1)} mm"
    )


def as_json(template: Template) -> dict[str, Any]:
    """The template as plain data, lengths in mm, angles in degrees."""
    data = asdict(template)
    data["view"]["tilt"] = math.degrees(template.view.tilt)
    return data
