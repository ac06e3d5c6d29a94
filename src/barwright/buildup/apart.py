"""How everything loose comes out of the finished weldment, and in what order.

Loose pieces come out one after another, the cheapest proof first: straight along the way a piece
is made for, alone; in company with what is in its way, all along one way; along x, y and z; with
its leaf open; along any way that contacts suggest; by two moves. After every success the cheapest
is tried again. What is still in when nothing more comes out is trapped.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from barwright.buildup.caged import caged
from barwright.buildup.company import together
from barwright.buildup.results import Move, Way
from barwright.buildup.seen import Asked, Seen, look, met_by
from barwright.buildup.service import (
    CLOSED,
    Piece,
    Scene,
    easiest,
    first_tries,
    is_bolt,
    parted,
    states,
)
from barwright.buildup.ways import blockers, way_out
from barwright.geometry.vectors import Floats, point


@dataclass(kw_only=True, eq=False)
class _Work:
    """What is still in, what is out, and what is known so far.

    Attributes:
        s: the scene.
        left: loose pieces still in.
        gone: parts that are out.
        ways: how they came out.
        seen: what stands in which way.
        failed: for a piece and a number of moves, what it met when it did not come.
    """

    s: Scene
    left: list[Piece]
    gone: set[int] = field(default_factory=set)
    ways: list[Way] = field(default_factory=list)
    seen: Seen = field(default_factory=dict)
    failed: dict[tuple[Piece, int], set[str]] = field(default_factory=dict)


def take_apart(s: Scene) -> tuple[Way, ...]:
    """How every loose piece comes out, in the order they do; the trapped ones last."""
    w = _Work(s=s, left=list(s.pieces))
    while w.left and _step(w):
        pass
    crowds = [_crowd_of(s, way) for way in w.ways]
    look(s, [(p, CLOSED, lot) for c in crowds for p in c[:-1] for lot in (0, 1)], w.seen)
    bench = [more for crowd in crowds for more in _on_the_bench(s, crowd, w.seen)]
    gone = {s.all.all[k].name for k in w.gone}
    loose = {n for p in w.left for n in p}
    caught = [_trapped(s, piece, gone, gone | loose - {*piece}) for piece in w.left]
    return (*w.ways, *bench, *caught)


def _step(w: _Work) -> bool:
    """Get something out, by the cheapest means that does it."""
    bolts = [p for p in w.left if is_bolt(p)]
    return (
        _single(w, [(p, CLOSED, 0) for p in w.left])
        or _single(w, _every(w.s, bolts))
        or _crowd(w, [(p, CLOSED, 0) for p in w.left])
        or _single(w, _every(w.s, w.left))
        or _crowd(w, _every(w.s, w.left))
        or _searched(w, 1)
        or _searched(w, 2)
    )


def _every(s: Scene, pieces: Iterable[Piece]) -> list[Asked]:
    """Both lots of ways, in every state."""
    return [(p, state, lot) for p in pieces for state in states(s.all, p) for lot in (0, 1)]


def _single(w: _Work, asked: Sequence[Asked]) -> bool:
    """All that come out alone along a way asked about, one after another."""
    look(w.s, asked, w.seen)
    before = len(w.ways)
    while way := next(_free(w, asked), None):
        _out(w, way)
    return len(w.ways) > before


def _free(w: _Work, asked: Sequence[Asked]) -> Iterator[Way]:
    """Ways out among those asked about, with what is gone by now, the easiest piece first."""
    for piece in easiest(w.left):
        for ask in asked:
            ways, met = w.seen[ask] if ask[0] == piece else (np.zeros((0, 3)), [])
            free = ways[[m <= w.gone for m in met]]
            if len(free):
                yield _straight(w.s, w.gone, (piece, ask[1]), free)


def _straight(s: Scene, gone: set[int], who: tuple[Piece, str], free: Floats) -> Way:
    names, state = who
    return Way(
        names=names,
        state=state,
        among=_among(s, gone, names),
        moves=(Move(along=point(free[0]), far=math.inf),),
        free=tuple(point(f) for f in free),
        goes=math.inf,
    )


def _out(w: _Work, way: Way) -> None:
    """Note that pieces came out."""
    w.ways.append(way)
    w.gone |= {w.s.all.index[n] for n in way.names}
    w.left = [p for p in w.left if not {*p} <= {*way.names}]


def _among(s: Scene, gone: set[int], names: Sequence[str]) -> tuple[str, ...]:
    return tuple(t.name for k, t in enumerate(s.all.all) if k not in gone and t.name not in names)


def _crowd(w: _Work, asked: Sequence[Asked]) -> bool:
    """A piece with the loose ones that are in its way."""
    look(w.s, asked, w.seen)
    ordered = [a for p in sorted(w.left, key=len, reverse=True) for a in asked if a[0] == p]
    found = together(w.s, ordered, w.seen, frozenset(w.gone), w.left)
    if found is None:
        return False
    pieces, state, way = found
    names = _bars_first(w.s, tuple(n for p in pieces for n in p))
    _out(w, _straight(w.s, w.gone, (names, state), way[None]))
    return True


def _bars_first(s: Scene, names: Piece) -> Piece:
    kinds = ("bar", "plate", "hardware")
    return tuple(sorted(names, key=lambda n: (kinds.index(s.all.named(n).kind), n)))


# ---- what takes a search ------------------------------------------------------------------------


def _searched(w: _Work, moves: int) -> bool:
    """The easiest piece that comes out along any way, or by two moves."""
    for piece in easiest(w.left):
        known = w.failed.get((piece, moves))
        gone = {w.s.all.all[k].name for k in w.gone}
        if _bolted(w, piece) or (known is not None and not known & gone):
            continue
        way = _try(w.s, piece, gone, moves)
        if way.comes_out:
            _out(w, way)
            return True
        w.failed[piece, moves] = {*way.met}
    return False


def _bolted(w: _Work, piece: Piece) -> bool:
    """Whether a loose part still goes through a piece: it can but slide along that."""
    if is_bolt(piece):
        return False
    loose = {n for p in w.left for n in p if p != piece}
    return any({a, b} & {*piece} and {a, b} & loose for a, b in w.s.all.meant)


def _try(s: Scene, names: Piece, gone: set[str], moves: int, *, tell: bool = False) -> Way:
    """One piece out of what is still there: closed, then with its leaf open.

    With `tell`, everything in its way is named where it does not come.
    """
    found = []
    for state in states(s.all, names):
        mine, rest, skip = parted(s, names, gone, state)
        tries = first_tries(s.all, names)
        found.append((state, way_out(mine, rest, tries=tries, skip=skip, moves=moves)))
        if found[-1][1].moves:
            break
    state, out = found[-1] if found[-1][1].moves else found[0]
    by: tuple[int, ...] = ()
    if tell and not out.moves:
        mine, rest, skip = parted(s, names, gone)
        by = blockers(mine, rest, out.best, skip)
    return Way(
        names=names,
        state=state,
        among=_among(s, {s.all.index[n] for n in gone}, names),
        moves=out.moves,
        free=tuple(point(f) for f in out.free),
        blocked_by=tuple(s.all.all[k].name for k in by),
        met=tuple(sorted({s.all.all[k].name for _, o in found for k in o.by})),
        goes=out.goes,
    )


def _trapped(s: Scene, piece: Piece, gone: set[str], away: set[str]) -> Way:
    """What is known of a piece that does not come out, and whether that is proven.

    Args:
        s: the scene.
        piece: what does not come out.
        gone: parts that are out.
        away: those, and all that can be taken away besides.
    """
    if away > gone and (waits := _waits(s, piece, gone, away)):
        return waits
    way = _try(s, piece, gone, 1, tell=True)
    if way.comes_out:
        return way
    bought = all(s.all.named(n).kind == "hardware" for n in piece)
    held = caged(s, piece, away) if bought else None
    turned = held is not None and away > gone and _try(s, piece, away, 2).comes_out
    return replace(way, held=None if turned else held)


def _waits(s: Scene, piece: Piece, gone: set[str], away: set[str]) -> Way | None:
    """A piece that would come out if all else that is loose were away; None where it would not."""
    out, all_ = ({s.all.index[n] for n in names} for names in (gone, away))
    (met,) = met_by(s, [piece], [first_tries(s.all, piece)], CLOSED)
    free = [m for m in met if m <= all_]
    if not free and not _try(s, piece, away, 1).comes_out:
        return None
    by = sorted(min(free or met, key=len) - out)
    names = tuple(s.all.all[k].name for k in by)
    return Way(
        names=piece,
        state=CLOSED,
        among=_among(s, out, piece),
        moves=(),
        blocked_by=names,
        met=names,
        waits=True,
    )


# ---- what came out in company, on the bench -----------------------------------------------------


def _crowd_of(s: Scene, way: Way) -> list[Piece]:
    """The pieces that came out together, the largest last."""
    return easiest([p for p in s.pieces if {*p} <= {*way.names}])


def _on_the_bench(s: Scene, crowd: Sequence[Piece], seen: Seen) -> list[Way]:
    """How pieces that came out together come off one another, down to the largest."""
    *pieces, last = crowd
    gone, found = {*range(len(s.all.all))} - {s.all.index[n] for p in crowd for n in p}, list[Way]()
    away = {t.name for t in s.all.all if t.name not in last}
    for piece in pieces:
        asked = [seen[piece, CLOSED, lot] for lot in (0, 1)]
        free = np.vstack([ways[[m <= gone for m in met]] for ways, met in asked])
        names = {s.all.all[k].name for k in gone}
        found.append(
            _straight(s, gone, (piece, CLOSED), free)
            if len(free)
            else _trapped(s, piece, names, away - {*piece})
        )
        gone |= {s.all.index[n] for n in piece}
    return found
