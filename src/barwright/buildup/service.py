"""What comes out of the finished weldment: bolts, spacers, and each leaf as it is welded.

Loose pieces are taken out one after another. Each is tried straight first, with everything else
in place; then by two moves; then with its leaf standing open. What is still in when nothing more
comes out is trapped.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from barwright.buildup.clash import TOUCH, placed
from barwright.buildup.differences import depths, entries, near_pairs
from barwright.buildup.hulls import Hulls, joined
from barwright.buildup.results import Move, Way
from barwright.buildup.things import Things, fine, groups
from barwright.buildup.ways import SLACK, Out, blockers, both, way_out
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.pose import UNMOVED, Pose
from barwright.geometry.vectors import Floats, point

Piece: TypeAlias = tuple[str, ...]
"""The parts that are one piece, by name."""
Attempt: TypeAlias = "Callable[[Scene, Piece, set[str], list[Piece]], Way]"
"""A way to try to take a piece out, of those left, with some already gone."""

CLOSE = 150.0
"""Parts with anything this near to a loose piece [mm] are taken as they truly are."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """All parts as hulls, ready to be taken apart.

    Attributes:
        all: the parts.
        hulls: of all, those near loose pieces as they truly are; `owner` counts `all.all`.
        pieces: the loose pieces, by their parts' names.
        overlaps: rows of hulls that are meant to be in one another and are, shape (k,) each.
    """

    all: Things
    hulls: Hulls
    pieces: tuple[Piece, ...]
    overlaps: tuple[Ints, Ints]


def scene(all_: Things) -> Scene:
    """The finished weldment with its loose pieces."""
    whole = groups(all_, [t.name for t in all_.all])
    pieces = tuple(g for g in whole if _loose(all_, g))
    hulls = _hulls(all_, {n for g in pieces for n in g})
    return Scene(all=all_, hulls=hulls, pieces=pieces, overlaps=_overlaps(all_, hulls))


def _loose(all_: Things, names: Sequence[str]) -> bool:
    """Hardware by itself, or what swings: all else is the weldment."""
    return all(all_.named(n).rides or all_.named(n).kind == "hardware" for n in names)


def _hulls(all_: Things, loose: Iterable[str]) -> Hulls:
    """Everything as hulls: as it truly is near hardware, bars elsewhere as their bodies."""
    own = all_.hulls
    at = [i for i, t in enumerate(all_.all) if t.name in loose and t.kind == "hardware"]
    here = own.take(np.isin(own.owner, at))
    i, j = near_pairs(own, here, CLOSE) if len(here) else (np.zeros(0, dtype=np.intp),) * 2
    near = {int(k) for k in own.owner[i] if all_.all[k].kind != "bar"} | set(at)
    del j
    true = [replace_owner(fine([all_.all[k]]), k) for k in sorted(near)]
    return joined(own.take(~np.isin(own.owner, sorted(near))), *true)


def replace_owner(hulls: Hulls, owner: int) -> Hulls:
    """The same hulls, all of one owner."""
    return replace(hulls, owner=np.full(len(hulls), owner, dtype=np.intp))


def take_apart(s: Scene) -> tuple[Way, ...]:
    """How every loose piece comes out, in the order they do; the trapped ones last."""
    left, ways = list(s.pieces), list[Way]()
    for attempt in (_first, _in_company, _alone, _with_two_moves):
        left, more = _rounds(s, left, {n for w in ways for n in w.names}, attempt)
        ways += more
        if more and attempt is not _first:
            left, more = _rounds(s, left, {n for w in ways for n in w.names}, _first)
            ways += more
    out = {n for w in ways for n in w.names}
    caught = [_try(s, piece, out, 1, tell=True) for piece in left]
    return (*ways, *(w for way in ways for w in _on_the_bench(s, way)), *caught)


def _rounds(
    s: Scene, left: list[Piece], out: set[str], attempt: Attempt
) -> tuple[list[Piece], list[Way]]:
    """Try piece after piece until none comes; again only where something it met has gone."""
    ways, failed = list[Way](), dict[Piece, set[str]]()
    progress = True
    while progress:
        progress = False
        for piece in _easiest(left):
            gone = out | {n for w in ways for n in w.names}
            if piece not in left or (piece in failed and not failed[piece] & gone):
                continue
            way = attempt(s, piece, gone, left)
            if not way.comes_out:
                failed[piece] = {*way.met}
                continue
            ways.append(way)
            left = [p for p in left if not {*p} <= {*way.names}]
            progress = True
    return left, ways


def _on_the_bench(s: Scene, way: Way) -> tuple[Way, ...]:
    """How pieces that came out together come off one another."""
    pieces = [p for p in s.pieces if {*p} <= {*way.names}]
    if len(pieces) == 1:
        return ()
    gone = {t.name for t in s.all.all} - {*way.names}
    found = []
    for piece in _easiest(pieces)[:-1]:
        way = _first(s, piece, gone, pieces)
        found.append(way if way.comes_out else _try(s, piece, gone, 1, tell=True))
        gone |= {*piece}
    return tuple(found)


def _alone(s: Scene, piece: Piece, gone: set[str], left: list[Piece]) -> Way:
    """Straight, along any direction; but what a bolt goes through was tried along its axis."""
    return _bolted(s, piece, left) or _try(s, piece, gone, 1)


def _first(s: Scene, piece: Piece, gone: set[str], left: list[Piece]) -> Way:
    """Straight, along the directions that are worth most, before anything dearer is tried."""
    del left
    return _try(s, piece, gone, 0)


def _with_two_moves(s: Scene, piece: Piece, gone: set[str], left: list[Piece]) -> Way:
    return _bolted(s, piece, left) or _try(s, piece, gone, 2)


def _bolted(s: Scene, piece: Piece, left: list[Piece]) -> Way | None:
    """No way, where a loose part still goes through the piece: it can but slide along that."""
    loose = {n for p in left for n in p if p != piece}
    held = {n for n in piece if not n.removesuffix("-twin").endswith("bolt")}
    if any({a, b} & held and {a, b} & loose for a, b in s.all.meant):
        return Way(names=piece, state="closed", among=(), moves=(), met=tuple(sorted(loose)))
    return None


def _in_company(s: Scene, piece: Piece, gone: set[str], left: list[Piece]) -> Way:
    """A piece with the loose ones that are in its way: whatever it meets goes along with it."""
    for state, pose in _states(s.all, piece):
        mine, _, _ = parted(s, piece, gone, pose)
        for way in both(first_tries(s.all, piece, mine)):
            names = _gathered(s, piece, (gone, pose), way, left)
            if names:
                return Way(
                    names=_bars_first(s.all, names),
                    state=state,
                    among=_among(s.all, gone, names),
                    moves=(Move(along=point(way), far=math.inf),),
                    free=(point(way),),
                )
    return Way(
        names=piece, state="closed", among=(), moves=(), met=tuple(n for p in left for n in p)
    )


def _gathered(
    s: Scene, piece: Piece, at: tuple[set[str], Pose], way: Floats, left: list[Piece]
) -> Piece:
    """All that goes one way together with a piece; nothing where what stands is in the way."""
    names = piece
    while True:
        mine, rest, skip = parted(s, names, *at)
        hit = entries(mine, rest, way[None], slack=SLACK, skip=skip)
        if hit.by[0] < 0:
            return names
        met = s.all.all[rest.owner[hit.by[0]]].name
        more = next((p for p in left if met in p), ())
        if not more:
            return ()
        names = (*names, *more)


def _bars_first(all_: Things, names: Piece) -> Piece:
    kinds = ("bar", "plate", "hardware")
    return tuple(sorted(names, key=lambda n: (kinds.index(all_.named(n).kind), n)))


def _among(all_: Things, gone: set[str], names: Sequence[str]) -> tuple[str, ...]:
    return tuple(t.name for t in all_.all if t.name not in gone and t.name not in names)


def _states(all_: Things, names: Sequence[str]) -> list[tuple[str, Pose]]:
    """Closed, and with the piece's leaf open."""
    rides = {all_.named(n).rides for n in names} - {""}
    opens = [(m.leaf, m.pose(m.opens)) for m in all_.motions if m.leaf in rides]
    return [("closed", UNMOVED), *opens]


