"""What to saw from which tube, and which plates lie on which sheet: pages and drawings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from barwright.pack.drawing import NOTE, Drawing, Loop, Primitive, Style, Text, moved
from barwright.pack.dxf import dxf_bytes
from barwright.pack.names import file_name
from barwright.pack.nest import GAP, SheetPlan, placed_shape, plans
from barwright.pack.outlines import flat_drawing
from barwright.pack.pages import fitted, framed, paragraph
from barwright.pack.paper import Book, Sheet, sheet_for, text_width
from barwright.pack.tables import Column, table
from barwright.pack.units import in_unit, number, shop, tape
from barwright.tubes.bend_sheet import bent_already
from barwright.tubes.nesting import Nesting, StockBar, cost, nestings

if TYPE_CHECKING:
    from barwright.route import Build

BAR = 16.5
"""Height a stock bar takes on the page [mm]."""

_COLOURS = ("#dbe7f0", "#f3e3c8", "#dcebdd", "#ecdfe9")


def cutting_files(build: Build) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """The cutting PDF, the cut plan as a table, a DXF a nested sheet; parts too large to nest."""
    tubes = nestings(build.job, build.bars) if build.bars.bars else ()
    grain = frozenset(
        (s.material, s.thickness) for s in build.job.sheet.values() if s.grain is not None
    )
    sheets, too_large = plans(build.parts.parts, grain=grain, sizes=sheet_sizes(build))
    files: dict[str, bytes] = {}
    if tubes:
        files["lists/cut-plan.csv"] = cut_plan(tubes, build.job.job.unit)
    for i, plan in enumerate(sheets):
        files[f"nest/{sheet_name(plan, i)}.dxf"] = dxf_bytes(nest_drawing(plan))
    if tubes or sheets or build.bars.to_make:
        files["sheets/cutting.pdf"] = _book(build, tubes, sheets)
    return files, too_large


def sheet_sizes(build: Build) -> dict[tuple[str, float], tuple[tuple[float, float], ...]]:
    """The sheets the job says there are, by material and thickness [mm]."""
    found: dict[tuple[str, float], tuple[tuple[float, float], ...]] = {}
    for sheet in build.job.sheet.values():
        key = (sheet.material, sheet.thickness)
        found[key] = (*found.get(key, ()), *sheet.sizes)
    return found


def sheet_name(plan: SheetPlan, i: int) -> str:
    """What a nested sheet's drawing is called."""
    return file_name(f"sheet-{i + 1}-{plan.material}-{number(plan.thickness, 2)}mm")


def nest_drawing(plan: SheetPlan) -> Drawing:
    """A sheet's parts where they lie; the sheet's corner is the origin, its edge is not drawn."""
    return tuple(
        item for laid in plan.laid for item in moved(flat_drawing(laid.part), laid.at, laid.turn)
    )


def cut_plan(tubes: tuple[Nesting, ...], unit: str) -> bytes:
    """One row a piece: which stock bar, where its end is marked, what is left over."""
    rows: list[list[Column]] = []
    for plan in tubes:
        for i, bar in enumerate(plan.bars):
            for piece, mark in zip(bar.pieces, bar.marks(plan.kerf), strict=True):
                rows.append(
                    [
                        ("stock", plan.stock),
                        ("stock bar", i + 1),
                        ("piece", piece.name),
                        (f"length [{unit}]", in_unit(piece.length, unit)),
                        ("length [tape]", tape(piece.length, unit)),
                        ("length [mm]", number(piece.length, 1)),
                        (f"mark at [{unit}]", in_unit(mark, unit)),
                        (f"left over [{unit}]", in_unit(bar.left, unit)),
                    ]
                )
    return table(rows)


def _book(build: Build, tubes: tuple[Nesting, ...], sheets: tuple[SheetPlan, ...]) -> bytes:
    unit, job = build.job.job.unit, build.job.job.name
    sheet = sheet_for(unit)
    book = Book(sheet, f"{job}: cutting")
    money = cost(build.job, tubes) if tubes else None
    for page in _tube_pages(tubes, sheet, unit, not_sawn(build)):
        items, (x0, _, x1, y1) = framed(sheet, "Saw", job)
        if money is not None:
            words = f"all stock costs {number(money, 2)}"
            items += (Text(text=words, at=(x1, y1 + 1.0), height=2.2, anchor="right"),)
        book.page((*items, *(moved(page, (x0, y1)))), mark="saw")
    for i, laid in enumerate(sheets):
        book.page(_sheet_page(laid, i, sheet, unit, job), mark=sheet_name(laid, i))
    return book.close()


def not_sawn(build: Build) -> str:
    """Which bars need no stock, and why; empty where all do."""
    stand = [bar.name for bar in build.bars.bars if bar.stands]
    bent = [bar.name for bar in build.bars.to_make if bent_already(build.job, bar)]
    said = []
    if bent:
        said.append(f"Bent already, cut to length by their own sheets: {', '.join(bent)}.")
    if stand:
        said.append(f"Not sawn, for they stand on the vehicle: {', '.join(stand)}.")
    return " ".join(said)


