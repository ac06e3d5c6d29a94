"""A page for the bender for each bent bar: marks on the straight tube, rolls, angles to set.

A bar that was bent beforehand has a page too: what it should measure, and what is cut off it.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from barwright.pack.drawing import NOTE, Anchor, Drawing, Line, Loop, Primitive, Style, Text
from barwright.pack.pages import Box, framed, paragraph, table
from barwright.pack.paper import Book, Sheet, sheet_for
from barwright.pack.picture import Label, View, picture, tube_of
from barwright.pack.scene import colour_of_bar
from barwright.pack.units import degrees, in_unit, shop, tape
from barwright.tubes.bars import BuiltBar
from barwright.tubes.bend_sheet import BendSheet, bend_sheet, bent_already, to_cut_off

if TYPE_CHECKING:
    from barwright.route import Build


def bends_pdf(build: Build) -> bytes | None:
    """One page a bent bar that is to be made; None when nothing is bent."""
    bent = [bar for bar in build.bars.to_make if bar.table.bends]
    if not bent:
        return None
    unit, job = build.job.job.unit, build.job.job.name
    sheet = sheet_for(unit)
    book = Book(sheet, f"{job}: bending")
    for i, bar in enumerate(bent):
        drawn = trim_page if bent_already(build.job, bar) else bend_page
        book.page(drawn(build, bar, sheet, f"{i + 1} of {len(bent)}"), mark=bar.name)
    return book.close()


def bend_page(build: Build, bar: BuiltBar, sheet: Sheet, page: str) -> Drawing:
    """How one bar is bent."""
    unit = build.job.job.unit
    worked, _ = bend_sheet(build.job, bar)
    items, (x0, y0, x1, y1) = framed(sheet, f"Bend {bar.name}", build.job.job.name, page)
    facts, y = _facts(build, bar, worked, (x0, y1), x1 - x0)
    ruler, y = _ruler(worked, (x0, y - 10.0, x1, y - 24.0), unit)
    steps, y = table((x0, y - 14.0), _WIDTHS, [_HEADS, *_rows(worked, unit)], height=2.7)
    notes, y = paragraph(_notes(worked, unit), (x0, y - 2.0), x1 - x0, height=2.2)
    view = _picture(build, bar, (x0 + 8.0, y0 + 4.0, x1 - 8.0, y - 8.0))
    return (*items, *facts, *ruler, *steps, *notes, *view)


def trim_page(build: Build, bar: BuiltBar, sheet: Sheet, page: str) -> Drawing:
    """What a bar that was bent beforehand should measure, and what is cut off its ends."""
    unit = build.job.job.unit
    shape = build.job.bar[bar.name].prebent
    assert shape is not None  # noqa: S101 - asked for such bars only
    items, (x0, y0, x1, y1) = framed(sheet, f"Cut {bar.name} to length", build.job.job.name, page)
    off = to_cut_off(build.job, bar)
    facts, y = paragraph(_trim_words(build, bar, off), (x0, y1), x1 - x0, height=2.8)
    ruler, y = _offcuts(bar, off, (x0, y - 10.0, x1, y - 24.0), unit)
    rows = [["as it was bent", "straight before", "bend", "turn before"]]
    turns = (None, *shape.turns)
    for i, bend in enumerate(shape.bends):
        turn = turns[i]
        rows.append([
            f"bend {i + 1}", in_unit(shape.straights[i], unit), degrees(bend),
            "–" if turn is None else degrees(turn),
        ])  # fmt: skip
    rows.append(["last straight", in_unit(shape.straights[-1], unit), "", ""])
    steps, y = table((x0, y - 12.0), (42.0, 36.0, 30.0, 36.0), rows, height=2.7)
    note = f"Check it against this before anything is cut. Lengths in {_UNITS[unit]}."
    words, y = paragraph(note, (x0, y - 2.0), x1 - x0, height=2.2)
    view = _picture(build, bar, (x0 + 8.0, y0 + 4.0, x1 - 8.0, y - 8.0))
    return (*items, *facts, *ruler, *steps, *words, *view)


_UNITS = {"in": "inches", "mm": "millimetres"}


def _trim_words(build: Build, bar: BuiltBar, off: tuple[float, float]) -> str:
    unit = build.job.job.unit
    cuts = [
        f"{shop(by, unit)} ({tape(by, unit)} {unit} by tape) off its “{name}” end, at mark {mark}"
        for by, name, mark in zip(
            off, ("from", "to"), (bar.start.mark, bar.finish.mark), strict=True
        )
        if abs(by) > 0.05
    ]
    return (
        f"{_tube_words(build, bar)}. It is bent already and lies there: nothing of it is sawn from "
        f"stock. {'Cut ' + ' and '.join(cuts) if cuts else 'Its ends stay as they are'}; then "
        f"{shop(bar.cut_length, unit)} are left from longest point to longest point. Cope the ends "
        "by their templates."
    )


def _offcuts(bar: BuiltBar, off: tuple[float, float], box: Box, unit: str) -> tuple[Drawing, float]:
    """The tube as it came, straightened out, with what is cut off crossed out."""
    x0, top, x1, bottom = box
    cut = [max(by, 0.0) for by in off]
    k = (x1 - x0) / (bar.cut_length + sum(cut))
    a, b = x0 + k * cut[0], x1 - k * cut[1]
    items: list[Primitive] = [_band(a, bottom, b, top, "#dfe6ec")]
    red = Style(colour="#b3261e", width=0.5)
    middle = (top + bottom) / 2.0 - 1.2
    for low, high, by, name in ((x0, a, cut[0], "from"), (b, x1, cut[1], "to")):
        first = name == "from"
        inside = high + 1.5 if first else low - 1.5
        side: Anchor = "left" if first else "right"
        items.append(Text(text=name, at=(inside, middle), height=2.4, bold=True, anchor=side))
        if high - low > 0.3:
            edge = high if first else low
            items += [
                _band(low, bottom, high, top, "#f3d3d0"),
                Line(start=(low, bottom), end=(high, top), layer=NOTE, style=red),
                Line(start=(low, top), end=(high, bottom), layer=NOTE, style=red),
                Line(start=(edge, bottom - 2.5), end=(edge, top + 2.5), layer=NOTE, style=red),
                Text(text=f"off {tape(by, unit)}", at=(low if first else high, bottom - 6.0),
                     height=2.4, anchor=side),
            ]  # fmt: skip
    return tuple(items), bottom


def _notes(worked: BendSheet, unit: str) -> str:
    """What the table's figures count from, and what a roll means."""
    said = f"Lengths in {_UNITS[unit]}, from the “{worked.from_end}” end of the tube as cut."
    if len(worked.steps) > 1:
        other = "to" if worked.from_end == "from" else "from"
        said += (
            f" Roll: stand behind the tube, at its “{other}” end, look at the die, and turn the "
            "tube as it says before the bend; by as much along its outside as the roll arc is."
        )
    if any(step.set is None for step in worked.steps):
        said += " Ask: the bender's table does not reach this angle; make a test bend first."
    return said


