"""What the build-up stage finds, in words and numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from barwright.buildup.bearings import toward
from barwright.buildup.results import Buildup, Clash, Freed, Freedom, Pull, Reach, Trim, Way
from barwright.buildup.tools import SWING
from barwright.findings import Finding, Level

PRACTICE = "common practice, no source"
HAND_FIT = 2.5
"""An edge that overlaps what it is welded to by this much [mm] is filed to fit; more is not."""
FILED = 1.0
"""And this much of a corner that only stands in another part's way [mm]."""
LATCH = 1.0
"""How far welding may draw a latch before it has to be looked at [mm]."""


def findings(known: Buildup) -> Buildup:
    """The same with what was found about it in words."""
    told = (
        *_clashes(known),
        *_ways(known),
        *_tools(known),
        *_fixtures(known),
        *_welds(known),
        *(f for p in known.pulls for f in _pull(p)),
    )
    return replace(known, findings=told)


def _clashes(known: Buildup) -> Iterator[Finding]:
    yield from (_clash(c) for c in known.clashes)
    if not known.clashes:
        yield Finding(
            code="buildup.clash",
            level=Level.GOOD,
            subject="job",
            says=f"{known.compared} pairs of parts were compared, closed and open: none is in "
            "another's place.",
            source="plane geometry, convex pieces, exact to 0.3 mm at rounds",
        )


def _clash(c: Clash) -> Finding:
    when = "" if c.state == "closed" else f" with {c.state} open"
    fit = c.depth <= (HAND_FIT if c.welded else FILED) and c.state == "closed"
    of, into = (f"is to be welded to {c.second} but ", "it") if c.welded else ("", c.second)
    return Finding(
        code="buildup.clash",
        level=Level.LOOK if fit else Level.MUST,
        subject=c.first,
        says=f"{c.first} {of}reaches {c.depth:.1f} mm into {into}{when} "
        f"({c.volume:.0f} mm³ in common at {_at(c.where)} mm).",
        measured=c.depth,
        allowed=HAND_FIT if c.welded else FILED,
        unit="mm",
        source=f"plane geometry; filed to fit up to that: {PRACTICE}",
        remedy=_trimmed(c.trim) or f"Shift {c.first} by {c.depth:.1f} mm toward {toward(c.way)}.",
    )


def _trimmed(trim: Trim | None) -> str:
    if trim is None:
        return ""
    tried = "tried, it then clears" if trim.clears else "it does not clear by that alone"
    return (
        f"Take {trim.area:.0f} mm² off {trim.part}, {trim.deep:.1f} mm deep "
        f"(outline of {len(trim.outline)} corners; {tried})."
    )


def _at(p: tuple[float, float, float]) -> str:
    return "(" + ", ".join(f"{x:.0f}" for x in p) + ")"


def _ways(known: Buildup) -> Iterator[Finding]:
    helped = {f.names: f for f in known.freed}
    caught = [w for w in known.ways if not w.comes_out]
    first = [w for w in caught if not w.waits] or caught[:1]
    rest = tuple(w for w in caught if w not in first)
    for k, w in enumerate(first):
        yield _caught(w, helped.get(w.names), () if k else rest)
    out = [w for w in known.ways if w.comes_out and w.among]
    if out and not caught:
        pieces = "; then ".join(" with ".join(_brief(w)) for w in out)
        yield Finding(
            code="buildup.service",
            level=Level.GOOD,
            subject="job",
            says=f"Everything that is bolted comes out of the finished weldment: {pieces}.",
            measured=float(len(out)),
            source="exact sweeps of convex pieces",
        )


def _brief(way: Way) -> tuple[str, ...]:
    return way.names if len(way.names) < 4 else (way.names[0], f"{len(way.names) - 1} more")


def _caught(way: Way, help_: Freed | None, rest: tuple[Way, ...]) -> Finding:
    """A part that does not come out.

    A bought or turned part wears and has to come out one day: that it is held is a fault once it
    is proven. A leaf may be hung for good on purpose, and a way not found is not a way proven
    closed: those are for a person to look at.
    """
    proven = way.held is not None
    return Finding(
        code="buildup.trapped",
        level=Level.MUST if proven else Level.LOOK,
        subject=way.names[0],
        says=f"{_held(way) if proven else _not_found(way)} {_met(way)}{_waiting(rest)}",
        measured=way.held if proven else way.goes,
        unit="mm",
        source="exact sweeps of convex pieces; "
        + ("every shift followed, proven; turns tried, not proven" if proven else SEARCHED),
        remedy=_trimmed(help_.trim) if help_ else _unbuilt(way),
    )


SEARCHED = "straight ways, two moves in turn, and turns up to 90° where it stands were tried"


def _held(way: Way) -> str:
    return (
        f"{way.names[0]} does not come out of the finished weldment: with all else that is loose "
        f"away, no shifts, however many, take it farther than {way.held:.0f} mm, and no turn up "
        "to 90° where it stands lets it out."
    )


