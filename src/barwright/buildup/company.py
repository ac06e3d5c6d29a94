"""Pieces that come out in company: whatever loose one stands in the way goes along, one way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from barwright.buildup.seen import Asked, Owners, Seen, met_by
from barwright.buildup.service import Piece, Scene
from barwright.geometry.vectors import Floats


def together(
    s: Scene, asked: Iterable[Asked], seen: Seen, gone: Owners, left: Sequence[Piece]
) -> tuple[tuple[Piece, ...], str, Floats] | None:
    """The first piece asked about that comes out in company: all that go, the state, the way."""
    whose = {s.all.index[n]: piece for piece in left for n in piece}
    for ask in asked:
        for way, met in zip(*seen[ask], strict=True):
            crowd = _gathered(s, (ask, way), met - gone, gone, whose)
            if crowd:
                return crowd, ask[1], way
    return None


def _gathered(
    s: Scene, at: tuple[Asked, Floats], met: Owners, gone: Owners, whose: Mapping[int, Piece]
) -> tuple[Piece, ...]:
    """A piece and all that has to go along one way; nothing where what stands is in the way."""
    (piece, state, _), way = at
    names = [piece]
    while met:
        if not whose.keys() >= met:
            return ()
        new = [p for p in dict.fromkeys(whose[k] for k in sorted(met)) if p not in names]
        names += new
        seen = met_by(s, new, [way[None]] * len(new), state)
        out = {s.all.index[n] for p in names for n in p}
        met = frozenset().union(*(m for (m,) in seen)) - gone - out
    return tuple(names)
