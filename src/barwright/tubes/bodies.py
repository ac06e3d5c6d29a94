"""A bar as solids, for swing and interference."""

from __future__ import annotations

import numpy as np

from barwright.geometry.path import Arc, Piece, Straight
from barwright.geometry.solids import Body, Elbow, Rod, Solid
from barwright.geometry.vectors import Point, point
from barwright.tubes.bars import BuiltBar, End


def body_of(bar: BuiltBar) -> Body:
    """The bar as rods and elbows, cut square at each end where its longest point is.

    What a cope takes away beyond that is still counted as there: on the safe side.
    """
    pieces = list(bar.centreline.pieces)
    if isinstance(first := pieces[0], Straight):
        pieces[0] = Straight(start=_cut(bar.start), end=first.end)
    if isinstance(last := pieces[-1], Straight):
        pieces[-1] = Straight(start=last.start, end=_cut(bar.finish))
    return Body(name=bar.name, solids=tuple(_solid(piece, bar.radius) for piece in pieces))


def _cut(end: End) -> Point:
    """Where the longest point of an end lies, on the axis."""
    return point(np.array(end.origin) + float(np.min(end.cope)) * np.array(end.along))


def _solid(piece: Piece, radius: float) -> Solid:
    if isinstance(piece, Arc):
        return Elbow(arc=piece, radius=radius)
    return Rod(start=piece.start, end=piece.end, radius=radius)
