"""Two versions drawn over each other: a list first, then a page a changed plate."""

from __future__ import annotations

from dataclasses import replace

from barwright.pack.compare import Change, Comparison, farthest
from barwright.pack.drawing import NOTE, Circle, Drawing, Line, Primitive, Style, Text, moved
from barwright.pack.pages import GREY, fit, framed, paragraph, scaled
from barwright.pack.paper import Book, Sheet, sheet_for
from barwright.pack.units import small

OLD = Style(colour="#b3261e", width=0.35, dash=(2.5, 1.5))
NEW = Style(colour="#000000", width=0.35)
RING = Style(colour="#2e7d32", width=0.5)


SEEN = 0.05
"""An edge that moves less than this [mm] is not drawn: nobody could see it."""


def comparison_pdf(found: Comparison) -> bytes:
    """The comparison as a PDF on the paper a shop with the new version's unit has."""
    sheet = sheet_for(found.new.unit)
    book = Book(sheet, f"{found.new.name}: what changed")
    for page in _list_pages(found, sheet):
        book.page(page, mark="what changed")
    for change in _gravest(found):
        if change.kind == "part" and change.what == "changed" and _to_be_seen(change):
            book.page(_overlay(found, change, sheet), mark=change.name)
    return book.close()


def _gravest(found: Comparison) -> list[Change]:
    """What must be made again first."""
    return sorted(found.changes, key=lambda c: c not in found.again)


def _to_be_seen(change: Change) -> bool:
    return change.again or (change.most or 0.0) > SEEN


def _list_pages(found: Comparison, sheet: Sheet) -> list[Drawing]:
    """What changed, in words, over as many pages as it takes; what may stay comes last."""
    frame, (x0, y0, x1, y1) = framed(sheet, "What changed", found.new.name)
    head = (
        f"From job {found.old.job_hash[:16]} ({found.old.stage}) to {found.new.job_hash[:16]} "
        f"({found.new.stage}): {len(found.again)} to be made or ordered again, "
        f"{len(found.changes) - len(found.again)} changed so little that they stay or are gone, "
        f"{found.same} as they were."
    )
    items, y = paragraph(head, (x0, y1), x1 - x0, height=2.6)
    page: list[Primitive] = [*frame, *items]
    pages: list[Drawing] = []
    for word, text in _rows(found):
        rows, after = paragraph(text, (x0 + 34.0, y - 2.0), x1 - x0 - 34.0, height=2.3)
        if after < y0:
            pages.append(tuple(page))
            page, y = [*frame], y1
            rows, after = paragraph(text, (x0 + 34.0, y - 2.0), x1 - x0 - 34.0, height=2.3)
        again = word.isupper()
        style = Style(colour="#b3261e") if again else GREY
        at = (x0, y - 2.0 - 1.75 * 2.3)
        page += [Text(text=word, at=at, height=2.3, bold=again, style=style), *rows]
        y = after
    return [*pages, tuple(page)]


def _rows(found: Comparison) -> list[tuple[str, str]]:
    """What is to be done, and with what: a row a change, one for all that is too little to see."""
    rows = []
    little = []
    for change in _gravest(found):
        text = f"{change.name}: {change.what}. {'; '.join(change.says)}"
        if change in found.again:
            rows.append(("ORDER AGAIN" if change.kind == "part" else "MAKE AGAIN", text))
        elif change.what == "changed" and not _to_be_seen(change):
            little.append(change.name)
        else:
            rows.append((f"{change.kind}, {'gone' if change.what == 'gone' else 'stays'}", text))
    if little:
        rows.append(("stay", f"less than anyone sees: {', '.join(little)}"))
    return rows


def _overlay(found: Comparison, change: Change, sheet: Sheet) -> Drawing:
    """The old outline dashed under the new one, a ring where they are farthest apart."""
    frame, (x0, y0, x1, y1) = framed(sheet, change.name, found.new.name)
    words, y = paragraph("; ".join(change.says), (x0, y1), x1 - x0, height=2.8)
    old = moved(found.old.drawings[change.name], change.shift)
    new = found.new.drawings[change.name]
    both = [*(replace(it, style=OLD) for it in old), *(replace(it, style=NEW) for it in new)]
    box = (x0 + 6.0, y0 + 14.0, x1 - 6.0, y - 8.0)
    scale, by = fit(both, box)
    drawn = [scaled(it, scale, by) for it in both]
    key: list[Primitive] = [
        Line(start=(x0, y0 + 4.0), end=(x0 + 14.0, y0 + 4.0), style=OLD),
        Text(text="before", at=(x0 + 16.0, y0 + 3.0), height=2.4),
        Line(start=(x0 + 40.0, y0 + 4.0), end=(x0 + 54.0, y0 + 4.0), style=NEW),
        Text(text="now", at=(x0 + 56.0, y0 + 3.0), height=2.4),
    ]
    at, far = farthest(old, new)
    if far > SEEN:
        unit = found.new.unit
        spot = (scale * at[0] + by[0], scale * at[1] + by[1])
        key += [
            Circle(centre=spot, radius=5.0, layer=NOTE, style=RING),
            Circle(centre=(x0 + 82.0, y0 + 4.0), radius=2.0, layer=NOTE, style=RING),
            Text(
                text=f"farthest apart, {small(far, unit)} {unit}",
                at=(x0 + 86.0, y0 + 3.0),
                height=2.4,
            ),
        ]
    return (*frame, *words, *drawn, *key)
