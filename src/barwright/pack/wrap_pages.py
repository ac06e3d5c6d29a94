"""Templates for tube ends and plates, at true size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from barwright.pack.corner_numbers import corner_numbers
from barwright.pack.drawing import BEND, CUT, Style
from barwright.pack.outlines import bend_call, flat_drawing
from barwright.pack.paper import sheet_for
from barwright.pack.true_size import Head, Item, true_size_pdf
from barwright.pack.twins import for_cutting
from barwright.pack.units import degrees, number, shop, tape, thick
from barwright.pack.wrap import Wrap, facts, template, wraps_of
from barwright.plates.part import Part
from barwright.tubes.bars import Bars, BuiltBar
from barwright.tubes.hole_saw import hole_saw

WRAP_HOW = (
    "Cut out along the heavy lines. Wrap round the tube, print side out, straight edge toward the "
    "bar's other end; the edge must meet itself square. Lay the green line on the inside of the "
    "bend, or on a line scribed along the bar: both ends share it; thin green lines are where the "
    "insides of further bends lie. The point marked LONGEST touches the tube's square-cut end."
)

OFF_CENTRE = 0.4
"""Axes nearer than this [mm] are set up as on centre: a jig's own play; common practice."""

BOARD_HOW = (
    "Flats of board, seen side up: glue the paper to the board and cut. Flats -a, -b … of one part "
    "are butted at the edges with like blue numbers, outside faces flush, turned up (toward you) "
    "or down as it says, and taped. Small numbers are the metal part's corners, for trims."
)

PLATE_HOW = (
    "The flat pattern as it is cut, seen side up. Glue it to card or board to try hole patterns, "
    "or lay it on the cut part to check it. Red dashes are bend lines: UP is toward you. Small "
    "numbers are corners, for trims: edge 2 runs from corner 2 to the next."
)

_PENS = {CUT: Style(width=0.3), BEND: Style(colour="#b3261e", width=0.25, dash=(4.0, 1.5))}


def wraps_pdf(
    bars: Iterable[BuiltBar], unit: str, job: str, receivers: Bars | None = None
) -> bytes | None:
    """Every coped end's template; None when no end is coped.

    Args:
        bars: whose ends.
        unit: of the job.
        job: its name.
        receivers: all bars, to say how a hole saw cuts the end; None leaves that out.
    """
    items = [
        wrap_item(
            wrap, unit, "" if receivers is None else saw_words(receivers, bar, wrap.end, unit)
        )
        for bar in bars
        for wrap in wraps_of(bar)
    ]
    head = Head(title="Tube ends 1:1", how=WRAP_HOW, job=job)
    return true_size_pdf(items, sheet_for(unit), head)


def wrap_item(wrap: Wrap, unit: str, more: str = "") -> Item:
    """A tube end's template with its caption."""
    return Item(
        drawing=template(wrap, unit),
        title=f"{wrap.bar} · end “{wrap.end}” at mark {wrap.mark}",
        facts=facts(wrap, unit),
        subject=wrap.bar,
        more=more,
    )


def saw_words(bars: Bars, bar: BuiltBar, end: str, unit: str) -> str:
    """How a hole saw cuts an end, or why it cannot; empty where there is no tube to cut for."""
    cut = hole_saw(bars, bar, bar.start if end == "from" else bar.finish)
    if cut is None:
        return ""
    if not cut.possible:
        return f"Not by hole saw: {cut.why_not}."
    size = f"{tape(cut.saw, unit)} {unit}" if unit == "in" else f"{number(cut.saw, 1)} mm"
    off = f"axes {shop(cut.offset, unit)} apart" if cut.offset > OFF_CENTRE else "on centre"
    deep = f"cup {shop(cut.deep, unit)} deep" + ("" if cut.one_pass else ", or in two passes")
    return f"Hole saw {size}: {degrees(cut.angle)} to the tube (90° is square), {off}, {deep}."


def plates_pdf(parts: Iterable[Part], unit: str, job: str, *, stage: str = "metal") -> bytes | None:
    """Every plate's flat pattern; None when there are no plates."""
    head = Head(title="Plates 1:1", how=BOARD_HOW if stage == "board" else PLATE_HOW, job=job)
    return true_size_pdf([_plate_item(part, unit) for part in parts], sheet_for(unit), head)


def _plate_item(part: Part, unit: str) -> Item:
    drawing = flat_drawing(for_cutting(part))
    bends = "; ".join(bend_call(fold, unit) for fold in part.folds) or part.note
    return Item(
        drawing=(
            *(replace(it, style=_PENS.get(it.layer)) for it in drawing),
            *corner_numbers(part),
        ),
        title=part.name,
        facts=f"{part.material} {thick(part.thickness, unit)}" + (f" · {bends}" if bends else ""),
        subject=part.name,
    )
