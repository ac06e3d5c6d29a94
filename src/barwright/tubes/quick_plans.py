"""Which cut plans are found at once, and how many bars no plan can do without?

Sizes are whole numbers; every size fits in the room of a bar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence


def first_fit(sizes: Sequence[int], room: int) -> list[list[int]]:
    """First-fit decreasing: each size, largest first, into the first bar with room for it.

    >>> first_fit([5, 6, 4, 5], 10)
    [[6, 4], [5, 5]]
    """
    bars, left = list[list[int]](), list[int]()
    for size in sorted(sizes, reverse=True):
        i = next((i for i, free in enumerate(left) if size <= free), None)
        if i is None:
            bars.append([size])
            left.append(room - size)
        else:
            bars[i].append(size)
            left[i] -= size
    return bars


def fullest_first(sizes: Sequence[int], room: int) -> list[list[int]]:
    """Bar by bar: the largest size left, and with it what fills the bar best.

    >>> fullest_first([51, 48, 40, 34, 15, 12], 100)
    [[51, 34, 15], [48, 40, 12]]
    """
    left, bars = sorted(sizes, reverse=True), list[list[int]]()
    while left:
        largest = left.pop(0)
        bar = [largest, *_filling(left, room - largest)]
        for size in bar[1:]:
            left.remove(size)
        bars.append(bar)
    return bars


def _filling(sizes: list[int], room: int) -> list[int]:
    """Those of the sizes that fill the room best: sums that can be had, as the bits of a number."""
    within, reached, before = (1 << (room + 1)) - 1, 1, list[int]()
    for size in sizes:
        before.append(reached)
        reached |= (reached << size) & within
    at, taken = reached.bit_length() - 1, list[int]()
    for size, had in zip(reversed(sizes), reversed(before), strict=True):
        if not had >> at & 1:
            taken.append(size)
            at -= size
    return taken[::-1]


def least_bars(sizes: Sequence[int], room: int) -> int:
    """No plan does with fewer bars than this, by counting alone.

    For each k up to half a bar: sizes above room - k stand alone, those above half a bar each
    need one of their own, and what of the rest (k and more) does not fit beside these needs more
    (Martello and Toth 1990, bound L2; from memory).

    >>> least_bars([6, 6, 6], 10), least_bars([5, 5, 5], 10), least_bars([], 10)
    (3, 2, 0)
    """
    least = math.ceil(sum(sizes) / room)
    for k in {size for size in sizes if 2 * size <= room}:
        alone = sum(size > room - k for size in sizes)
        halves = [size for size in sizes if room < 2 * size <= 2 * (room - k)]
        rest = sum(size for size in sizes if k <= size and 2 * size <= room)
        over = rest - (len(halves) * room - sum(halves))
        least = max(least, alone + len(halves) + max(0, -(-over // room)))
    return max(least, sum(2 * size > room for size in sizes))
