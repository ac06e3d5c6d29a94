"""What is done in which order: the steps of the build guide, before anything is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from barwright.findings import Finding, Level, told_in
from barwright.geometry.vectors import Point
from barwright.job.sentences import in_own_unit
from barwright.pack.ends import meets
from barwright.pack.tables import work_on
from barwright.pack.units import counted, shop, tape
from barwright.plates.part import Hardware, Part
from barwright.plates.trim import words
from barwright.tubes.bars import BuiltBar

if TYPE_CHECKING:
    from barwright.buildup.results import Buildup
    from barwright.route import Build

AT_ONCE = 5
"""Bars put up in one step: as many as a page shows well."""

FEW = 12
"""Bars told one by one on the first page; more stand in the cut list alone."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of the guide.

    Attributes:
        title: what is done.
        says: how, line by line.
        adds: names of the bars, plates and bought things that come in with it.
        close: whether the picture looks at what is added from near.
        share: how far the leaves are opened in the picture, 0 to 1.
        shows: what the step is about and the picture shows in colour, where nothing comes in.
        explode: for things added, the unit direction each is drawn apart in.
        hold: what must be proven before going on; empty where there is no hold point.
        checks: what is ticked and signed before going on.
    """

    title: str
    says: tuple[str, ...]
    adds: tuple[str, ...] = ()
    shows: tuple[str, ...] = ()
    close: bool = False
    share: float = 0.0
    explode: tuple[tuple[str, Point], ...] = ()
    hold: str = ""
    checks: tuple[str, ...] = ()


def steps(build: Build, stage: str) -> tuple[Step, ...]:
    """The whole build, from paper to the last check.

    In metal its order is the one worked out from what blocks what and how welds pull, where the
    build has that; a mock-up, which is not welded, goes fitting by fitting.
    """
    known = _known(build) if stage == "metal" else ()
    welds = next((i for i, (state, _) in enumerate(known) if state == "weld"), len(known))
    worked_out = tuple(step for _, step in known)
    before = worked_out[:welds] or (*_bars(build), *_fittings(build, stage), *_leaves(build))
    return (
        *_standing(build),
        *_first(build, stage),
        *_trims(build),
        *before,
        _learnt() if stage == "board" else _last(build),
        *worked_out[welds:],
    )


def _standing(build: Build) -> Iterator[Step]:
    """What is on the vehicle already, so that nobody makes it again."""
    stand = [bar.name for bar in build.bars.bars if bar.stands]
    if stand:
        yield Step(
            title="What stands already",
            says=(
                f"On the vehicle, and grey on every page: {', '.join(stand)}.",
                "Nothing of it is bought, sawn or put up; all that follows is held against it.",
                "Measure again what you are not sure of before anything is cut.",
            ),
        )


def _known(build: Build) -> tuple[tuple[str, Step], ...]:
    """The steps the build-up stage found, each with its state; nothing where there are none."""
    found: Buildup | None = getattr(build, "buildup", None)
    plates = {p.name for p in build.parts.parts} | {h.name for h in build.parts.hardware}
    return tuple(
        (
            step.state,
            Step(
                title=step.title,
                says=tuple(_with_lengths(build, step.adds, step.says)),
                adds=step.adds,
                shows=tuple(dict.fromkeys(name for pair in step.seams for name in pair)),
                close=bool(step.adds) and {*step.adds} <= plates,
                explode=step.explode,
                hold=step.hold,
                checks=step.checks,
                share=1.0 if step.state == "prove" and step.title.startswith("Swing ") else 0.0,
            ),
        )
        for step in (found.steps if found else ())
    )


def _with_lengths(build: Build, adds: tuple[str, ...], says: tuple[str, ...]) -> Iterator[str]:
    """A step's lines, each bar that comes in with its length, bends and what its ends meet."""
    unit = build.job.job.unit
    lines = {b.name: _bar_line(b, unit) for b in build.bars.to_make if b.name in adds}
    for text in (in_own_unit(s, unit) for s in says):
        name, colon, rest = text.partition(": ")
        if colon and name in lines:
            yield f"{lines.pop(name)} {rest[:1].upper()}{rest[1:]}"
        else:
            yield from lines.values()
            lines = {}
            yield text
    yield from lines.values()


