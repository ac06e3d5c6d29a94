"""How two ways of doing one thing are timed side by side."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Row:
    """One comparison.

    Attributes:
        what: the task, with its size.
        library: the library ours is held against, with its version.
        ours, theirs: median time of one call [s].
        ratio: median of theirs / ours, pair by pair: above one means ours is faster.
        agree: how closely the two answers agree, in words with a figure.
    """

    what: str
    library: str
    ours: float
    theirs: float
    ratio: float
    agree: str = ""


def compare(
    what: str,
    library: str,
    ours: Callable[[], object],
    theirs: Callable[[], object],
    *,
    pairs: int = 7,
    agree: str = "",
) -> Row:
    """Time two callables in turn, ours then theirs, after one warm-up of each.

    Each of ours is repeated until it fills about 20 ms, so that short calls are timed fairly.
    """
    theirs()
    repeats = max(1, round(0.02 / max(_seconds(ours, 2), 1e-7)))
    times = [(_seconds(ours, repeats), _seconds(theirs, 1)) for _ in range(pairs)]
    return Row(
        what=what,
        library=library,
        ours=statistics.median(a for a, _ in times),
        theirs=statistics.median(b for _, b in times),
        ratio=statistics.median(b / a for a, b in times),
        agree=agree,
    )


def _seconds(call: Callable[[], object], repeats: int) -> float:
    start = time.perf_counter()
    for _ in range(repeats):
        call()
    return (time.perf_counter() - start) / repeats
