"""Cut list, order sheet and hardware list, as tables any spreadsheet opens."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from barwright.pack.drawing import bounds
from barwright.pack.ends import meets
from barwright.pack.outlines import cut_of, fold_words
from barwright.pack.twins import hand_of
from barwright.pack.units import in_unit, number, shop, tape
from barwright.plates.gauge import as_cut as with_tabs
from barwright.plates.part import Part
from barwright.tubes.bars import BuiltBar, End
from barwright.tubes.bend_sheet import bent_already, to_cut_off
from barwright.tubes.nesting import Nesting, nestings

if TYPE_CHECKING:
    from barwright.route import Build

Row = Sequence[str | int]
Column = tuple[str, str | int]
"""A column's head and one row's cell under it."""

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")


def csv_bytes(head: Row, rows: Iterable[Row]) -> bytes:
    """A table as UTF-8 CSV with a byte order mark, which spreadsheets want to see.

    A cell that a spreadsheet would run as a formula is kept as text by a leading apostrophe
    (OWASP, "CSV injection"); plain numbers are left as they are.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([harmless(cell) for cell in head])
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def harmless(cell: str | int) -> str:
    """A cell's text that no spreadsheet takes for a formula.

    >>> harmless("=1+1"), harmless("-3.5"), harmless("upper"), harmless("-upper")
    ("'=1+1", '-3.5', 'upper', "'-upper")
    """
    text = str(cell)
    if not text.startswith(_FORMULA) or _is_number(text):
        return text
    return f"'{text}"


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text)) and text == text.strip()
    except ValueError:
        return False


def table(rows: Iterable[Sequence[Column]]) -> bytes:
    """Rows of (head, cell) as a table; a column whose head came before is left out.

    So a job in millimetres does not say every length twice.
    """
    kept = [dict(reversed(row)) for row in rows]
    order = [list(dict.fromkeys(head for head, _ in row)) for row in rows]
    return csv_bytes(order[0], [[row[head] for head in order[0]] for row in kept])


def cut_list(build: Build) -> bytes:
    """One row a bar to make: what to saw off the stock, how to bend it, what each end meets."""
    unit = build.job.job.unit
    return table([_bar_row(bar, build, unit) for bar in build.bars.to_make])


def work_on(build: Build, bar: BuiltBar) -> str:
    """What is done to a bar before its ends are coped."""
    if bent_already(build.job, bar):
        unit, (first, last) = build.job.job.unit, to_cut_off(build.job, bar)
        return f"bent already, cut {shop(first, unit)} off “from” and {shop(last, unit)} off “to”"
    return "saw, bend" if bar.table.bends else "saw"


def _bar_row(bar: BuiltBar, build: Build, unit: str) -> list[Column]:
    bends = bar.table
    return [
        ("bar", bar.name),
        ("work", work_on(build, bar)),
        ("stock", bar.stock),
        ("steel", _steel(build, bar)),
        (f"od [{unit}]", in_unit(2.0 * bar.radius, unit)),
        (f"wall [{unit}]", _wall(bar.wall, unit)),
        (f"cut length [{unit}]", in_unit(bar.cut_length, unit)),
        ("cut length [tape]", tape(bar.cut_length, unit)),
        ("cut length [mm]", number(bar.cut_length, 1)),
        (f"straights [{unit}]", " ".join(in_unit(s, unit) for s in bends.straights)),
        ("bends [deg]", " ".join(number(math.degrees(b), 1) for b in bends.bends)),
        ("turns [deg]", " ".join(number(math.degrees(t), 1) for t in bends.turns)),
        (f"clr [{unit}]", in_unit(bends.clr, unit) if bends.bends else ""),
        ("mass [kg]", number(bar.mass, 3)),
        ("from", bar.start.mark),
        ("from against", _against(bar.start)),
        ("to", bar.finish.mark),
        ("to against", _against(bar.finish)),
        ("twin of", bar.twin_of),
    ]


def _steel(build: Build, bar: BuiltBar) -> str:
    stock = build.job.stock.get(bar.stock)
    return stock.steel if stock else ""