def _trims(build: Build) -> Iterator[Step]:
    """What the mock-up taught, so that nobody wonders why a part differs from its first drawing."""
    trims = build.job.trim
    if trims:
        said = (
            in_own_unit(f.says, build.job.job.unit)
            for f in build.findings
            if f.code in {"plates.trim", "tubes.trim"}
        )
        yield Step(
            title="What the mock-up taught is in these parts",
            says=(
                *(
                    f"{t.part or t.bar}: {words(t)}" + (f" ({t.note})" if t.note else "") + "."
                    for t in trims
                ),
                *(text for text in said if "not done" in text),
            ),
        )


def _first(build: Build, stage: str) -> Iterator[Step]:
    if stage == "board":
        says = (
            "Print templates/plates.pdf at 100 % and lay a ruler on the bars on every page.",
            "Cut the flats of board by them, or have flat/ or nest/ cut.",
            "Butt them at like numbers, outside faces flush, at the angle that stands by them.",
            "Glue or tape them. Tube is tried as tube.",
        )
        yield Step(title="Make the mock-up", says=says)
    if build.bars.to_make:
        yield Step(
            title="Saw, bend and cope the bars",
            shows=tuple(bar.name for bar in build.bars.to_make),
            says=(
                "Print templates/tube-ends.pdf at 100 % and lay a ruler on the bars on every page.",
                "Saw the tubes by sheets/cutting.pdf, bend them by sheets/bending.pdf.",
                "Wrap each template round its tube's end, mark and cut; file till no light shows.",
                "Keep the bar's name on every piece: some differ from their twin by a millimetre.",
                *_pieces(build),
            ),
        )


def _pieces(build: Build) -> Iterator[str]:
    """What is to be made, a line a bar, where that is few enough to read."""
    bars = build.bars.to_make
    if len(bars) <= FEW:
        unit = build.job.job.unit
        yield from (_bar_line(bar, unit, work_on(build, bar) + "; ") for bar in bars)


def order(bars: tuple[BuiltBar, ...]) -> list[list[BuiltBar]]:
    """Bars in rounds: each is coped only against bars of rounds before it.

    Bars that are coped against each other in a ring go into one round together.
    """
    left, placed, rounds = list(bars), set[str](), list[list[BuiltBar]]()
    names = {bar.name for bar in bars}
    while left:
        ready = [b for b in left if _needs(b) & names <= placed] or left
        rounds.append(ready)
        placed |= {bar.name for bar in ready}
        left = [bar for bar in left if bar.name not in placed]
    return rounds


def _needs(bar: BuiltBar) -> set[str]:
    return {*bar.start.against, *bar.finish.against}


def _bars(build: Build) -> Iterator[Step]:
    """The bars that do not swing, those first that others are coped against."""
    unit = build.job.job.unit
    movers = {name for motion in build.motions for name in motion.bars}
    standing = tuple(bar for bar in build.bars.to_make if bar.name not in movers)
    for ready in order(standing):
        for i in range(0, len(ready), AT_ONCE):
            some = ready[i : i + AT_ONCE]
            yield Step(
                title="Put up " + ", ".join(bar.name for bar in some),
                says=(
                    *(_bar_line(bar, unit) for bar in some),
                    "Tack only. Measure the marks again before the next step.",
                ),
                adds=tuple(bar.name for bar in some),
            )


def _bar_line(bar: BuiltBar, unit: str, first: str = "") -> str:
    """A bar's length, its bends, and what its ends meet."""
    ends = [
        f"{end.mark} to {' and '.join(meets(end))}" if meets(end) else f"{end.mark} square"
        for end in (bar.start, bar.finish)
    ]
    bends = f", {counted(len(bar.table.bends), 'bend')}" if bar.table.bends else ""
    length = f"{shop(bar.cut_length, unit)} ({tape(bar.cut_length, unit)} by tape)"
    return f"{bar.name}: {first}{length}{bends}; {'; '.join(ends)}."


