"""The build, step by step: what goes in, from where, what is proven, in what order to weld."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from barwright.buildup.located import contacts, freedom
from barwright.buildup.placing import Placing
from barwright.buildup.results import Freedom, Pull, Seam, Step, Way
from barwright.buildup.things import Things
from barwright.buildup.touching import Contacts
from barwright.geometry.vectors import Point, point, unit
from barwright.tubes.bars import BuiltBar

AT_ONCE = 6
"""Bars that go up in one step."""
FEW = 12
"""Seams named in one weld step."""
PRACTICE = "(common practice, no source)"


def steps(
    all_: Things,
    placed: Sequence[Sequence[Placing]],
    ways: Sequence[Way],
    seams: Sequence[Seam],
    pulls: Sequence[Pull],
) -> tuple[Step, ...]:
    """The whole build in order."""
    there = [t.name for t in all_.all if isinstance(t.made, BuiltBar) and t.made.stands]
    standing = [*there, *(p.name for ready in placed for p in ready)]
    return (
        *_bars(placed),
        *_leaves(all_),
        *_fittings(all_, standing, ways),
        *_prove(all_),
        *_hidden(seams),
        *_weld(seams, pulls),
        *_after(ways),
    )


def _bars(placed: Sequence[Sequence[Placing]]) -> Iterator[Step]:
    for ready in placed:
        for i in range(0, len(ready), AT_ONCE):
            some = ready[i : i + AT_ONCE]
            caught = tuple(p for p in some if p.comes is None)
            yield Step(
                title="Put up " + ", ".join(p.name for p in some),
                says=(
                    *(_comes(p) for p in some),
                    f"Two light tacks an end, opposite one another {PRACTICE}.",
                ),
                adds=tuple(p.name for p in some),
                together=bool(caught),
                explode=tuple((p.name, p.comes) for p in some if p.comes is not None),
                hold="Measure the marks again; go on only when they agree with the survey.",
                checks=("marks measured", "copes sit without light", "tacks only, no seam welded"),
                state="tack",
            )


def _comes(p: Placing) -> str:
    if p.comes is None:
        names = ", ".join(p.blocked_by)
        return f"{p.name}: no straight way in past {names}; put it in before {names} is tacked."
    return f"{p.name}: bring it in from {_toward(p.comes)}."


def _toward(way: Point) -> str:
    """A direction in shop words."""
    words = (("the front", "the rear"), ("the left", "the right"), ("above", "below"))
    n = np.array(way)
    k = int(np.abs(n).argmax())
    first = words[k][0 if n[k] > 0.0 else 1]
    rest = [
        words[j][0 if n[j] > 0.0 else 1]
        for j in np.argsort(-np.abs(n))
        if j != k and abs(n[j]) > math.sin(math.radians(25.0))
    ]
    return " and ".join([first, *rest])


def _leaves(all_: Things) -> Iterator[Step]:
    for m in all_.motions:
        yield Step(
            title=f"Hold {', '.join(m.bars)} in place, closed",
            says=("Clamp it on its marks where it will close; nothing is welded to it yet.",),
            adds=m.bars,
            explode=tuple((b, _outward(m.through)) for b in m.bars),
            hold="Hinge and latch end are on their marks.",
            checks=("hinge end on its mark", "latch end on its mark"),
            state="loose",
        )


def _outward(at: Point) -> Point:
    return (0.0, 1.0 if at[1] >= 0.0 else -1.0, 0.0)


def _fittings(all_: Things, standing: Sequence[str], ways: Sequence[Way]) -> Iterator[Step]:
    """Fitting by fitting: bolts and bushings line the plates up, so they go in together."""
    there = [*standing, *(b for m in all_.motions for b in m.bars)]
    out = {n: w.free[0] for w in ways if w.free for n in w.names}
    touch = contacts(all_)
    for name, group in _by_fitting(all_).items():
        order = _in_order(all_, group, there)
        left = list(_freedoms(all_, order, there, touch))
        there += order
        turns = any(all_.named(n).kind == "hardware" for n in order)
        yield Step(
            title=f"Fit {name}",
            says=(
                *(_held(f) for f in left),
                f"Tack, take the pin out and in again by hand {PRACTICE}."
                if turns
                else f"Tack, and hold it against its marks again {PRACTICE}.",
            ),
            adds=tuple(order),
            together=turns,
            explode=tuple((n, out.get(n) or _off(all_, n, group)) for n in order),
            hold="Pin and bolts go in and out by hand." if turns else "It sits as it is drawn.",
            checks=_fitted(order, turns=turns),
            state="tack",
            freedom=tuple(left),
        )


def _fitted(order: Sequence[str], *, turns: bool) -> tuple[str, ...]:
    """What is to be ticked off once a fitting is tacked."""
    seated = ("tabs seated in their slots",) if len(order) > 1 else ()
    return (*seated, *(("bolts turn by hand",) if turns else ()), "two tacks a plate")


def _by_fitting(all_: Things) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for t in all_.all:
        if t.kind != "bar":
            stem = t.name.rpartition(".")[0] or t.name
            found.setdefault(stem + ("-twin" if t.twin_of else ""), []).append(t.name)
    return found


def _in_order(all_: Things, group: Sequence[str], there: Sequence[str]) -> list[str]:
    """Each next the one welded or bolted to most of what is there."""
    left, order, here = list(group), list[str](), set(there)
    tied: dict[str, list[str]] = {n: [] for n in group}
    for pair in all_.welded | all_.meant:
        for one, other in (pair, pair[::-1]):
            if one in tied:
                tied[one].append(other)
    while left:

        def ties(n: str) -> tuple[int, bool]:
            return sum(other in here for other in tied[n]), all_.named(n).kind == "plate"

        best = max(left, key=ties)
        order.append(best)
        left.remove(best)
        here.add(best)
    return order


def _freedoms(
    all_: Things, order: Sequence[str], there: Sequence[str], touch: Contacts
) -> Iterator[Freedom]:
    """Of plates, with the group's own hardware counted as in: it lines them up."""
    bolts = [n for n in order if all_.named(n).kind == "hardware"]
    before = [*there, *bolts]
    for name in order:
        if all_.named(name).kind == "plate":
            yield freedom(all_, name, before, touch)
        before.append(name)