def _wall(wall: float, unit: str) -> str:
    return number(wall / 25.4, 3) if unit == "in" else number(wall, 2)


def _against(end: End) -> str:
    return " ".join(meets(end)) or "square"


def stock_list(build: Build) -> bytes | None:
    """One row a stock: the bars to buy, and what the pieces sawn from them add up to.

    None where nothing is sawn.
    """
    unit = build.job.job.unit
    rows = [_stock_row(plan, build, unit) for plan in nestings(build.job, build.bars)]
    return table(rows) if rows else None


def _stock_row(plan: Nesting, build: Build, unit: str) -> list[Column]:
    pieces = {p.name: p.length for b in plan.bars for p in b.pieces}
    pieces |= {p.name: p.length for p in plan.too_long}
    mine = [bar for bar in build.bars.to_make if bar.name in pieces]
    total, longest = sum(pieces.values()), max(pieces.values())
    return [
        ("stock", plan.stock),
        ("buy", len(plan.bars)),
        (f"bars of [{unit}]", in_unit(plan.length, unit)),
        ("steel", _steel(build, mine[0])),
        (f"od [{unit}]", in_unit(2.0 * mine[0].radius, unit)),
        (f"wall [{unit}]", _wall(mine[0].wall, unit)),
        ("pieces", len(mine)),
        (f"total [{unit}]", in_unit(total, unit)),
        ("total [mm]", number(total, 1)),
        (f"longest [{unit}]", in_unit(longest, unit)),
        ("mass [kg]", number(sum(b.mass for b in mine), 2)),
    ]


def order_sheet(build: Build, masses: dict[str, float], files: dict[str, str]) -> bytes:
    """One row a plate part: what to ask the cutting service for.

    Args:
        build: the route's result.
        masses: part name -> mass [kg].
        files: part name -> its DXF in the pack.
    """
    unit, parts = build.job.job.unit, build.parts.parts
    return table([_part_row(p, parts, unit, masses[p.name], files[p.name]) for p in parts])


def _part_row(part: Part, parts: Iterable[Part], unit: str, mass: float, file: str) -> list[Column]:
    length, width = reach(part)
    return [
        ("part", part.name),
        ("file", file),
        ("material", part.material),
        (f"thickness [{unit}]", _wall(part.thickness, unit)),
        ("thickness [mm]", number(part.thickness, 2)),
        ("quantity", 1),
        (f"length [{unit}]", in_unit(length, unit)),
        (f"width [{unit}]", in_unit(width, unit)),
        ("bends", len(part.folds)),
        ("bend calls (seen side)", "; ".join(fold_words(f) for f in part.folds)),
        ("holes", len(part.holes)),
        ("twin of", part.twin_of),
        ("as its twin", hand_of(part, parts)),
        ("mass [kg]", number(mass, 3)),
    ]


def reach(part: Part) -> tuple[float, float]:
    """Length and width [mm] of the box of what is cut, tabs included, the longer first."""
    x0, y0, x1, y1 = bounds([cut_of(with_tabs(part).outline)])
    return max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)


def hardware_list(build: Build) -> bytes | None:
    """One row a kind of bought or turned thing, counted; None where there is none."""
    unit = build.job.job.unit
    kinds: dict[tuple[str, tuple[tuple[str, float], ...]], list[str]] = {}
    for item in build.parts.hardware:
        rounded = tuple((name, round(mm, 3)) for name, mm in item.dims)
        kinds.setdefault((item.what, rounded), []).append(item.name)
    rows = [_hardware_row(what, dims, names, unit) for (what, dims), names in kinds.items()]
    return table(rows) if rows else None


def _hardware_row(
    what: str, dims: tuple[tuple[str, float], ...], names: list[str], unit: str
) -> list[Column]:
    return [
        ("what", what),
        ("quantity", len(names)),
        (f"dimensions [{unit}]", " ".join(f"{n} {in_unit(mm, unit)}" for n, mm in dims)),
        ("dimensions [mm]", " ".join(f"{n} {number(mm, 2)}" for n, mm in dims)),
        ("for", " ".join(names)),
    ]
