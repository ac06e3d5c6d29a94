"""What is done in which order: the steps of the build guide, before anything is drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from barwright.findings import Finding, Level
from barwright.geometry.vectors import Point
from barwright.pack.ends import meets
from barwright.pack.units import shop, tape
from barwright.plates.part import Hardware, Part
from barwright.plates.trim import words
from barwright.tubes.bars import BuiltBar

if TYPE_CHECKING:
    from barwright.buildup.results import Buildup
    from barwright.route import Build

AT_ONCE = 5
"""Bars put up in one step: as many as a page shows well."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of the guide.

    Attributes:
        title: what is done.
        says: how, line by line.
        adds: names of the bars, plates and bought things that come in with it.
        close: whether the picture looks at what is added from near.
        share: how far the leaves are opened in the picture, 0 to 1.
        explode: for things added, the unit direction each is drawn apart in.
        hold: what must be proven before going on; empty where there is no hold point.
        checks: what is ticked and signed before going on.
    """

    title: str
    says: tuple[str, ...]
    adds: tuple[str, ...] = ()
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
    return (
        _first(stage),
        *_trims(build),
        *(known or (*_bars(build), *_fittings(build, stage), *_leaves(build))),
        _last(build),
    )


def _known(build: Build) -> tuple[Step, ...]:
    """The steps the build-up stage found; nothing where the build has none."""
    found: Buildup | None = getattr(build, "buildup", None)
    plates = {p.name for p in build.parts.parts} | {h.name for h in build.parts.hardware}
    return tuple(
        Step(
            title=step.title,
            says=step.says,
            adds=step.adds,
            close=bool(step.adds) and {*step.adds} <= plates,
            explode=step.explode,
            hold=step.hold,
            checks=step.checks,
        )
        for step in (found.steps if found else ())
    )


def _trims(build: Build) -> Iterator[Step]:
    """What the mock-up taught, so that nobody wonders why a part differs from its first drawing."""
    trims = build.job.trim
    if trims:
        said = (f.says for f in build.findings if f.code in {"plates.trim", "tubes.trim"})
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


def _first(stage: str) -> Step:
    if stage == "board":
        says = (
            "Cut the flats of board (flat/ or nest/). Each carries its name and joint numbers.",
            "Butt the flats at like numbers, outside faces flush; glue or tape them.",
            "Try them on the vehicle. Swing the leaf by hand. Measure what is off.",
            "Put what you measured into the readings, and pack again for metal.",
        )
        return Step(title="Make the mock-up", says=says)
    says = (
        "Print templates/tube-ends.pdf at 100 % and lay a ruler on the bars on every page.",
        "Saw the tubes by sheets/cutting.pdf, bend them by sheets/bending.pdf.",
        "Wrap each template round its tube's end, mark, cut, and file till it sits without light.",
        "Keep the bar's name on every piece: some differ from their twin by a millimetre.",
    )
    return Step(title="Saw, bend and cope the bars", says=says)


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
    """The standing bars, those first that others are coped against."""
    unit = build.job.job.unit
    movers = {name for motion in build.motions for name in motion.bars}
    standing = tuple(bar for bar in build.bars.bars if bar.name not in movers)
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


def _bar_line(bar: BuiltBar, unit: str) -> str:
    ends = [
        f"{end.mark} to {' and '.join(meets(end))}" for end in (bar.start, bar.finish) if meets(end)
    ]
    bends = f", {len(bar.table.bends)} bends" if bar.table.bends else ""
    length = f"{shop(bar.cut_length, unit)} ({tape(bar.cut_length, unit)})"
    where = "; ".join(ends) or f"from {bar.start.mark} to {bar.finish.mark}, ends square"
    return f"{bar.name}: {length}{bends}; {where}."


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
    for swing in build.swings:
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
            says=("Open and shut it slowly, by hand, before anything is welded out.", says),
            share=1.0,
        )


def _last(build: Build) -> Step:
    open_ = [f for f in build.findings if f.level is not Level.GOOD]
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
