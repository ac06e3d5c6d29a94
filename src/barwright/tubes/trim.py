"""What the mock-up taught about bars: an end cut shorter, its cope kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from barwright.findings import Finding, Level
from barwright.job.schema import Job
from barwright.job.trim_schema import Trim
from barwright.tubes.bars import Bars, BuiltBar, End
from barwright.tubes.section import Section

SOURCE = "job.toml [[trim]], as the mock-up taught; a gap is held against [tolerance] weld_gap"


def trimmed(bars: Bars, job: Job) -> Bars:
    """The bars with their ends cut shorter where the mock-up taught so.

    A trim of a bar is made on its twin too; one that names the twin, on the twin alone.

    Args:
        bars: as fitted, twins included.
        job: its trims and its tolerance are read.
    """
    made: list[BuiltBar] = []
    found: list[Finding] = []
    for bar in bars.bars:
        done = bar
        for trim in _of(bar, job.trim):
            done, said = _one(done, trim, job.tolerance.weld_gap)
            found += said if trim.bar == bar.name else ()
        made.append(done)
    names = {bar.name for bar in made}
    lost = [t for t in job.trim if t.bar is not None and t.bar not in names]
    return replace(
        bars, bars=tuple(made), findings=(*bars.findings, *found, *(_lost(t) for t in lost))
    )


def _of(bar: BuiltBar, trims: Iterable[Trim]) -> list[Trim]:
    return [t for t in trims if t.bar is not None and t.bar in {bar.name, bar.twin_of}]


def _one(bar: BuiltBar, trim: Trim, most: float) -> tuple[BuiltBar, tuple[Finding, ...]]:
    """A bar with one end shortened [mm], and what to say; a bar too short for it stays."""
    off = trim.length or 0.0
    end = bar.start if trim.end == "from" else bar.finish
    straights = bar.table.straights
    straight = straights[0] if trim.end == "from" else straights[-1]
    left = straight - max(float(end.cope.max()), 0.0)
    if off >= left:
        return bar, (_too_much(bar, trim, left),)
    cut = _shortened(end, off)
    section = Section(od=2.0 * bar.radius, wall=bar.wall)
    shorter = replace(
        bar,
        start=cut if trim.end == "from" else bar.start,
        finish=bar.finish if trim.end == "from" else cut,
        cut_length=bar.cut_length - off,
        mass=bar.mass - section.mass() * off,
    )
    return shorter, (_done(bar, trim, cut, most),)


def _shortened(end: End, off: float) -> End:
    cope = end.cope + off
    cope.flags.writeable = False
    return replace(end, cope=cope, trim=end.trim + off)


def _done(bar: BuiltBar, trim: Trim, end: End, most: float) -> Finding:
    """What was done, and the gap it leaves where the end was fitted to something."""
    wide = bool(end.against) and end.trim > most
    says = (
        f"“{trim.end}” end cut {end.trim:.1f} mm shorter than it was fitted, as the mock-up taught"
    )
    gap = f": up to {end.trim:.1f} mm stand open to {' and '.join(end.against)}" if wide else ""
    return Finding(
        code="tubes.trim",
        level=Level.LOOK if wide else Level.GOOD,
        subject=f"bar.{bar.name}",
        says=f"{says}{gap}.",
        measured=round(end.trim, 2),
        allowed=most if end.against else None,
        unit="mm",
        source=SOURCE,
        remedy=f"If the gap is not wanted, measure mark {end.mark} again rather than trim."
        if wide
        else "",
    )


def _too_much(bar: BuiltBar, trim: Trim, left: float) -> Finding:
    return Finding(
        code="tubes.trim",
        level=Level.MUST,
        subject=f"bar.{bar.name}",
        says=f"What the mock-up taught is not done: {trim.length or 0.0:.1f} mm off its "
        f"“{trim.end}” end is more than the {max(left, 0.0):.1f} mm of straight there.",
        measured=trim.length,
        allowed=round(max(left, 0.0), 2),
        unit="mm",
        source=SOURCE,
        remedy=f"Trim less than {max(left, 0.0):.1f} mm, or correct the marks.",
    )


def _lost(trim: Trim) -> Finding:
    return Finding(
        code="tubes.trim",
        level=Level.MUST,
        subject=f"bar.{trim.bar}",
        says=f"What the mock-up taught is not done: bar {trim.bar} is not made.",
        source=SOURCE,
        remedy="See the finding on this bar first, or take this trim out.",
    )
