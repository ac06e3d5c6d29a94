"""The commands' answers for people: tables in the job's own unit, findings with their remedy."""

from __future__ import annotations

import math
from collections.abc import Sized
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING

from rich.table import Table
from rich.text import Text

from barwright.cli.cautions import CAUTIONS
from barwright.findings import Finding, Level, told_in
from barwright.job.kinds import RULES
from barwright.job.lengths import MM_PER_INCH, format_length, format_number

if TYPE_CHECKING:
    from rich.console import Console

    from barwright.job.schema import Job
    from barwright.pack.write import Pack
    from barwright.route import Build
    from barwright.survey.marks import Fitted, Marks
    from barwright.tubes.bars import BuiltBar

_HEADINGS = {
    Level.MUST: ("Must be dealt with", "bold red"),
    Level.LOOK: ("To look at", "yellow"),
    Level.GOOD: ("Checked and right", "green"),
}
_WORST_SHOWN = 5


def length(mm: float, unit: str) -> str:
    """A length for a table: a fraction to 1/32 in and its decimals, or millimetres.

    >>> length(595.3125, "in"), length(0.25, "mm")
    ('23 7/16 (23.438)', '0.3')
    """
    if unit == "mm" or not math.isfinite(mm):
        return format_number(mm, 1)
    fraction = format_length(mm, "in").removesuffix(" in")
    decimals = format_number(mm / MM_PER_INCH, 3)
    return decimals if fraction == "0" else f"{fraction} ({decimals})"


def count(things: Sized, word: str) -> str:
    """How many, with its word.

    >>> count([1], "leaf"), count([1, 2], "leaf"), count([], "bar")
    ('1 leaf', '2 leaves', '0 bars')
    """
    many = word[:-1] + "ves" if word.endswith("f") else word + "s"
    return f"{len(things)} {word if len(things) == 1 else many}"


def small(mm: float, unit: str) -> str:
    """A doubt or a residual: decimals only."""
    return format_number(mm / MM_PER_INCH, 3) if unit == "in" else format_number(mm, 2)


def degrees(radians: float, decimals: int = 1) -> str:
    """An angle in degrees."""
    return f"{format_number(math.degrees(radians), decimals)}°"


def show_solved(console: Console, job: Job, marks: Marks, findings: tuple[Finding, ...]) -> None:
    """`barwright solve`."""
    unit = job.job.unit
    _title(
        console, job.job.name, f"{count(marks.names, 'mark')} from {count(job.readings, 'reading')}"
    )
    _show(console, f"Marks, {unit}", _marks(marks, unit))
    console.print(
        f"The readings scatter {format_number(marks.sigma0, 2)} times what their plus/minus says; "
        f"{marks.freedom} to spare."
    )
    if any(f.suspect for f in marks.fitted):
        _show(console, "Readings that disagree with the rest", _suspects(marks, unit))
    if marks.next_reading:
        _show(console, "Worth measuring next", _next(marks))
    show_findings(console, findings, unit)


def _title(console: Console, name: str, says: str) -> None:
    console.print(Text(f"{name}: {says}" if name else says, style="bold"))


def _marks(marks: Marks, unit: str) -> Table:
    table = _table("mark", right=("x", "y", "z", "± x", "± y", "± z"))
    for name in marks.names:
        doubts = (small(s, unit) for s in marks.sd(name))
        table.add_row(Text(name), *(length(v, unit) for v in marks.at(name)), *doubts)
    return table


def _suspects(marks: Marks, unit: str) -> Table:
    table = _table("line", "reading", right=("off by",))
    for fitted in marks.fitted:
        if fitted.suspect:
            reading = fitted.reading
            what = Text(f"{reading.kind} {' '.join(reading.marks)}")
            table.add_row(str(reading.line), what, _residual(fitted, unit))
    return table


def _residual(fitted: Fitted, unit: str) -> str:
    if RULES[fitted.reading.kind].value == "angle":
        return degrees(fitted.residual, 2)
    return f"{small(fitted.residual, unit)} {unit}"


def _next(marks: Marks) -> Table:
    table = _table("kind", "marks", right=("gain",))
    for candidate in marks.next_reading[:_WORST_SHOWN]:
        gain = f"{format_number(candidate.gain, 0)} %"
        table.add_row(candidate.kind, Text(" ".join(candidate.marks)), gain)
    return table


def show_checked(console: Console, build: Build) -> None:
    """`barwright check`."""
    unit = build.job.job.unit
    _title(
        console,
        build.job.job.name,
        f"{count(build.bars.bars, 'bar')}, {count(build.swings, 'leaf')}, "
        f"{count(build.parts.parts, 'part')}",
    )
    if build.bars.to_make:
        _show(console, f"Bars, {unit}", _bars(build.bars.to_make, unit))
    if stand := [bar.name for bar in build.bars.bars if bar.stands]:
        console.print(f"Standing already: {', '.join(stand)}", markup=False)
    if build.swings:
        _show(console, "Leaves", _leaves(build, unit))
    if build.first_fit.chance is not None:
        chance = format_number(100.0 * build.first_fit.chance, 0)
        last = build.first_fit.trimmed_last
        told = f"Chance that {build.first_fit.about} fits the first time: {chance} %.{last}"
        console.print(told, markup=False)
    show_findings(console, build.findings, unit)
    _cautions(console)


