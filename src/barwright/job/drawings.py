"""Flat outlines that come with a job as files of their own: bought parts, traced templates.

Read once, when the job is read, and kept with it: so the job is still one value that says
everything, and its hash tells when a drawing changed.
"""

from __future__ import annotations

import math
from typing import TypeAlias

from barwright.job.entry import Entry

Spot: TypeAlias = tuple[float, float]
"""A point in the drawing's own plane [mm]."""

Corner: TypeAlias = tuple[float, float, float]
"""x, y [mm] and bulge to the next corner: tan(quarter of the arc's angle), left positive."""

Ring: TypeAlias = tuple[Corner, ...]
"""A closed run; its last corner leads back to the first."""


STRAIGHT = 2.5e-10
"""A bulge so small is none: over 5 m its arc stays within a millionth of a millimetre."""


class DrawnLine(Entry):
    """A line marked on the drawing, not cut: its name, its ends, and its doubt across [mm]."""

    name: str = ""
    a: Spot
    b: Spot
    sd: float = 0.0


class Drawing(Entry):
    """An outline as read from a file, in millimetres.

    A length L on it is known to one standard deviation of sqrt(edge_sd² + (scale_sd L)²).

    Attributes:
        file: as job.toml names it, "bought/latch.dxf".
        outline: the outer edge, anticlockwise.
        holes: what is cut out of it, clockwise; a round hole is two half turns.
        lines: marked on it.
        edge_sd: of where an edge lies [mm]; 0 for what was drawn, not measured.
        scale_sd: of the scale, as a ratio.
        smoothed: how far straights that stand for free curves may lie off them [mm]; 0 with none.
        notes: what a person should look at.
    """

    file: str
    outline: Ring
    holes: tuple[Ring, ...] = ()
    lines: tuple[DrawnLine, ...] = ()
    edge_sd: float = 0.0
    scale_sd: float = 0.0
    smoothed: float = 0.0
    notes: tuple[str, ...] = ()

    def length_sd(self, length: float) -> float:
        """One standard deviation [mm] of a length [mm] taken off the drawing."""
        return math.hypot(self.edge_sd, self.scale_sd * length)


def ring_area(ring: Ring) -> float:
    """The signed area of a ring [mm²], arcs exact; positive anticlockwise.

    Shoelace for the chords, plus R²(θ - sin θ)/2 for each arc.

    >>> round(ring_area(((-2.0, 0.0, 1.0), (2.0, 0.0, 1.0))) / math.pi, 9)
    4.0
    """
    total = 0.0
    for (x, y, b), (x1, y1, _) in zip(ring, (*ring[1:], ring[0]), strict=True):
        total += 0.5 * (x * y1 - x1 * y)
        theta, chord = 4.0 * math.atan(b), math.hypot(x1 - x, y1 - y)
        if abs(b) >= STRAIGHT:
            radius = chord / (2.0 * math.sin(theta / 2.0))
            total += 0.5 * radius * radius * (theta - math.sin(theta))
    return total


def backwards(ring: Ring) -> Ring:
    """The same ring run the other way round."""
    return tuple((*ring[-i][:2], -ring[-i - 1][2]) for i in range(len(ring)))


def mirrored(ring: Ring) -> Ring:
    """The ring mirrored in the y axis, run the same way round as before."""
    return backwards(tuple((-x, y, -b) for x, y, b in ring))


def round_hole(ring: Ring) -> tuple[Spot, float] | None:
    """Centre and diameter [mm] of a ring that is a circle; None for any other.

    >>> round_hole(((-2.0, 1.0, -1.0), (2.0, 1.0, -1.0)))
    ((0.0, 1.0), 4.0)
    """
    if len(ring) != 2 or any(abs(abs(b) - 1.0) > 1e-6 for _, _, b in ring):
        return None
    (x, y, _), (x1, y1, _) = ring
    return ((x + x1) / 2.0, (y + y1) / 2.0), math.hypot(x1 - x, y1 - y)


def sampled(ring: Ring, off: float = 0.05) -> tuple[Spot, ...]:
    """The ring as points, chords within `off` [mm] of its arcs."""
    rows: list[Spot] = []
    for (x, y, b), (x1, y1, _) in zip(ring, (*ring[1:], ring[0]), strict=True):
        rows.append((x, y))
        if b:
            rows.extend(_along((x, y), (x1, y1), b, off))
    return tuple(rows)


def _along(start: Spot, end: Spot, bulge: float, off: float) -> list[Spot]:
    (x, y), (x1, y1) = start, end
    if abs(bulge) < STRAIGHT:
        return []
    k = (1.0 - bulge * bulge) / (4.0 * bulge)
    cx, cy = (x + x1) / 2.0 - k * (y1 - y), (y + y1) / 2.0 + k * (x1 - x)
    radius, theta = math.hypot(x - cx, y - cy), 4.0 * math.atan(bulge)
    step = 2.0 * math.acos(max(1.0 - off / max(radius, off), 0.5))
    n = max(2, math.ceil(abs(theta) / step))
    first = math.atan2(y - cy, x - cx)
    turns = [first + theta * i / n for i in range(1, n)]
    return [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in turns]


__all__ = [
    "Corner",
    "Drawing",
    "DrawnLine",
    "Ring",
    "Spot",
    "backwards",
    "mirrored",
    "ring_area",
    "round_hole",
    "sampled",
]
