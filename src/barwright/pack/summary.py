"""One sheet that says it all: cautions, picture, marks, leaves, fit, findings, and which job."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from barwright import __version__
from barwright.findings import Finding, Level, told_in
from barwright.pack.drawing import NOTE, Drawing, Line, Loop, Primitive, Style, Text
from barwright.pack.listing import plate_masses
from barwright.pack.pages import paragraph, table
from barwright.pack.paper import Book, Sheet, sheet_for, wrapped
from barwright.pack.picture import picture
from barwright.pack.scene import mark_labels, shapes
from barwright.pack.summary_fit import SHARES, fit_lines, leaf_rows, next_lines
from barwright.pack.units import counted, number, shop

if TYPE_CHECKING:
    from barwright.route import Build

CAUTIONS = (
    (
        "This can kill. Nothing here is approved: the rule book, the scrutineer and a licensed "
        "engineer decide about strength, cage and latch."
    ),
    (
        "Make the board mock-up and try it on the vehicle before metal. Measure again what the "
        "findings ask for."
    ),
    "Check the rulers on each printed template before cutting.",
)

_LEVELS = {
    Level.MUST: ("MUST", "#b3261e"),
    Level.LOOK: ("LOOK", "#a86400"),
    Level.GOOD: ("GOOD", "#2e7d32"),
}
TOLD_ABOVE = frozenset({"fits.first-time"})
"""Findings whose figures stand above the list."""

_GREY = Style(colour="#555555")


def summary_pdf(build: Build, job_hash: str, stage: str, notes: tuple[Finding, ...] = ()) -> bytes:
    """The summary as a PDF of one page.

    Args:
        build: the route's result.
        job_hash: of the job, as in the manifest.
        stage: "board" or "metal".
        notes: findings of the packing itself.
    """
    name = build.job.job.name or "job without a name"
    sheet = sheet_for(build.job.job.unit)
    book = Book(sheet, f"{name}: summary")
    book.page(sheet_drawing(build, sheet, job_hash, stage, notes))
    return book.close()


def sheet_drawing(
    build: Build, sheet: Sheet, job_hash: str, stage: str, notes: tuple[Finding, ...]
) -> Drawing:
    """The summary's drawing, from the sheet's lower left corner."""
    m = sheet.margin
    top = sheet.height - m
    x0, x1 = m, sheet.width - m
    head = _head(build, x0, x1, top, stage)
    cautions, below = _cautions(x0, x1, top - 14.0)
    pictures, under = _pictures(build, x0, x1, below - 3.0)
    facts, under = _facts(build, x0, x1, under)
    leaves, under = _leaves(build, x0, x1, under)
    told = tuple(told_in(f, build.job.job.unit) for f in (*build.findings, *notes))
    found = _findings(told, x0, x1, under - 7.0, m + 9.0)
    return (*head, *cautions, *pictures, *facts, *leaves, *found, *_foot(job_hash, x0, x1, m))


def _facts(build: Build, x0: float, x1: float, top: float) -> tuple[list[Primitive], float]:
    """The job in figures, a line each; where they end (y)."""
    lines = [line for text in _numbers(build) for line in wrapped(text, 2.2, x1 - x0)]
    y = top - 4.0
    items: list[Primitive] = [
        Text(text=t, at=(x0, y - 3.6 * i), height=2.2) for i, t in enumerate(lines)
    ]
    return items, y - 3.6 * (len(lines) - 1)


def _leaves(build: Build, x0: float, x1: float, top: float) -> tuple[list[Primitive], float]:
    """The leaves' table, the chance of first-time fit, what to measure next; where they end."""
    items: list[Primitive] = []
    y, rows = top, leaf_rows(build)
    if rows:
        drawn, y = table((x0, y - 1.0), [s * (x1 - x0) for s in SHARES], rows, height=2.0)
        items += drawn
    for text in (*fit_lines(build), *next_lines(build)):
        drawn, y = paragraph(text, (x0, y - 1.0), x1 - x0, height=2.2)
        items += drawn
    return items, y


def _head(build: Build, x0: float, x1: float, top: float, stage: str) -> list[Primitive]:
    job = build.job.job
    name = job.name or "job without a name"
    what = "board mock-up" if stage == "board" else "metal"
    return [
        Text(text=name, at=(x0, top - 6.5), height=5.6 if len(name) < 34 else 3.6, bold=True),
        Text(text=f"stage: {what}", at=(x1, top - 4.0), height=3.0, anchor="right", bold=True),
        Text(text=f"unit: {job.unit}", at=(x1, top - 9.0), height=2.4, anchor="right", style=_GREY),
        Line(start=(x0, top - 11.0), end=(x1, top - 11.0), layer=NOTE, style=Style(width=0.5)),
    ]


def _cautions(x0: float, x1: float, top: float) -> tuple[list[Primitive], float]:
    lines = [t for c in CAUTIONS for t in _bulleted(c, 2.3, x1 - x0 - 8.0)]
    bottom = top - 4.0 * len(lines) - 3.0
    frame = ((x0, bottom, 0.0), (x1, bottom, 0.0), (x1, top, 0.0), (x0, top, 0.0))
    style = Style(colour="#b3261e", width=0.5, fill="#fdecea")
    items: list[Primitive] = [Loop(vertices=frame, layer=NOTE, style=style)]
    items += [
        Text(text=t, at=(x0 + 3.0, top - 4.4 - 4.0 * i), height=2.3) for i, t in enumerate(lines)
    ]
    return items, bottom


