"""How thick the tube is at a mark, for readings taken over or between tubes."""

from __future__ import annotations

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
            for mark in _marks_of(bar):
                radii[mark] = max(radii.get(mark, 0.0), stock.od / 2.0)
    return radii


def _marks_of(bar: Bar) -> tuple[str, ...]:
    ends = tuple(m for m in (bar.from_, bar.to) if m is not None)
    return (*(bar.path or ()), *ends)