def _easiest(left: Sequence[Piece]) -> list[Piece]:
    """Bolts first, then other hardware, then whole leaves."""

    def rank(names: Piece) -> tuple[int, bool]:
        return len(names), not names[0].removesuffix("-twin").endswith("bolt")

    return sorted(left, key=rank)


def _try(s: Scene, names: Piece, gone: set[str], moves: int, *, tell: bool = False) -> Way:
    """One piece out of what is still there: closed, then with its leaf open.

    With `tell`, everything in its way is named where it does not come.
    """
    found = []
    for state, pose in _states(s.all, names):
        found.append((state, *_one(s, names, gone, pose, moves)))
        if found[-1][1].moves:
            break
    state, out, (mine, rest, skip) = found[-1] if found[-1][1].moves else found[0]
    by = () if out.moves or not tell else blockers(mine, rest, out.best, skip)
    return Way(
        names=names,
        state=state,
        among=_among(s.all, gone, names),
        moves=out.moves,
        free=tuple(point(f) for f in out.free),
        blocked_by=tuple(s.all.all[k].name for k in by),
        met=tuple({s.all.all[k].name for f in found for k in f[1].by}),
        goes=out.goes,
    )


def _one(
    s: Scene, names: Piece, gone: set[str], pose: Pose, moves: int
) -> tuple[Out, tuple[Hulls, Hulls, Bools | None]]:
    mine, rest, skip = parted(s, names, gone, pose)
    tries = first_tries(s.all, names, mine)
    return way_out(mine, rest, tries=tries, skip=skip, moves=moves), (mine, rest, skip)


