"""What the bars say about the marks: how thick the tube is there, and from where to where."""

from __future__ import annotations

from itertools import pairwise

from barwright.job.schema import Bar, Job


def radius_of(job: Job) -> dict[str, float]:
    """Mark -> outside radius [mm] of the tube whose centreline it lies on.

    Where bars of several sizes name one mark, the largest counts: that is what a tape laid over
    the node feels. Marks no bar names are left out.
    """
    radii: dict[str, float] = {}
    for bar in job.bar.values():
        stock = job.stock.get(bar.stock)
        if stock is not None:
            for mark in marks_of(bar):
                radii[mark] = max(radii.get(mark, 0.0), stock.od / 2.0)
    return radii


def marks_of(bar: Bar) -> tuple[str, ...]:
    """The marks a bar names."""
    ends = tuple(m for m in (bar.from_, bar.to) if m is not None)
    return (*(bar.path or ()), *ends)


def spans_of(job: Job) -> tuple[tuple[str, str], ...]:
    """The bars to be made, straight by straight, each from mark to mark; each pair once."""
    made = (bar for name, bar in job.bar.items() if name not in job.standing.bars)
    return tuple(dict.fromkeys(pair for bar in made for pair in pairwise(marks_of(bar))))
