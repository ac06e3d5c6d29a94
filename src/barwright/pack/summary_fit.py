"""The summary's figures of the leaves, of the chance that it fits, and of what to measure next."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from barwright.job.sentences import in_own_unit
from barwright.pack.units import degrees, number, shop, small

if TYPE_CHECKING:
    from barwright.fits.chance_result import Again, FirstFit, Trim
    from barwright.fits.hinge_stack import HingeFit
    from barwright.route import Build
    from barwright.swing.motion import Motion, Swing

HEAD = ("leaf", "opens", "first touches", "least gap on its way", "hinge", "latch", "fits")
SHARES = (0.12, 0.08, 0.15, 0.24, 0.19, 0.14, 0.08)
"""Of the page's width, column by column."""

MOST = 3
"""Of each kind of advice that is told."""

LEAST = 0.01
"""What raises a chance by less than this is not told."""


def leaf_rows(build: Build) -> list[list[str]]:
    """A row a leaf, its head first; empty where nothing swings."""
    rows = [_row(build, motion) for motion in build.motions]
    return [list(HEAD), *rows] if rows else []


def _row(build: Build, motion: Motion) -> list[str]:
    unit = build.job.job.unit
    swing = next((s for s in build.swings if s.leaf == motion.leaf), None)
    hinge = next(
        (h for h in build.fits.hinges if h.stack.leaf in {motion.leaf, motion.twin_of}), None
    )
    chance = next((p.chance for p in build.first_fit.parts if p.name == motion.leaf), None)
    return [
        motion.leaf,
        degrees(abs(motion.opens), 0),
        _contact(swing),
        _gap(swing, unit),
        _hinge(hinge, unit),
        _latch(build, motion),
        "–" if chance is None else f"{number(100.0 * chance, 0)} %",
    ]


def _contact(swing: Swing | None) -> str:
    if swing is None:
        return "–"
    met = swing.under_way or swing
    if met.first_contact is None:
        return "nothing"
    return f"{' on '.join(met.touches or ())} at {degrees(abs(met.first_contact))}"


def _gap(swing: Swing | None, unit: str) -> str:
    """The least gap on the way, apart from what lies close on purpose when closed."""
    met = swing and (swing.under_way or swing)
    if met is None or not math.isfinite(met.least_clearance):
        return "nothing near"
    pair = f": {met.least_pair[0]} to {met.least_pair[1]}" if met.least_pair else ""
    return f"{shop(met.least_clearance, unit)} at {degrees(abs(met.at), 0)}{pair}"


def _hinge(hinge: HingeFit | None, unit: str) -> str:
    if hinge is None:
        return "–"
    low, high = hinge.end_float.least, hinge.end_float.most
    return (
        f"end float {small(low, unit)} to {small(high, unit)}, far end ±{small(hinge.play, unit)} "
        f"{unit}"
    )


def _latch(build: Build, motion: Motion) -> str:
    """The latch that was bought for the leaf, or the kind of fitting that takes its place."""
    leaf = build.job.leaf.get(motion.twin_of or motion.leaf)
    use = leaf.latch if leaf else None
    if use is None:
        return "none"
    part = (use.model_extra or {}).get("part")
    return f"{use.fitting}, “{part}”" if part else use.fitting


def fit_lines(build: Build) -> list[str]:
    """The chance that it all fits the first time, what it hangs on, and what raises it."""
    first = build.first_fit
    if first.chance is None:
        return [f"Chance of first-time fit: not told. {first.why}".strip()] if first.why else []
    chance, error = number(100.0 * first.chance, 0), number(100.0 * first.sampling_error, 1)
    whole = f"Chance that {first.about} fits the first time: {chance} % (± {error} %)."
    said = [whole + first.trimmed_last]
    if first.decides:
        led = ", ".join(f"{d.name} (+{number(100.0 * d.gain, 0)} %)" for d in first.decides[:MOST])
        said.append(f"What decides it, and what it would bring were it free of error: {led}.")
    if raises := list(_raises(first, build.job.job.unit)):
        said.append(f"What raises it: {'; '.join(raises)}.")
    return [in_own_unit(line, build.job.job.unit) for line in said]


def _raises(first: FirstFit, unit: str) -> Iterator[str]:
    for one in first.open_gap[:2]:
        yield f"open {one.what} by {shop(one.by, unit)} (+{number(100.0 * one.gain, 0)} %)"
    helps = [t for t in first.trim_to_leave if t.after - t.before >= LEAST]
    for trim in helps[:2]:
        before, after = number(100.0 * trim.before, 0), number(100.0 * trim.after, 0)
        yield f"{_trimming(trim, unit)} ({before} to {after} % for that bar)"


def _trimming(trim: Trim, unit: str) -> str:
    if trim.amount < 0.05:
        return f"be ready to trim {trim.bar} in place, long enough as drawn"
    return f"leave {trim.bar} {shop(trim.amount, unit)} longer and trim it in place"


def next_lines(build: Build) -> list[str]:
    """What to measure next: for the fit first, then for the marks."""
    for_fit = [_again(a) for a in build.first_fit.measure_again[:MOST]]
    for_marks = [
        f"{c.kind} {' '.join(c.marks)} (−{number(c.gain, 0)} % doubt)"
        for c in build.marks.next_reading[:MOST]
    ]
    said = [f"for the fit: {'; '.join(for_fit)}"] if for_fit else []
    said += [f"for the marks: {'; '.join(for_marks)}"] if for_marks else []
    return [f"Measure next, {'. '.join(said)}."] if said else []


def _again(reading: Again) -> str:
    where = f"line {reading.line} again" if reading.line else "new"
    gain = number(100.0 * reading.gain, 1)
    return f"{reading.kind} {' '.join(reading.marks)}, {where} (+{gain} %)"


__all__ = ["SHARES", "fit_lines", "leaf_rows", "next_lines"]
