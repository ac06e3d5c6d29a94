"""What to set a bender to for the angle that is wanted, by its own table and its test bends.

The table's pairs (wanted -> set) are joined by a curve that never turns back where the pairs do
not (Fritsch and Carlson's monotone cubic). Outside the pairs nothing is known: asking there is
refused rather than guessed.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from barwright.job.schema import Bender

Pair = tuple[float, float]


class NoAnswer(ValueError):  # noqa: N818 - it says what it is
    """The table does not say; the message tells what to do."""


def set_angle(bender: Bender, wanted: float) -> float:
    """The angle [rad] to set for a wanted angle [rad].

    Without a table or tests the bender is taken at its word: set what is wanted.

    Raises:
        NoAnswer: the table does not reach that far, or contradicts itself.
    """
    pairs = corrected(bender)
    return looked_up(pairs, wanted) if pairs else wanted


def corrected(bender: Bender) -> tuple[Pair, ...]:
    """The bender's table [rad] put right by its test bends.

    A test bend set to the table's answer for `wanted` that came out at `got` tells what `got`
    needs. The table's error there is carried to its other angles in proportion to the angle
    (springback grows with it), and between tests in a straight line.

    Raises:
        NoAnswer: the table contradicts itself, or a test lies outside it.
    """
    table = _sorted(bender.springback)
    if not bender.tests:
        return table
    known = sorted((got, _known_set(table, wanted)) for wanted, got in bender.tests)
    got = np.array([g for g, _ in known])
    error = np.array([s - _or_same(table, g) for g, s in known])
    asked = sorted({w for w, _ in table} | set(got.tolist()))
    fixed = tuple(
        (w, float(_or_same(table, w) + w * np.interp(w, got, error / got))) for w in asked
    )
    return _sorted(fixed)


def looked_up(pairs: tuple[Pair, ...], wanted: float) -> float:
    """The set angle [rad] on the curve through the pairs.

    Raises:
        NoAnswer: `wanted` lies outside the pairs.
    """
    low, high = pairs[0][0], pairs[-1][0]
    if not low - 1e-9 <= wanted <= high + 1e-9:
        raise NoAnswer(
            f"the table knows {math.degrees(low):.1f}° to {math.degrees(high):.1f}°, "
            f"not {math.degrees(wanted):.1f}°: make a test bend of {math.degrees(wanted):.0f}°"
        )
    if len(pairs) == 1:
        return pairs[0][1]
    return monotone(pairs, min(max(wanted, low), high))


def monotone(pairs: tuple[Pair, ...], x: float) -> float:
    """The monotone cubic through pairs of rising x, two or more, at an x within them.

    Slopes after Fritsch and Butland (1984): the weighted harmonic mean of the neighbours', at
    the ends a three-point estimate kept from overshooting.
    """
    at, value = np.array(pairs).T
    h, d = np.diff(at), np.diff(value) / np.diff(at)
    slope = np.full(len(at), d[0])
    if len(at) > 2:
        w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
        slope[1:-1] = (w1 + w2) / (w1 / d[:-1] + w2 / d[1:])
        slope[0] = _end_slope(h[0], h[1], d[0], d[1])
        slope[-1] = _end_slope(h[-1], h[-2], d[-1], d[-2])
    i = min(int(np.searchsorted(at, x, side="right")) - 1, len(h) - 1)
    t = (x - at[i]) / h[i]
    rise = (3.0 - 2.0 * t) * t * t
    bend = t * (1.0 - t) * h[i]
    return float(
        value[i]
        + rise * (value[i + 1] - value[i])
        + bend * ((1.0 - t) * slope[i] - t * slope[i + 1])
    )


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    """Slope at an end from its two nearest intervals; both of these rise.

    Below twice the first interval's own, so it needs no limit above, only that it does not fall.
    """
    return max(((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1), 0.0)


def _sorted(table: tuple[Pair, ...]) -> tuple[Pair, ...]:
    """The pairs by wanted angle; more wanted must be more set."""
    pairs = tuple(sorted(table))
    for (a, set_a), (b, set_b) in pairwise(pairs):
        if not (b > a and set_b > set_a):
            raise NoAnswer(
                f"the table turns back between {math.degrees(a):.1f}° and {math.degrees(b):.1f}°: "
                "more angle must be set for more angle"
            )
    return pairs


def _known_set(table: tuple[Pair, ...], wanted: float) -> float:
    """What a test bend was set to."""
    return looked_up(table, wanted) if table else wanted


def _or_same(table: tuple[Pair, ...], wanted: float) -> float:
    """What the table says, held at its first and last correction beyond its ends."""
    if not table:
        return wanted
    held = min(max(wanted, table[0][0]), table[-1][0])
    return looked_up(table, held) + (wanted - held)