_HEADS = ("bend", "mark at", "tape", "straight", "roll first", "roll arc", "wanted", "set")
_WIDTHS = (14.0, 23.0, 25.0, 23.0, 41.0, 22.0, 20.0, 20.0)


def _rows(worked: BendSheet, unit: str) -> list[list[str]]:
    return [
        [
            str(step.number), in_unit(step.mark, unit), tape(step.mark, unit),
            in_unit(step.straight, unit), roll_words(step.roll) if step.number > 1 else "–",
            in_unit(abs(step.roll_arc), unit) if step.number > 1 else "–",
            degrees(step.wanted), "ask" if step.set is None else degrees(step.set),
        ]
        for step in worked.steps
    ]  # fmt: skip


def roll_words(roll: float) -> str:
    """A roll as it is done by who stands behind the tube and looks at the die [rad].

    >>> roll_words(1.5707963), roll_words(-0.1), roll_words(0.0001)
    ('90.0° clockwise', '5.7° anticlockwise', 'none')
    """
    if abs(math.degrees(roll)) < 0.05:
        return "none"
    return f"{degrees(abs(roll))} {'clockwise' if roll > 0.0 else 'anticlockwise'}"


def _tube_words(build: Build, bar: BuiltBar) -> str:
    unit, stock = build.job.job.unit, build.job.stock.get(bar.stock)
    steel = f" {stock.steel}" if stock else ""
    return f"Tube {bar.stock}: {shop(2.0 * bar.radius, unit)} × {_wall(bar, unit)}{steel}"


def _facts(
    build: Build, bar: BuiltBar, worked: BendSheet, at: tuple[float, float], width: float
) -> tuple[Drawing, float]:
    unit = build.job.job.unit
    mark = bar.start.mark if worked.from_end == "from" else bar.finish.mark
    text = (
        f"{_tube_words(build, bar)}. Saw "
        f"{shop(worked.blank, unit)} ({tape(worked.blank, unit)} {unit} by tape). Bend radius to "
        f"the middle {shop(bar.table.clr, unit)}. Work from the “{worked.from_end}” end, mark "
        f"{mark}."
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
    ends = ((bar.start, "from"), (bar.finish, "to"))
    labels = [Label(text=f"{name} · {end.mark}", at=end.origin) for end, name in ends]
    inner = (box[0], box[1], box[2] - 16.0, box[3])
    return picture([shape], inner, view=_broadside(shape.points), labels=labels)


def _broadside(points: tuple[tuple[float, float, float], ...]) -> View:
    """A view from the side the bar is widest to: one of a dozen round the vehicle."""

    def spread(view: View) -> float:
        right, up, _ = view.axes()
        wide = float(np.ptp(np.array(points) @ right))
        tall = float(np.ptp(np.array(points) @ up))
        return math.hypot(wide, tall) + min(wide, tall)

    views = [View(azimuth=a, elevation=e) for e in (20.0, 55.0) for a in range(20, 380, 30)]
    return max(views, key=spread)
