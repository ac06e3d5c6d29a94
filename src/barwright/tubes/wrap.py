"""The cut round a tube's end, unrolled: for a paper wrap, a rotary cutter or a check on the bench.

Across goes the angle round the tube, 0 at the zero line (the line scribed along the bar, where
the seam of the paper lies), right hand about the direction from the end's mark into the bar; up
goes the position along the tube from that mark. Paper wrapped round a tube keeps its length at
mid-thickness, so it is drawn pi (D + t) wide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from barwright.geometry.cope import STATIONS
from barwright.geometry.vectors import Floats
from barwright.tubes.bars import BuiltBar


@dataclass(frozen=True, kw_only=True, eq=False)
class Wrap:
    """One end, unrolled.

    Attributes:
        bar, end, mark: the bar, which end ("from" or "to"), its mark.
        width: once round on the paper [mm].
        curve: the cut, shape (361, 2): across and up [mm]; its last point closes the seam.
        crotch: where the cut is deepest [mm across].
        heel: half round from the crotch, on the blunt side of the joint [mm across].
        twists: where the inside of each bend lies, the nearest bend first [mm across]; empty
            for a straight bar.
    """

    bar: str
    end: str
    mark: str
    width: float
    curve: Floats
    crotch: float
    heel: float
    twists: tuple[float, ...]


def wrap(bar: BuiltBar, which: str, *, paper: float = 0.1) -> Wrap:
    """One end of a bar, unrolled.

    Args:
        bar: the bar.
        which: "from" or "to".
        paper: its thickness [mm]; 80 g/m² printer paper is 0.1: common practice, no source.
    """
    end = bar.finish if which == "to" else bar.start
    width = math.pi * (2.0 * bar.radius + paper)
    across = np.append(STATIONS, 2.0 * math.pi) * width / (2.0 * math.pi)
    crotch, heel = crotch_and_heel(end.cope)
    return Wrap(
        bar=bar.name,
        end=which,
        mark=end.mark,
        width=width,
        curve=np.column_stack([across, np.append(end.cope, end.cope[0])]),
        crotch=crotch * width / 360.0,
        heel=heel * width / 360.0,
        twists=tuple(a * width / (2.0 * math.pi) for a in twist_angles(bar, which)),
    )


def crotch_and_heel(cope: Floats) -> tuple[int, int]:
    """The degree where the cut, shape (360,), is deepest, and the one half round from it."""
    crotch = int(np.argmax(cope))
    return crotch, (crotch + 180) % 360


def edge_length(cope: Floats, radius: float) -> float:
    """How long the cut's edge is round the tube's skin [mm]: what is to be ground or welded.

    Args:
        cope: positions at even angles round the tube, shape (n,) [mm].
        radius: outside radius [mm].

    >>> round(edge_length(np.zeros(360), 19.0), 4)
    119.3805
    """
    step = 2.0 * math.pi * radius / len(cope)
    return float(np.sum(np.hypot(step, np.diff(cope, append=cope[0]))))


def twist_angles(bar: BuiltBar, which: str) -> tuple[float, ...]:
    """Where the inside of each bend lies round the tube at an end [rad, 0..2 pi], nearest first.

    The zero line runs along the outside of the first bend, so that bend's inside is half a turn
    from it, and each later bend's farther round by the turns between.
    """
    if not bar.table.bends:
        return ()
    round_ = [math.pi]
    for turn in bar.table.turns:
        round_.append(round_[-1] + turn)
    angles = [-a for a in reversed(round_)] if which == "to" else round_
    return tuple(a % (2.0 * math.pi) for a in angles)


def rotary(bar: BuiltBar, *, kerf: float = 0.0) -> Floats:
    """Both ends for a laser or plasma cutter that turns the tube under a beam through its axis.

    Args:
        bar: a straight bar, or the straight tube it is bent from (bends shift no cope: they lie
            on the end straights).
        kerf: width of the beam's cut [mm], half of which is kept off the part.

    Returns:
        Shape (361, 3): degrees round the tube, right hand about from -> to from the zero line,
        and where to cut the from end and the to end [mm from the from end's longest point].
    """
    start = _off_by(bar.start.cope, kerf / 2.0, bar.radius)
    finish = _off_by(bar.finish.cope, kerf / 2.0, bar.radius)
    back = np.roll(finish[::-1], 1)
    first = start - float(np.min(bar.start.cope))
    last = bar.cut_length + float(np.min(bar.finish.cope)) - back
    rows = np.column_stack([np.arange(360.0), first, last])
    return np.vstack([rows, rows[0] + (360.0, 0.0, 0.0)])


def _off_by(cope: Floats, off: float, radius: float) -> Floats:
    """The cut moved square to itself toward the waste, on the unrolled skin, (360,) [mm]."""
    if off == 0.0:
        return np.asarray(cope)
    width = 2.0 * math.pi * radius
    x = STATIONS * radius
    slope = (np.roll(cope, -1) - np.roll(cope, 1)) / (2.0 * width / 360.0)
    size = np.hypot(1.0, slope)
    moved_x, moved_y = x + off * slope / size, cope - off / size
    order = np.argsort(moved_x % width)
    return np.asarray(np.interp(x, (moved_x % width)[order], moved_y[order], period=width))
