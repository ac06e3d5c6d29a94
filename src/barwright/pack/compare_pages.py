"""Two versions drawn over each other: a list first, then a page a changed plate."""

from __future__ import annotations

from dataclasses import replace

from barwright.pack.compare import Change, Comparison
from barwright.pack.drawing import Drawing, Line, Primitive, Style, Text, moved
from barwright.pack.pages import GREY, fitted, framed, paragraph
from barwright.pack.paper import Book, Sheet, sheet_for

OLD = Style(colour="#b3261e", width=0.35, dash=(2.5, 1.5))
NEW = Style(colour="#000000", width=0.35)


def comparison_pdf(found: Comparison, unit: str = "mm") -> bytes:
    """The comparison as a PDF on the paper a shop with this unit has."""
    sheet = sheet_for(unit)
    book = Book(sheet, f"{found.new.name}: what changed")
    for page in _list_pages(found, sheet):
        book.page(page, mark="what changed")
    for change in found.changes:
        if change.kind == "part" and change.what == "changed":
            book.page(_overlay(found, change, sheet), mark=change.name)
    return book.close()


def _list_pages(found: Comparison, sheet: Sheet) -> list[Drawing]:
    """What changed, in words, over as many pages as it takes."""
    frame, (x0, y0, x1, y1) = framed(sheet, "What changed", found.new.name)
    head = (
        f"From job {found.old.job_hash[:16]} ({found.old.stage}) to {found.new.job_hash[:16]} "
        f"({found.new.stage}): {len(found.changes)} changed, {len(found.again)} to be made or "
        f"ordered again, {found.same} as they were."
    )
    items, y = paragraph(head, (x0, y1), x1 - x0, height=2.6)
    page: list[Primitive] = [*frame, *items]
    pages: list[Drawing] = []
    for change in found.changes:
        text = f"{change.name}: {change.what}. {'; '.join(change.says)}"
        rows, after = paragraph(text, (x0 + 30.0, y - 2.0), x1 - x0 - 30.0, height=2.3)
        if after < y0:
            pages.append(tuple(page))
            page, y = [*frame], y1
            rows, after = paragraph(text, (x0 + 30.0, y - 2.0), x1 - x0 - 30.0, height=2.3)
        again = change.again and change.what != "gone"
        word = ("ORDER AGAIN" if change.kind == "part" else "MAKE AGAIN") if again else change.kind
        style = Style(colour="#b3261e") if again else GREY
        at = (x0, y - 2.0 - 1.75 * 2.3)
        page += [Text(text=word, at=at, height=2.3, bold=again, style=style), *rows]
        y = after
    return [*pages, tuple(page)]


def _overlay(found: Comparison, change: Change, sheet: Sheet) -> Drawing:
    frame, (x0, y0, x1, y1) = framed(sheet, change.name, found.new.name)
    words, y = paragraph("; ".join(change.says), (x0, y1), x1 - x0, height=2.8)
    old = moved(found.old.drawings[change.name], change.shift)
    both = [
        *(replace(it, style=OLD) for it in old),
        *(replace(it, style=NEW) for it in found.new.drawings[change.name]),
    ]
    drawn = fitted(both, (x0 + 6.0, y0 + 14.0, x1 - 6.0, y - 8.0))
    key: list[Primitive] = [
        Line(start=(x0, y0 + 4.0), end=(x0 + 14.0, y0 + 4.0), style=OLD),
        Text(text="before", at=(x0 + 16.0, y0 + 3.0), height=2.4),
        Line(start=(x0 + 40.0, y0 + 4.0), end=(x0 + 54.0, y0 + 4.0), style=NEW),
        Text(text="now", at=(x0 + 56.0, y0 + 3.0), height=2.4),
    ]
    return (*frame, *words, *drawn, *key)
