"""Whether a bar's bends can be made, and whether the rules allow them."""

from __future__ import annotations

from collections.abc import Iterator

from barwright.findings import Finding, Level
from barwright.job.schema import Job
from barwright.tubes.shape import Shape

LEAST_CLR = 3.0
"""Least centreline radius in outside diameters: FIA Appendix J Art. 253-8.3.3 (as quoted 2009),
FSAE rules F.5.2.1 (2021 and 2026)."""
RULE = "FIA App. J 253-8.3.3 and FSAE F.5.2.1: CLR at least 3 × outside diameter"


def bend_findings(job: Job, shape: Shape) -> Iterator[Finding]:
    """What is to be said about the bends of one bar."""
    if not shape.table.bends:
        return
    yield from _clr(shape)
    yield from _grip(job, shape)


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