def _held(f: Freedom) -> str:
    if f.left == 0:
        return f"{f.name} is held by {', '.join(f.by)}."
    return f"{f.name}: {f.left} left open ({'; '.join(f.ways)}): {f.fix}."


def _off(all_: Things, name: str, group: Sequence[str]) -> Point:
    """Away from the middle of its fitting."""
    total, count = all_.middles
    rows, at = [all_.index[n] for n in group], all_.index[name]
    off = total[at] / count[at] - total[rows].sum(axis=0) / count[rows].sum()
    return point(unit(off)) if float(np.linalg.norm(off)) > 1.0 else (0.0, 0.0, 1.0)


def _prove(all_: Things) -> Iterator[Step]:
    for m in all_.motions:
        yield Step(
            title=f"Swing {m.leaf} and prove the latch",
            says=(
                f"Open it to {abs(math.degrees(m.opens)):.0f}° and shut it ten times by hand.",
                "The latch takes the striker without lifting or prying, and lets it go.",
                f"Only tacks hold it so far: put right now what binds {PRACTICE}.",
            ),
            hold="No final weld anywhere on hinge or latch until this is signed.",
            checks=("opens fully", "touches nothing", "latches ten times of ten", "gap as drawn"),
            state="prove",
        )


def _hidden(seams: Sequence[Seam]) -> Iterator[Step]:
    """Seams that a torch does not get all round once everything is in."""
    hard = [s for s in seams if s.reached < 0.6]
    if hard:
        yield Step(
            title="Weld first what is hard to reach later",
            says=tuple(
                f"{s.parts[0]} to {s.parts[1]}: {s.reached:.0%} within reach; "
                f"in the way: {', '.join(s.before[:3])}."
                for s in hard[:FEW]
            ),
            hold="Look inside these joints before they are closed in.",
            checks=("hidden seams welded and looked at",),
            state="weld",
            seams=tuple(s.parts for s in hard),
        )


def _weld(seams: Sequence[Seam], pulls: Sequence[Pull]) -> Iterator[Step]:
    """The rest, in the balanced order, some at a time, the latch tried in between."""
    rest = [s for s in seams if s.reached >= 0.6]
    for i in range(0, len(rest), FEW):
        some = rest[i : i + FEW]
        yield Step(
            title=f"Weld out, {i + 1} to {i + len(some)} of {len(rest)}",
            says=(
                "In this order, half of each seam, then the other half after all have cooled.",
                *(f"{s.parts[0]} to {s.parts[1]}" for s in some),
            ),
            hold="Cool to hand warm, swing the leaf, try the latch." if pulls else "Cool.",
            checks=("cooled by itself", "latch tried", "gap measured and written down"),
            state="weld",
            seams=tuple(s.parts for s in some),
        )


def _after(ways: Sequence[Way]) -> Iterator[Step]:
    """Take apart what comes apart, and put it together for good."""
    out = [w for w in ways if w.comes_out and w.among]
    if out:
        yield Step(
            title="Take it apart once, and put it together for good",
            says=tuple(f"{', '.join(w.names)}: out toward {_last(w)}." for w in out),
            explode=tuple((n, w.moves[-1].along) for w in out for n in w.names),
            hold="Have it inspected: rule book, scrutineer and licensed engineer decide.",
            checks=("every bolt out and in by hand", "greased, torqued, marked", "inspected"),
            state="prove",
        )


def _last(way: Way) -> str:
    opened = "" if way.state == "closed" else f" with {way.state} open"
    return _toward(way.moves[-1].along) + opened


__all__ = ["steps"]