def _bulleted(text: str, height: float, width: float) -> list[str]:
    lines = wrapped(text, height, width - 4.0)
    return [f"• {lines[0]}", *(f"   {line}" for line in lines[1:])]


def _pictures(build: Build, x0: float, x1: float, top: float) -> tuple[list[Primitive], float]:
    """Closed, with the marks' names, and open beside it where a leaf opens."""
    swings = bool(build.motions)
    tall = 76.0
    split = x0 + (x1 - x0) * (0.56 if swings else 1.0)
    closed, opened = shapes(build), shapes(build, 1.0) if swings else []
    box = (x0 + 4.0, top - tall, split - 6.0, top - 5.0)
    items = list(picture(closed, box, labels=mark_labels(build)))
    items.append(Text(text="closed, marks named", at=(x0, top - 3.0), height=2.2, style=_GREY))
    if swings:
        box = (split + 2.0, top - tall, x1 - 2.0, top - 5.0)
        items += picture(opened, box)
        words = "open: " + ", ".join(
            f"{m.leaf} {abs(math.degrees(m.opens)):.0f}°" for m in build.motions
        )
        items.append(Text(text=words, at=(split + 2.0, top - 3.0), height=2.2, style=_GREY))
    return items, top - tall


def _numbers(build: Build) -> list[str]:
    """The job in two or three lines of figures."""
    unit, bars, parts = build.job.job.unit, build.bars.to_make, build.parts.parts
    stand = len(build.bars.bars) - len(bars)
    bends = counted(sum(len(b.table.bends) for b in bars), "bend")
    folds = counted(sum(len(p.folds) for p in parts), "fold")
    total, mass = sum(b.cut_length for b in bars), sum(b.mass for b in bars)
    lines = [
        f"to make: {counted(len(bars), 'bar')} with {bends}, {shop(total, unit)} of tube, "
        f"{number(mass, 1)} kg; {counted(len(parts), 'plate part')} with {folds}, "
        f"{number(sum(plate_masses(build).values()), 1)} kg"
        + (f" · standing already: {counted(stand, 'bar')}" if stand else ""),
    ]
    if build.marks.names:
        worst = max(build.marks.names, key=lambda n: max(build.marks.sd(n)))
        sd = max(build.marks.sd(worst))
        lines.append(
            f"{len(build.marks.names)} marks from {len(build.marks.fitted)} readings; the least "
            f"known is {worst}: one standard deviation {shop(sd, unit)}"
        )
    return lines


def _findings(
    findings: tuple[Finding, ...], x0: float, x1: float, top: float, bottom: float
) -> list[Primitive]:
    """What must be looked at first, as much of it as fits; a count of the rest."""
    counts = {level: sum(f.level == level for f in findings) for level in Level}
    words = ", ".join(f"{n} {_LEVELS[level][0].lower()}" for level, n in counts.items())
    items: list[Primitive] = [
        Text(text=f"Findings: {words}", at=(x0, top), height=2.8, bold=True),
    ]
    asked = (f for f in findings if f.level != Level.GOOD and f.code not in TOLD_ABOVE)
    order = sorted(asked, key=_gravest)
    y, left = top - 5.0, len(order)
    for finding in order:
        lines = wrapped(_in_words(finding), 2.1, x1 - x0 - 16.0)
        if y - 3.4 * len(lines) < bottom + 3.6 * (left > 1):
            break
        word, colour = _LEVELS[finding.level]
        items.append(Text(text=word, at=(x0, y), height=2.1, bold=True, style=Style(colour=colour)))
        items += [
            Text(text=t, at=(x0 + 13.0, y - 3.4 * i), height=2.1) for i, t in enumerate(lines)
        ]
        y, left = y - 3.4 * len(lines) - 1.0, left - 1
    if left:
        more = f"and {left} more: see findings.csv"
        items.append(Text(text=more, at=(x0 + 13.0, max(y, bottom)), height=2.1, style=_GREY))
    return items


def _gravest(finding: Finding) -> tuple[int, int]:
    """Musts first; of one level what concerns strength first, then as the route goes."""
    return list(Level).index(finding.level), finding.code.partition(".")[0] != "strength"


def _in_words(finding: Finding) -> str:
    do = f" Do: {finding.remedy}" if finding.remedy else ""
    return f"{finding.subject}: {finding.says.rstrip('.')}.{do}"


def _foot(job_hash: str, x0: float, x1: float, m: float) -> list[Primitive]:
    return [
        Line(start=(x0, m + 5.0), end=(x1, m + 5.0), layer=NOTE, style=Style(width=0.2)),
        Text(text=f"job {job_hash[:16]}", at=(x0, m), height=2.2, style=_GREY),
        Text(text=f"Barwright {__version__}", at=(x1, m), height=2.2, anchor="right", style=_GREY),
    ]