def parted(
    s: Scene, names: Sequence[str], gone: set[str], pose: Pose = UNMOVED
) -> tuple[Hulls, Hulls, Bools | None]:
    """A piece where it stands, everything else that is still there, and pairs not to count.

    With a pose, the piece stands open, and all else that rides on its leaf with it.
    """
    own = [s.all.index[n] for n in names]
    away = [s.all.index[n] for n in gone]
    mask, rest = np.isin(s.hulls.owner, own), ~np.isin(s.hulls.owner, own + away)
    mine, others = s.hulls.take(mask), s.hulls.take(rest)
    if pose is not UNMOVED:
        leaves = {s.all.named(n).rides for n in names} - {""}
        riding = [k for k, t in enumerate(s.all.all) if t.rides in leaves]
        mine, others = placed(mine, pose), _turned(others, np.isin(others.owner, riding), pose)
    return mine, others, skip_of(s, mask, rest)


def _turned(hulls: Hulls, some: Bools, pose: Pose) -> Hulls:
    """Some of the hulls where a pose puts them, the rest as they are, in the same order."""
    if not some.any():
        return hulls
    both_ = joined(placed(hulls.take(some), pose), hulls.take(~some))
    rows = np.concatenate([np.nonzero(some)[0], np.nonzero(~some)[0]])
    return both_.take(np.argsort(rows))


def first_tries(all_: Things, names: Sequence[str], mine: Hulls) -> Floats:
    """Along a bolt's own axis; for a leaf out of its mouth, its axis, outward; then x, y, z."""
    leaves = [m for m in all_.motions if m.leaf in {all_.named(n).rides for n in names}]
    rows = [np.array(m.along) for m in leaves]
    for m in leaves:
        arm = mine.corners.reshape(-1, 3).mean(axis=0) - m.through
        outward = np.cross(m.along, arm) * np.sign(m.opens)
        rows += [outward / np.linalg.norm(outward), arm / np.linalg.norm(arm)]
    rods = mine.axis[mine.radius > 0.0]
    own = [rods] if len(names) == 1 else []
    return np.vstack([*own, *(r[None] for r in rows), np.eye(3)])


def _overlaps(all_: Things, hulls: Hulls) -> tuple[Ints, Ints]:
    """Rows meant to be in one another that are, as everything stands closed: either way round."""
    rows = {k: np.nonzero(hulls.owner == k)[0] for k in range(len(all_.all))}
    found = [(np.zeros(0, dtype=np.intp),) * 2]
    for one, other in all_.meant:
        p, q = rows[all_.index[one]], rows[all_.index[other]]
        i, j = (x.ravel() for x in np.meshgrid(p, q, indexing="ij"))
        found.append((i, j))
    i, j = (np.concatenate([f[c] for f in found]) for c in (0, 1))
    deep = depths(hulls, hulls, i, j, least=TOUCH).depth > TOUCH
    i, j = i[deep], j[deep]
    return np.concatenate([i, j]), np.concatenate([j, i])


def skip_of(s: Scene, mine: Bools, rest: Bools) -> Bools | None:
    """Pairs of a piece and the rest that do not count, by masks of the scene's hulls."""
    i, j = s.overlaps
    some = mine[i] & rest[j]
    if not some.any():
        return None
    skip = np.zeros((int(mine.sum()), int(rest.sum())), dtype=bool)
    skip[(np.cumsum(mine) - 1)[i[some]], (np.cumsum(rest) - 1)[j[some]]] = True
    return skip