def _bars(bars: tuple[BuiltBar, ...], unit: str) -> Table:
    table = _table("bar", "stock", right=("cut length", "straights", "bends", "turns", "kg"))
    for bar in bars:
        straights = "\n".join(length(s, unit) for s in bar.table.straights)
        bends = "\n".join(degrees(b) for b in bar.table.bends)
        turns = "\n".join(degrees(t) for t in bar.table.turns)
        mass = format_number(bar.mass, 2)
        cut = length(bar.cut_length, unit)
        table.add_row(Text(bar.name), Text(bar.stock), cut, straights, bends, turns, mass)
    return table


def _leaves(build: Build, unit: str) -> Table:
    table = _table("leaf", "opens", "first touches", right=(f"least clearance, {unit}", "at"))
    opens = {m.leaf: m.opens for m in build.motions}
    for swing in build.swings:
        touches = "nothing"
        if swing.first_contact is not None:
            touched = " on ".join(swing.touches or ())
            touches = f"{touched} at {degrees(swing.first_contact)}"
        table.add_row(
            Text(swing.leaf),
            degrees(opens.get(swing.leaf, math.nan)),
            Text(touches),
            length(swing.least_clearance, unit),
            degrees(swing.at),
        )
    return table


def show_packed(console: Console, build: Build, pack: Pack, findings: tuple[Finding, ...]) -> None:
    """`barwright pack`."""
    _title(console, build.job.job.name, f"{count(pack.files, 'file')} for {pack.stage}")
    console.print(Text(f"in {pack.folder}"))
    show_findings(console, findings, build.job.job.unit)
    _cautions(console)


def show_new(console: Console, folder: Path, files: tuple[Path, ...]) -> None:
    """`barwright new`."""
    console.print(Text(f"Made {', '.join(f.name for f in files)} in {folder}."))
    console.print(
        Text(f"Answer the questions in them, then: barwright solve {quote(str(folder))}"),
        soft_wrap=True,
    )


def show_findings(console: Console, findings: tuple[Finding, ...], unit: str) -> None:
    """Findings by gravity, each with what to do; what is right is only counted by code."""
    for level in (Level.MUST, Level.LOOK):
        some = [f for f in findings if f.level is level]
        if some:
            heading, style = _HEADINGS[level]
            console.print(Text(f"{heading} ({len(some)})", style=style))
            for found in some:
                _show_finding(console, told_in(found, unit), unit)
    good = [f for f in findings if f.level is Level.GOOD]
    if good:
        heading, style = _HEADINGS[Level.GOOD]
        console.print(Text(f"{heading} ({len(good)}): {_by_code(good)}", style=style))


def _show_finding(console: Console, found: Finding, unit: str) -> None:
    _hung(console, 2, f"{found.subject}: {found.says}")
    if figures := _in_inches(found, unit):
        _hung(console, 6, f"that is {figures}")
    if found.remedy:
        _hung(console, 6, f"do: {found.remedy}")
    if found.source:
        _hung(console, 6, f"by: {found.source}", style="dim")


def _hung(console: Console, indent: int, says: str, style: str = "") -> None:
    """Text folded under its own first letter, not under the margin."""
    for line in Text(says).wrap(console, max(20, console.width - indent)):
        console.print(Text(" " * indent + line.plain.rstrip(), style=style))


def _in_inches(found: Finding, unit: str) -> str:
    """The figures of a finding again, for who measures in inches; findings speak in mm."""
    if unit != "in" or found.unit != "mm":
        return ""
    both = (("measured", found.measured), ("allowed", found.allowed))
    return ", ".join(f"{what} {length(mm, unit)} in" for what, mm in both if mm is not None)


def _by_code(findings: list[Finding]) -> str:
    counts: dict[str, int] = {}
    for found in findings:
        counts[found.code] = counts.get(found.code, 0) + 1
    return ", ".join(f"{code} ×{n}" if n > 1 else code for code, n in counts.items())


def _cautions(console: Console) -> None:
    console.print(Text("Caution: " + " ".join(CAUTIONS), style="bold"))


def _show(console: Console, title: str, table: Table) -> None:
    """A table under its title, which is printed apart so that a narrow table does not fold it."""
    console.print(Text(title, style="italic"))
    console.print(table)


def _table(*columns: str, right: tuple[str, ...] = ()) -> Table:
    from rich import box

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for column in columns:
        table.add_column(column)
    for column in right:
        table.add_column(column, justify="right")
    return table
