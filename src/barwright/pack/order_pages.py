"""The order sheet for people: each plate part drawn, with its bends as seen and its twin."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from barwright.pack.corner_numbers import corner_numbers
from barwright.pack.drawing import NOTE, Drawing, Line, Primitive, Style, Text
from barwright.pack.outlines import bend_call, flat_drawing
from barwright.pack.pages import GREY, RULE, Box, fit, framed, scaled
from barwright.pack.paper import Book, sheet_for, wrapped
from barwright.pack.tables import reach
from barwright.pack.twins import for_cutting, hand_of
from barwright.pack.units import in_unit, number, thick
from barwright.plates.part import Part

if TYPE_CHECKING:
    from barwright.route import Build

ACROSS, DOWN = 2, 3


def order_pdf(build: Build, masses: dict[str, float], files: dict[str, str]) -> bytes | None:
    """Six parts a page; None when there are none."""
    parts = build.parts.parts
    if not parts:
        return None
    sheet = sheet_for(build.job.job.unit)
    book = Book(sheet, f"{build.job.job.name}: order sheet")
    each = ACROSS * DOWN
    pages = [parts[i : i + each] for i in range(0, len(parts), each)]
    for k, page in enumerate(pages):
        frame, box = framed(
            sheet, "Order sheet: plates", build.job.job.name, f"{k + 1} of {len(pages)}"
        )
        cells = [
            _cell(build, part, _place(i, box), masses[part.name], files[part.name])
            for i, part in enumerate(page)
        ]
        book.page((*frame, *(item for cell in cells for item in cell)))
    return book.close()


def _place(i: int, box: Box) -> Box:
    x0, y0, x1, y1 = box
    wide, tall = (x1 - x0) / ACROSS, (y1 - y0) / DOWN
    column, row = i % ACROSS, i // ACROSS
    left, top = x0 + column * wide, y1 - row * tall
    return (left, top - tall, left + wide, top)


def _cell(build: Build, part: Part, box: Box, mass: float, file: str) -> list[Primitive]:
    x0, y0, x1, y1 = box
    words = _words(build, part, mass, file)
    lines = [line for text in words for line in wrapped(text, 2.1, x1 - x0 - 6.0)]
    foot = y0 + 3.7 * len(lines) + 3.0
    paper, room = _for_paper(part), (x0 + 6.0, foot + 4.0, x1 - 8.0, y1 - 10.0)
    scale, by = fit(paper, room, most=2.0)
    items: list[Primitive] = [
        Line(start=(x0, y0), end=(x1, y0), layer=NOTE, style=RULE),
        Text(text=part.name, at=(x0 + 1.0, y1 - 5.0), height=2.8, bold=True),
        *(scaled(it, scale, by) for it in paper),
        *corner_numbers(part, scale, by),
    ]
    items += [
        Text(text=t, at=(x0 + 1.0, foot - 3.7 * (i + 1)), height=2.1) for i, t in enumerate(lines)
    ]
    return items


def _for_paper(part: Part) -> Drawing:
    """The flat pattern as it is cut, tabs and all, with pens that read well when small.

    Its letters are grey; its name stands above it.
    """
    styles = {"cut": Style(width=0.35), "bend": Style(colour="#b3261e", width=0.3, dash=(2.0, 1.0))}
    unnamed = replace(part, etch=tuple(e for e in part.etch if e.text != part.name))
    drawn = flat_drawing(for_cutting(unnamed))
    return tuple(replace(it, style=styles.get(it.layer, GREY)) for it in drawn)


def _words(build: Build, part: Part, mass: float, file: str) -> list[str]:
    unit = build.job.job.unit
    long, wide = reach(part)
    size = f"{in_unit(long, unit)} × {in_unit(wide, unit)} {unit}"
    of = f"{part.material} {thick(part.thickness, unit)}"
    said = [f"quantity 1 · {of} · {size} · {number(mass, 3)} kg · {file}"]
    if part.folds:
        calls = "; ".join(bend_call(f, unit) for f in part.folds)
        said.append(f"bends, as seen here: {calls}")
    if part.note:
        said.append(part.note)
    hand = hand_of(part, build.parts.parts)
    if hand:
        twin = part.twin_of or next(p.name for p in build.parts.parts if p.twin_of == part.name)
        said.append(f"twin {twin}: {hand}")
    return said