def _tube_pages(
    tubes: tuple[Nesting, ...], sheet: Sheet, unit: str, rest: str
) -> Iterator[Drawing]:
    """Stock after stock, bar after bar, down each page from its upper left corner.

    What needs no stock is said at the end.
    """
    _, (x0, y0, x1, y1) = framed(sheet, "", "")
    page, y = list[Primitive](), 0.0
    for plan in tubes:
        words, after = paragraph(_plan_words(plan, unit), (0.0, y - 2.0), x1 - x0)
        if page and after - BAR < y0 - y1:
            yield tuple(page)
            page = []
            words, after = paragraph(_plan_words(plan, unit), (0.0, -2.0), x1 - x0)
        page += words
        y = after
        for i, bar in enumerate(plan.bars):
            if y - BAR < y0 - y1:
                yield tuple(page)
                page, y = [], 0.0
            y -= BAR
            page += _stock_bar(plan, bar, i + 1, (0.0, y, x1 - x0), unit)
        y -= 8.0
    words, after = paragraph(rest, (0.0, y - 2.0), x1 - x0)
    if page and after < y0 - y1:
        yield tuple(page)
        page, (words, _) = [], paragraph(rest, (0.0, -2.0), x1 - x0)
    page += words
    if page:
        yield tuple(page)


def _plan_words(plan: Nesting, unit: str) -> str:
    proven = "proven least" if plan.gap == 0 else f"at least {plan.bound} are needed"
    kerf = f"kerf {shop(plan.kerf, unit)} a cut" if plan.kerf else "no kerf is said in [saw]"
    lost = f"{kerf}, {shop(plan.end_waste, unit)} lost a bar"
    long = ", ".join(piece.name for piece in plan.too_long)
    return (
        f"Stock {plan.stock}: {len(plan.bars)} × {shop(plan.length, unit)} ({proven}), "
        f"{number(100.0 * plan.used, 1)} % used, {lost}."
        + (f" Too long for a bar: {long}." if long else "")
    )


def _stock_bar(
    plan: Nesting, bar: StockBar, count: int, at: tuple[float, float, float], unit: str
) -> list[Primitive]:
    """A stock bar to scale, its pieces named, marks from its left end below."""
    x0, y, x1 = at
    left, k = x0 + 8.0, (x1 - x0 - 8.0) / plan.length
    items: list[Primitive] = [
        Text(text=str(count), at=(x0, y + 1.5), height=3.0, bold=True),
        _band(left, y, x1, y + 6.0, "#f4f4f4"),
    ]
    begin, short = left, list[str]()
    for i, (piece, mark) in enumerate(zip(bar.pieces, bar.marks(plan.kerf), strict=True)):
        end = left + k * mark
        name, fits = piece.name, end - begin - 1.0 > 0.65 * text_width(piece.name, 2.3)
        if not fits:
            name = chr(ord("a") + len(short) % 26)
            short.append(f"{name} = {piece.name}")
        height = min(2.3, 2.3 * (end - begin - 1.0) / text_width(name, 2.3))
        low = y - 3.2 - 2.8 * (i % 2)
        items += [
            _band(begin, y, end, y + 6.0, _COLOURS[i % len(_COLOURS)]),
            Text(text=name, at=((begin + end) / 2.0, y + 2.0), height=height, anchor="middle"),
            Text(text=tape(mark, unit), at=(end, low), height=2.0, anchor="right"),
        ]
        begin = end + k * plan.kerf
    if short:
        items.append(Text(text=", ".join(short), at=(left, y + 6.8), height=1.8))
    return items


def _band(x0: float, y0: float, x1: float, y1: float, fill: str) -> Loop:
    corners = ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
    return Loop(vertices=corners, layer=NOTE, style=Style(width=0.2, fill=fill))


def _sheet_page(plan: SheetPlan, i: int, sheet: Sheet, unit: str, job: str) -> Drawing:
    thick = number(plan.thickness, 2)
    items, (x0, y0, x1, y1) = framed(sheet, f"Sheet {i + 1}: {plan.material} {thick} mm", job)
    wide, deep = plan.size
    text = (
        f"{len(plan.laid)} parts on {shop(wide, unit)} × {shop(deep, unit)}, at least "
        f"{number(GAP, 0)} mm apart. {number(100.0 * plan.used, 1)} % of the sheet ends in parts; "
        f"{number(100.0 * plan.strip, 1)} % of the length they take up. The same is in "
        f"nest/{sheet_name(plan, i)}.dxf, the sheet's lower left corner its origin."
    )
    words, y = paragraph(text, (x0, y1), x1 - x0)
    tall = (x1 - x0) * deep / wide
    drawn = fitted(_sheet_drawing(plan), (x0, max(y0, y - 4.0 - tall), x1, y - 4.0))
    listed = " · ".join(f"{k + 1} {one.part.name}" for k, one in enumerate(plan.laid))
    more, _ = paragraph(listed, (x0, y - 7.0 - tall), x1 - x0, height=2.2)
    return (*items, *words, *drawn, *more)


def _sheet_drawing(plan: SheetPlan) -> list[Primitive]:
    """The sheet with its parts numbered, at 1:1."""
    shapes: list[Primitive] = [_band(0.0, 0.0, *plan.size, "#fafafa")]
    for count, laid in enumerate(plan.laid, start=1):
        shape = placed_shape(laid)
        for k, ring in enumerate((shape.exterior, *shape.interiors)):
            points = tuple((float(px), float(py), 0.0) for px, py in list(ring.coords)[:-1])
            fill = "#fafafa" if k else "#dbe7f0"
            shapes.append(Loop(vertices=points, style=Style(width=0.2, fill=fill)))
        middle = shape.representative_point()
        height = 0.012 * plan.size[0]
        at = (middle.x, middle.y - height / 2.0)
        shapes.append(Text(text=str(count), at=at, height=height, anchor="middle", bold=True))
    return shapes


__all__ = ["cut_plan", "cutting_files", "nest_drawing", "sheet_name"]
