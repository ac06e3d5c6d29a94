"""What stands fast, and which bars hang together with it?"""

from __future__ import annotations

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.path import point_at
from barwright.job.errors import BadInput, Fault
from barwright.job.schema import Job
from barwright.strength.meetings import Hanging, Weld
from barwright.strength.mesh import Station, end_station
from barwright.tubes.bars import Bars, BuiltBar

PRACTICE = "common practice, no source"


def held_stations(
    job: Job, bars: Bars, met: tuple[Weld, ...], hung: tuple[Hanging, ...]
) -> tuple[tuple[Station, ...], tuple[Finding, ...]]:
    """Where the frame is held: the marks the job names, or the joints of its lowest tubes.

    Returns:
        The stations, and a finding where they were taken for granted.

    Raises:
        BadInput: a mark in [strength] held is no end of a bar.
    """
    if job.strength.held:
        return _named(bars, job.strength.held), ()
    moving = {h.hinge[0][0] for h in hung}
    places = [s for w in met for s in (w.end, w.to)]
    places += [end_station(b, finish=f) for b in bars.bars for f in (False, True)]
    rows = []
    asked = {p: k for k, p in enumerate(dict.fromkeys(p for p in places if p[0] not in moving))}
    for name in dict.fromkeys(name for name, _ in asked):
        bar, own = bars.named(name), [s for s in asked if s[0] == name]
        high = point_at(bar.centreline, np.array([along for _, along in own]))[:, 2]
        rows += [(z, bar.radius, s) for z, s in zip(high.tolist(), own, strict=True)]
    rows.sort(key=lambda row: asked[row[2]])
    low = min((z for z, _, _ in rows), default=0.0)
    found = tuple(s for z, r, s in rows if z - low <= 2.0 * r)
    return found, (_taken(found, low),) if found else ()


def _named(bars: Bars, wanted: tuple[str, ...]) -> tuple[Station, ...]:
    at: dict[str, Station] = {}
    for bar in bars.bars:
        at.setdefault(bar.start.mark, end_station(bar, finish=False))
        at.setdefault(bar.finish.mark, end_station(bar, finish=True))
    lost = [m for m in wanted if m not in at]
    if lost:
        raise BadInput(*(_no_end(m, tuple(at)) for m in lost))
    return tuple(at[m] for m in wanted)


def _no_end(mark: str, known: tuple[str, ...]) -> Fault:
    return Fault(
        file="job.toml",
        entry="strength.held",
        read=mark,
        expected="marks that bars end on",
        do=f"choose among {', '.join(sorted(known))}",
    )


def _taken(held: tuple[Station, ...], low: float) -> Finding:
    names = ", ".join(dict.fromkeys(name for name, _ in held))
    return Finding(
        code="strength.held",
        level=Level.LOOK,
        subject="strength",
        says=f"The frame is taken to stand fast on its lowest tubes ({names}, {low:.0f} mm up): "
        "nothing in the job says how it is held.",
        source=PRACTICE,
        remedy="Name the marks it is mounted at: held = [...] in [strength].",
    )


def hanging_together(
    bars: Bars, met: tuple[Weld, ...], hung: tuple[Hanging, ...], held: tuple[Station, ...]
) -> tuple[tuple[BuiltBar, ...], tuple[Finding, ...]]:
    """The bars that hang together with what is held, and a finding for each that does not.

    A leaf without a latch swings freely, so it carries nothing and is left out.
    """
    links: dict[str, set[str]] = {b.name: set() for b in bars.bars}
    for w in met:
        _link(links, w.end[0], w.to[0])
    free = {h.leaf: h.hinge[0][0] for h in hung if h.latch is None}
    for h in hung:
        if h.latch is not None:
            _link(links, h.hinge[0][0], h.hinge[1][0])
    reached = _spread({name for name, _ in held}, links)
    found = tuple(b for b in bars.bars if b.name in reached)
    lost = [b.name for b in bars.bars if b.name not in reached]
    said = [_swings(leaf) for leaf, bar in free.items() if bar in lost]
    swinging = _spread(set(free.values()), links)
    said += [_left_out(name) for name in lost if name not in swinging]
    return found, tuple(said)


FAR = 150.0
"""A hinge or latch that spans more than this is stiffer in the frame than plates are [mm]."""


def far_findings(hung: tuple[Hanging, ...]) -> tuple[Finding, ...]:
    """A finding for each hinge or latch that spans a wide gap."""
    return tuple(
        Finding(
            code="strength.span",
            level=Level.LOOK,
            subject=f"leaf.{h.leaf}",
            says=f"The {what} spans {gap:.0f} mm to {at[0]} and counts as stiff; plates that long "
            "are not.",
            measured=gap,
            allowed=FAR,
            unit="mm",
            source=PRACTICE,
            remedy=f"Bring {at[0]} nearer, or say which bar it is on.",
        )
        for h in hung
        for what, at, gap in (
            ("hinge", h.hinge[1], h.gaps[0]),
            ("latch", (h.latch or h.hinge)[1], h.gaps[1]),
        )
        if gap > FAR
    )


def _link(links: dict[str, set[str]], a: str, b: str) -> None:
    links[a].add(b)
    links[b].add(a)


def _spread(start: set[str], links: dict[str, set[str]]) -> set[str]:
    reached, edge = set(start), set(start)
    while edge:
        edge = {n for name in edge for n in links.get(name, ())} - reached
        reached |= edge
    return reached


def _swings(leaf: str) -> Finding:
    return Finding(
        code="strength.no-latch",
        level=Level.LOOK,
        subject=f"leaf.{leaf}",
        says="The leaf has no latch: it swings freely, carries nothing, and is left out.",
        remedy=f"Add [leaf.{leaf}.latch].",
    )


def _left_out(name: str) -> Finding:
    return Finding(
        code="strength.loose",
        level=Level.LOOK,
        subject=f"bar.{name}",
        says="The bar is joined to nothing that is held, so it is left out of the frame.",
        remedy="Let one of its ends meet another tube, or name its end in held of [strength].",
    )
