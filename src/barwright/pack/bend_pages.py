"""A page for the bender for each bent bar: marks on the straight tube, rolls, angles to set."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from barwright.pack.drawing import NOTE, Drawing, Line, Loop, Primitive, Style, Text
from barwright.pack.pages import GREY, Box, framed, paragraph, table
from barwright.pack.paper import Book, Sheet, sheet_for
from barwright.pack.picture import View, picture, tube_of
from barwright.pack.scene import colour_of_bar
from barwright.pack.units import degrees, in_unit, shop, tape
from barwright.tubes.bars import BuiltBar
from barwright.tubes.bend_sheet import BendSheet, bend_sheet

if TYPE_CHECKING:
    from barwright.route import Build


def bends_pdf(build: Build) -> bytes | None:
    """One page a bent bar; None when nothing is bent."""
    bent = [bar for bar in build.bars.bars if bar.table.bends]
    if not bent:
        return None
    unit, job = build.job.job.unit, build.job.job.name
    sheet = sheet_for(unit)
    book = Book(sheet, f"{job}: bending")
    for i, bar in enumerate(bent):
        drawing = bend_page(build, bar, sheet, f"{i + 1} of {len(bent)}")
        book.page(drawing, mark=bar.name)
    return book.close()


def bend_page(build: Build, bar: BuiltBar, sheet: Sheet, page: str) -> Drawing:
    """How one bar is bent."""
    unit = build.job.job.unit
    worked, _ = bend_sheet(build.job, bar)
    items, (x0, y0, x1, y1) = framed(sheet, f"Bend {bar.name}", build.job.job.name, page)
    facts, y = _facts(build, bar, worked, (x0, y1), x1 - x0)
    ruler, y = _ruler(worked, (x0, y - 10.0, x1, y - 24.0), unit)
    steps, y = table((x0, y - 14.0), _WIDTHS, [_HEADS, *_rows(worked, unit)], height=2.7)
    words = "inches" if unit == "in" else "millimetres"
    units = f"lengths in {words}, from the “{worked.from_end}” end of the tube as cut"
    note = Text(text=units, at=(x0, y - 5.0), height=2.2, style=GREY)
    view = _picture(build, bar, (x0 + 8.0, y0 + 4.0, x1 - 8.0, y - 12.0))
    return (*items, *facts, *ruler, *steps, note, *view)


_HEADS = ("bend", "mark at", "tape", "straight", "roll first", "roll arc", "wanted", "set")
_WIDTHS = (14.0, 25.0, 25.0, 25.0, 25.0, 25.0, 25.0, 25.0)


def _rows(worked: BendSheet, unit: str) -> list[list[str]]:
    return [
        [
            str(step.number), in_unit(step.mark, unit), tape(step.mark, unit),
            in_unit(step.straight, unit), degrees(step.roll) if step.number > 1 else "–",
            in_unit(step.roll_arc, unit) if step.number > 1 else "–",
            degrees(step.wanted), "ask" if step.set is None else degrees(step.set),
        ]
        for step in worked.steps
    ]  # fmt: skip


def _facts(
    build: Build, bar: BuiltBar, worked: BendSheet, at: tuple[float, float], width: float
) -> tuple[Drawing, float]:
    unit = build.job.job.unit
    stock = build.job.stock.get(bar.stock)
    steel = f" {stock.steel}" if stock else ""
    mark = bar.start.mark if worked.from_end == "from" else bar.finish.mark
    text = (
        f"Tube {bar.stock}: {shop(2.0 * bar.radius, unit)} × {_wall(bar, unit)}{steel}. Saw "
        f"{shop(worked.blank, unit)} ({tape(worked.blank, unit)} {unit} by tape). Bend radius to "
        f"the middle {shop(bar.table.clr, unit)}. Work from the “{worked.from_end}” end, mark "
        f"{mark}. Rolls are right-handed looking along the tube, away from that end."
    )
    items, y = paragraph(text, at, width, height=2.8)
    trims = [
        (f"the end at {mark}", worked.trim_first),
        ("the other end", worked.trim_last),
    ]
    said = " and ".join(f"{shop(t, unit)} from {end}" for end, t in trims if t > 0.05)
    if not said:
        return items, y
    more, y = paragraph(f"After bending trim {said}.", (at[0], y - 1.5), width, height=2.8)
    return (*items, *more), y


def _wall(bar: BuiltBar, unit: str) -> str:
    return f"{bar.wall / 25.4:.3f} in" if unit == "in" else f"{bar.wall:.2f} mm"


def _ruler(worked: BendSheet, box: Box, unit: str) -> tuple[Drawing, float]:
    """The straight tube drawn to scale, with the marks and what is bent shaded."""
    x0, top, x1, bottom = box
    k = (x1 - x0) / worked.blank
    items: list[Primitive] = [_band(x0, bottom, x1, top, "#dfe6ec")]
    for step in worked.steps:
        low, high = x0 + k * step.begins, x0 + k * step.ends
        items.append(_band(low, bottom, high, top, "#f0c48f"))
        x = x0 + k * step.mark
        red = Style(colour="#b3261e", width=0.5)
        items += [
            Line(start=(x, bottom - 2.5), end=(x, top + 2.5), layer=NOTE, style=red),
            Text(text=str(step.number), at=(x, top + 3.5), height=3.0, anchor="middle", bold=True),
            Text(text=tape(step.mark, unit), at=(x, bottom - 6.0), height=2.4, anchor="middle"),
        ]
    middle = (top + bottom) / 2.0 - 1.2
    ends = ("from", "to") if worked.from_end == "from" else ("to", "from")
    items += [
        Text(text=ends[0], at=(x0 + 1.5, middle), height=2.4, bold=True),
        Text(text=ends[1], at=(x1 - 1.5, middle), height=2.4, bold=True, anchor="right"),
    ]
    return tuple(items), bottom


def _band(x0: float, y0: float, x1: float, y1: float, fill: str) -> Loop:
    corners = ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
    return Loop(vertices=corners, layer=NOTE, style=Style(width=0.25, fill=fill))


def _picture(build: Build, bar: BuiltBar, box: Box) -> Drawing:
    """The bar alone, as it stands on the vehicle."""
    if box[3] - box[1] < 30.0:
        return ()
    shape = tube_of(bar.centreline, bar.radius, colour_of_bar(build, bar.name))
    return picture([shape], box, view=_broadside(shape.points))


def _broadside(points: tuple[tuple[float, float, float], ...]) -> View:
    """A view from the side the bar is widest to: one of a dozen round the vehicle."""

    def spread(view: View) -> float:
        right, up, _ = view.axes()
        wide = float(np.ptp(np.array(points) @ right))
        tall = float(np.ptp(np.array(points) @ up))
        return math.hypot(wide, tall) + min(wide, tall)

    views = [View(azimuth=a, elevation=e) for e in (20.0, 55.0) for a in range(20, 380, 30)]
    return max(views, key=spread)