def _fittings(build: Build, stage: str) -> Iterator[Step]:
    """Plates and bought things, fitting by fitting, and the bars that swing before them."""
    for motion in build.motions:
        yield Step(
            title=f"Hold {', '.join(motion.bars)} in place, closed",
            says=(
                "Clamp it where it will close, on its marks; nothing is welded to it yet.",
                f"It is to open {abs(math.degrees(motion.opens)):.0f}°.",
            ),
            adds=motion.bars,
        )
    bought = {item.name for item in build.parts.hardware}
    how = "Glue or tape" if stage == "board" else "Tack"
    for name, things in _by_fitting(build).items():
        yield Step(
            title=f"Fit {name}",
            says=(
                f"{', '.join(things)}.",
                "Tabs go into their slots before anything is clamped.",
                *(
                    ("Pin and bushing go in first, so that the holes line up.",)
                    if bought & {*things}
                    else ()
                ),
                f"{how} it, take the pin out and in again by hand, and only then go on.",
            ),
            adds=things,
            close=True,
        )


def _by_fitting(build: Build) -> dict[str, tuple[str, ...]]:
    """Fitting -> its plates and bought things, twins by themselves."""
    found: dict[str, list[str]] = {}
    things: tuple[Part | Hardware, ...] = (*build.parts.parts, *build.parts.hardware)
    for item in things:
        stem, _, _ = item.name.rpartition(".")
        group = (stem or item.name) + (" (twin)" if item.twin_of else "")
        found.setdefault(group, []).append(item.name)
    return {group: tuple(names) for group, names in found.items()}


def _leaves(build: Build) -> Iterator[Step]:
    unit = build.job.job.unit
    for swing in (s.under_way or s for s in build.swings):
        if swing.first_contact is not None and swing.touches:
            at = math.degrees(abs(swing.first_contact))
            pair = " on ".join(swing.touches)
            says = f"It touches at {at:.1f}°: {pair}. See to that first."
        elif math.isfinite(swing.least_clearance):
            near = f" ({' to '.join(swing.least_pair)})" if swing.least_pair else ""
            at = math.degrees(abs(swing.at))
            gap = shop(swing.least_clearance, unit)
            says = f"Least gap {gap}, at {at:.0f}°{near}: try it with a feeler."
        else:
            says = "Nothing is near its way."
        yield Step(
            title=f"Open {swing.leaf}",
            says=("Open and shut it slowly, by hand.", says),
            share=1.0,
        )


def _learnt() -> Step:
    """What is done with what a mock-up shows."""
    return Step(
        title="Before the metal is ordered",
        says=(
            "Look where it binds, stands open, or cannot be reached by hand and torch.",
            "What you trimmed goes into job.toml as [[trim]]: part, corner as numbered, how much.",
            "What is off by more than a trim is a mark read wrong: take its readings again.",
            "Then pack again, and compare the two packs.",
            "Board shows fit and swing, never strength: rule book and engineer decide about that.",
        ),
    )


def _last(build: Build) -> Step:
    unit = build.job.job.unit
    open_ = [told_in(f, unit) for f in build.findings if f.level is not Level.GOOD]
    return Step(
        title="Before you weld out",
        says=(
            "Weld short runs on opposite sides, cooling between (common practice, no source).",
            "Measure the hinge, latch and marks again after every few welds.",
            *(_open(f) for f in open_[:6]),
            *((f"… and {len(open_) - 6} more in lists/findings.csv",) if len(open_) > 6 else ()),
            "Have it inspected: rule book, scrutineer and licensed engineer decide, not paper.",
        ),
        share=0.0,
    )


def _open(finding: Finding) -> str:
    return (
        f"{finding.level.value.upper()} {finding.subject}: {finding.says} {finding.remedy}".strip()
    )
