"""Whether a bar's bends can be made, and whether the rules allow them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from barwright.findings import Finding, Level
from barwright.job.schema import Job
from barwright.tubes.bars import BuiltBar
from barwright.tubes.bend_sheet import bend_sheet
from barwright.tubes.bending_room import room_findings
from barwright.tubes.shape import Shape
from barwright.tubes.thinning import LEAST_ROUND, outer_wall

LEAST_CLR = 3.0
"""Least centreline radius in outside diameters: FIA Appendix J Art. 253-8.3.3 (as quoted 2009),
FSAE rules F.5.2.1 (2021 and 2026)."""
RULE = "FIA App. J 253-8.3.3 and FSAE F.5.2.1: CLR at least 3 × outside diameter"


def bend_findings(job: Job, shape: Shape, bar: BuiltBar) -> Iterator[Finding]:
    """What is to be said about the bends of one bar; prebent and standing ones are bent already."""
    if not shape.table.bends:
        return
    yield from _clr(shape)
    if job.bar[shape.name].prebent is None and not bar.stands:
        yield from _grip(job, shape)
        yield from _in_the_bender(job, shape, bar)


def wall_findings(job: Job, bars: tuple[BuiltBar, ...]) -> Iterator[Finding]:
    """What the bends do to each stock's wall and roundness: one finding a stock and CLR."""
    bent = {(b.stock, b.radius, b.wall, round(b.table.clr, 3)): b for b in bars if b.table.bends}
    for stock, radius, wall, clr in bent:
        yield _thinned(stock, 2.0 * radius, wall, clr)
    for stock in dict.fromkeys(key[0] for key in bent if key[0] in job.bender):
        yield _roundness(stock, job.bender[stock].roundness)


def _in_the_bender(job: Job, shape: Shape, bar: BuiltBar) -> Iterator[Finding]:
    sheet, said = bend_sheet(job, bar)
    yield from said
    if shape.stock in job.bender:
        straights = list(sheet.table.straights)
        straights[0] += sheet.trim_first
        straights[-1] += sheet.trim_last
        table = replace(sheet.table, straights=tuple(straights))
        yield from room_findings(shape.name, table, shape.radius, job.bender[shape.stock])


def _thinned(stock: str, od: float, wall: float, clr: float) -> Finding:
    left = outer_wall(wall, clr, od)
    least = outer_wall(wall, LEAST_CLR * od, od)
    fine = left >= least * (1.0 - 1e-9)
    return Finding(
        code="tubes.thinning",
        level=Level.GOOD if fine else Level.LOOK,
        subject=f"stock.{stock}",
        says=f"{stock} bent to CLR {clr:.1f} mm keeps {left:.2f} mm of its {wall:.2f} mm wall "
        f"on the outside of the bend ({100.0 * (1.0 - left / wall):.0f} % thinner).",
        measured=left,
        allowed=least,
        unit="mm",
        source="t R / (R + D/2), common rule of thumb, from memory; bound: CLR of 3 × diameter",
        remedy="" if fine else "bend to a larger CLR, or start from a thicker wall",
    )


def _roundness(stock: str, measured: float | None) -> Finding:
    bad = measured is not None and measured < LEAST_ROUND
    level = Level.MUST if bad else Level.LOOK if measured is None else Level.GOOD
    says = f"{stock}: least over greatest diameter in a bend is {measured or 0.0:.3f}."
    if measured is None:
        says = f"{stock}: nobody has measured how oval its bends come out."
    return Finding(
        code="tubes.oval",
        level=level,
        subject=f"bender.{stock}",
        says=says,
        measured=measured,
        allowed=LEAST_ROUND,
        source="FIA App. J 253-8.3.3 (as quoted 2009), MSA K1.4.3: at least 0.90",
        remedy={
            Level.MUST: "bend to a larger CLR, or with a closer die or a mandrel",
            Level.LOOK: "measure a test bend and write `roundness` in its bender",
            Level.GOOD: "",
        }[level],
    )


def _clr(shape: Shape) -> Iterator[Finding]:
    clr, od = shape.table.clr, 2.0 * shape.radius
    ratio, least = clr / od, LEAST_CLR * od
    if clr >= least * (1.0 - 1e-9):
        return
    yield Finding(
        code="tubes.clr",
        level=Level.MUST,
        subject=f"bar.{shape.name}",
        says=f"{shape.name} is bent to CLR {clr:.1f} mm, {ratio:.2f} × its {od:.1f} mm diameter: "
        "the wall thins and the tube goes oval.",
        measured=clr,
        allowed=least,
        unit="mm",
        source=RULE,
        remedy=f"bend it on a die of CLR {least:.1f} mm or more",
    )


def _grip(job: Job, shape: Shape) -> Iterator[Finding]:
    grip = job.bender[shape.stock].grip if shape.stock in job.bender else 0.0
    straights = shape.table.straights
    for i, straight in enumerate(straights):
        if straight >= grip - 1e-9:
            continue
        inner = 0 < i < len(straights) - 1
        yield Finding(
            code="tubes.grip",
            level=Level.MUST if inner else Level.LOOK,
            subject=f"bar.{shape.name}",
            says=f"{shape.name}: straight {i + 1} is {straight:.1f} mm, "
            f"and the bender grips {grip:.1f} mm.",
            measured=straight,
            allowed=grip,
            unit="mm",
            source="the bender's own grip, from the job",
            remedy=f"move the bends apart by {grip - straight:.1f} mm"
            if inner
            else f"cut the tube {grip - straight:.1f} mm longer there and trim after bending",
        )
