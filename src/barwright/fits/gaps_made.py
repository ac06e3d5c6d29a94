"""How a bar as made differs from the bar as drawn: where its far end goes with each error.

The near end is held. An error in a bend turns all that comes after it about the bend's centre;
bend allowance pushes it along; an error of roll turns it about the straight before the bend.
First order: errors of a degree and a millimetre on bars of a metre.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.fits.gaps import Doubt
from barwright.geometry.path import Arc, arc_end
from barwright.geometry.vectors import Floats, cross, unit
from barwright.job.tolerance_schema import Tolerance
from barwright.tubes.bars import BuiltBar


@dataclass(frozen=True, kw_only=True, eq=False)
class Warp:
    """One error of the made bar: p moves by `turn` x (p - `about`) + `push`, past the error.

    Attributes:
        doubt: the error.
        turn, push, about: per sd of it, (3,) [rad, mm, mm].
    """

    doubt: Doubt
    turn: Floats
    push: Floats
    about: Floats

    def moves(self, points: Floats) -> Floats:
        """How far points (..., 3) beyond the error move [mm] for one sd."""
        return np.asarray(np.cross(self.turn, points - self.about) + self.push)


def warps(bar: BuiltBar, tolerance: Tolerance) -> tuple[Warp, ...]:
    """Every bend's errors, from `from` to `to`."""
    arcs = [p for p in bar.centreline.pieces if isinstance(p, Arc)]
    found = []
    for k, arc in enumerate(arcs):
        axis, centre, end = np.array(arc.axis), np.array(arc.centre), np.array(arc_end(arc))
        out = unit(cross(axis, end - centre))
        into = unit(cross(axis, np.array(arc.start) - centre))
        name = f"{bar.name}, bend {k + 1}"
        found += [
            _warp("bend_angle", name, tolerance, turn=axis, about=centre),
            _warp("bend_length", name, tolerance, push=out),
        ]
        if k:
            found.append(_warp("bend_turn", name, tolerance, turn=into, about=np.array(arc.start)))
    return tuple(w for w in found if w.doubt.sd > 0.0)


def doubt_of(kind: str, what: str, tolerance: Tolerance, sd: float | None = None) -> Doubt:
    """An error by its figure in [tolerance], or by an sd [mm or rad] worked out from it."""
    figure = getattr(tolerance, kind) if sd is None else sd
    return Doubt(kind=kind, what=what, sd=float(figure), source=tolerance.source_of(kind))


NOTHING = np.zeros(3)


def _warp(
    kind: str,
    what: str,
    tolerance: Tolerance,
    *,
    turn: Floats = NOTHING,
    push: Floats = NOTHING,
    about: Floats = NOTHING,
) -> Warp:
    doubt = doubt_of(kind, what, tolerance)
    return Warp(doubt=doubt, turn=turn * doubt.sd, push=push * doubt.sd, about=about)
