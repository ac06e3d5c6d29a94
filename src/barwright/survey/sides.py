"""Left and right: is the frame the same on both, and will what is mirrored fit the other side?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

from barwright.findings import Finding
from barwright.job.schema import Bar, Job, Leaf
from barwright.survey.marks import Marks
from barwright.survey.radii import marks_of, radius_of
from barwright.survey.twins import TwinFit, check_twins, pairs_of, symmetry, twin_fit, unforced


def check_sides(job: Job, marks: Marks) -> tuple[Finding, ...]:
    """What a person has to know before a part is mirrored; nothing where nothing is.

    Args:
        job: its readings, bars, leaves, twins and tolerances.
        marks: the adjusted survey.
    """
    readings = job.readings
    if not job.twin.of and not any(r.kind == "pair" for r in readings):
        return ()
    free = unforced(marks, readings, radius_of(job))
    told = free or marks
    pairs = pairs_of(readings, told)
    found = symmetry(marks, readings, free=free, pairs=pairs)
    return check_twins(found, tuple(_fits(job, told, pairs)) if free else ())


def _fits(job: Job, marks: Marks, pairs: Sequence[tuple[str, str]]) -> Iterator[TwinFit]:
    """Each mirrored leaf against the other side's own marks."""
    facing = dict(chain(pairs, ((b, a) for a, b in pairs)))
    for name in job.twin.of:
        leaf = job.leaf.get(name)
        here = [m for m in _seats(job, leaf, marks) if m in facing] if leaf else []
        if len(here) >= 3:
            there = [facing[m] for m in here]
            yield twin_fit(marks, f"leaf.{name}", here, there, job.tolerance.weld_gap)


def _seats(job: Job, leaf: Leaf, marks: Marks) -> tuple[str, ...]:
    """The marks a leaf is made to: its bars' ends, and those near of what it hangs and shuts on."""
    own = [m for b in leaf.bars if b in job.bar for m in marks_of(job.bar[b])]
    seats = [job.bar[n] for n in _on(leaf) if n in job.bar]
    side = marks.at(own[0])[1] if own and own[0] in marks else 0.0
    near = [m for bar in seats for m in _of(bar, marks) if marks.at(m)[1] * side > 0.0]
    return tuple(dict.fromkeys((*(m for m in own if m in marks), *near)))


def _of(bar: Bar, marks: Marks) -> Iterator[str]:
    return (m for m in marks_of(bar) if m in marks)


def _on(leaf: Leaf) -> Iterator[str]:
    """The bars its fittings are on."""
    for use in (leaf.hinge, leaf.latch, leaf.striker):
        on = (use.model_extra or {}).get("on") if use else None
        if isinstance(on, str):
            yield on