def _not_found(way: Way) -> str:
    names = " with ".join(_brief(way))
    return f"No way was found to take {names} out of the finished weldment; none is proven closed."


def _waiting(rest: tuple[Way, ...]) -> str:
    """What stays in only because something else does."""
    names = ", ".join(w.names[0] for w in rest)
    return f" Until it is out, {names} cannot come out either." if rest else ""


def _met(way: Way) -> str:
    if not way.blocked_by:
        return f"The best straight way ends after {way.goes:.0f} mm."
    first, *more = way.blocked_by
    beyond = f"; beyond it stand {', '.join(more[:3])}" if more else ""
    return f"The best straight way ends after {way.goes:.0f} mm at {first}{beyond}."


def _unbuilt(way: Way) -> str:
    first = way.blocked_by[0] if way.blocked_by else "what blocks it"
    return f"Make {first} bolt on, or put {way.names[0]} in for good before it is welded."


def _tools(known: Buildup) -> Iterator[Finding]:
    hard = [r for r in known.reach if not r.socket and r.spanner < SWING]
    yield from (_tool(r) for r in hard)
    if known.reach and not hard:
        yield Finding(
            code="buildup.tool",
            level=Level.GOOD,
            subject="job",
            says=f"A socket or an open spanner gets at all {len(known.reach)} ends of the bolts.",
            source="tool sizes from memory (ISO 272, 2725, 3318)",
        )


def _tool(r: Reach) -> Finding:
    turn = r.spanner * 57.29577951308232
    return Finding(
        code="buildup.tool",
        level=Level.LOOK,
        subject=r.bolt,
        says=f"No tool gets at the {r.end} end: no room for a socket, and a spanner swings "
        f"{turn:.0f}°; in the way: {', '.join(r.blocked_by[:3])}.",
        measured=turn,
        allowed=SWING * 57.29577951308232,
        unit="deg",
        source="tool sizes from memory (ISO 272, 2725, 3318)",
        remedy="Weld that nut or head to its plate, or put the bolt in from the other side.",
    )


def _fixtures(known: Buildup) -> Iterator[Finding]:
    loose = [f for f in known.freedom if f.left]
    if known.freedom:
        yield Finding(
            code="buildup.fixture",
            level=Level.LOOK if any(f.left > 2 for f in loose) else Level.GOOD,
            subject="job",
            says=f"{len(known.freedom) - len(loose)} of {len(known.freedom)} plates are placed by "
            f"what they bear on, bolts and slots alone{_open(loose)}.",
            measured=float(len(loose)),
            source="first-order contact analysis",
            remedy="; ".join(f"{f.name}: {f.fix}" for f in loose[:4]),
        )


def _open(loose: list[Freedom]) -> str:
    some = ", ".join(f"{f.name} ({f.left})" for f in loose[:6])
    return f"; with degrees of freedom left: {some}" if loose else ""


def _welds(known: Buildup) -> Iterator[Finding]:
    tried = [s for s in known.seams if s.tried]
    hidden = [s for s in tried if s.reached < 1.0]
    worst = min(tried, key=lambda s: s.reached, default=None)
    if worst is not None and hidden:
        yield Finding(
            code="buildup.weld-access",
            level=Level.LOOK if worst.reached < 0.6 else Level.GOOD,
            subject=worst.parts[0],
            says=f"With everything in place a torch misses part of {len(hidden)} of "
            f"{len(tried)} seams round coped ends; least within reach is {worst.parts[0]} to "
            f"{worst.parts[1]}, {worst.reached:.0%}. Seams between plates are not tried.",
            measured=100.0 * worst.reached,
            allowed=60.0,
            unit="%",
            source=PRACTICE,
            remedy=f"Weld {worst.parts[0]} before these go in: {', '.join(worst.before[:3])}."
            if worst.reached < 0.6
            else "",
        )


def _pull(p: Pull) -> Iterator[Finding]:
    worst = max(abs(p.gap), abs(p.closer), abs(p.aside))
    yield Finding(
        code="buildup.shrink",
        level=Level.GOOD if max(worst, p.one_sided) <= LATCH else Level.LOOK,
        subject=f"leaf.{p.leaf}",
        says=f"Welding draws the latch about {p.gap:+.2f} mm along the way the leaf closes, "
        f"{p.aside:+.2f} mm along the hinge, and {p.closer:.2f} mm nearer to the hinge; welded "
        f"out on one side first it leans {p.one_sided:.2f} mm.",
        measured=max(worst, p.one_sided),
        allowed=LATCH,
        unit="mm",
        source="Spraragen and Ettinger 1950, from memory; unrestrained, so an upper estimate",
        remedy="Weld in the order given, half a seam at a time on opposite sides, and leave the "
        "striker's bolt loose in its slot till all is cold.",
    )
