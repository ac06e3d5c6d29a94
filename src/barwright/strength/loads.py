"""What pushes on the frame? Load cases from the job's [load] tables and from published rules."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.path import length, point_at
from barwright.geometry.vectors import Floats, Point, point, unit
from barwright.job.errors import BadInput, Fault
from barwright.job.load_cases import LoadTable
from barwright.job.quantities import DIRECTIONS
from barwright.job.schema import Job
from barwright.strength.mesh import Station, end_station
from barwright.strength.rules import RULES, USUAL, G, Rule
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar

OWN = "set by the job itself"


@dataclass(frozen=True, kw_only=True)
class Case:
    """One load case.

    Attributes:
        name: "side-push", or "side: r11-latch".
        subject: for findings: "load.side-push" or "leaf.side".
        says: where it pushes and how hard, in words.
        at: where it acts.
        force: with its direction [N], the job's safety factor not yet on.
        along: bars it acts on along their whole length, evenly; empty for a push at one place.
        source: the rule behind it.
        must: whether not standing it is a `must` finding.
        leaf: the leaf it is about; "" for none.
        where: hinge or latch when it acts right there, else "".
    """

    name: str
    subject: str
    says: str
    at: Station
    force: Point
    source: str
    must: bool
    along: tuple[str, ...] = ()
    leaf: str = ""
    where: str = ""


def cases(job: Job, bars: Bars, motions: tuple[Motion, ...]) -> tuple[Case, ...]:
    """Every case: the job's own, and published yardsticks on its vehicle doors (twins are alike).

    Raises:
        BadInput: a [load] table names no bar, mark or rule that exists, or no force; all at once.
    """
    faults: list[Fault] = []
    own = [_own(bars, name, table, faults) for name, table in job.load.items()]
    if faults:
        raise BadInput(*faults)
    named = {b.name for b in bars.bars if b.centreline.pieces}
    usual = [
        _usual(m, bars, rule)
        for m in motions
        if m.leaf in job.strength.doors and m.bars and named.issuperset(m.bars)
        for rule in job.strength.rules or USUAL
    ]
    return (*(c for c in own if c is not None), *usual)


def _own(bars: Bars, name: str, table: LoadTable, faults: list[Fault]) -> Case | None:
    """One [load] table as a case; faults are gathered."""
    rule = RULES.get(table.rule or "")
    before = len(faults)
    if table.rule is not None and (rule is None or not rule.force):
        known = ", ".join(n for n, r in RULES.items() if r.force)
        faults.append(_fault(name, "rule", table.rule, f"one of {known}"))
    if (table.force is None) == (table.rule is None):
        faults.append(_fault(name, "force", "", "either a force or a rule, not both and not none"))
    at = _place(bars, name, table, faults)
    if len(faults) > before or at is None:
        return None
    force = table.force if rule is None else rule.force
    way = _way(table.push, bars.named(at[0]), at[1])
    return Case(
        name=name,
        subject=f"load.{name}",
        says=f"{(force or 0.0) / 1000.0:.2f} kN on {at[0]} {at[1]:.0f} mm along",
        at=at,
        force=point((force or 0.0) * way),
        source=OWN if rule is None else rule.source,
        must=table.must,
    )


def _place(bars: Bars, name: str, table: LoadTable, faults: list[Fault]) -> Station | None:
    """Where a [load] table pushes; None, and a fault, where it cannot be told."""
    named = [b for b in bars.bars if b.centreline.pieces]
    if table.at is not None:
        for bar in named:
            for finish, end in ((False, bar.start), (True, bar.finish)):
                if end.mark == table.at and table.on in {None, bar.name}:
                    return end_station(bar, finish=finish)
        faults.append(_fault(name, "at", table.at, "a mark that a bar ends on"))
        return None
    for bar in named:
        if bar.name == table.on:
            return (bar.name, table.where * length(bar.centreline))
    known = ", ".join(b.name for b in named)
    faults.append(_fault(name, "on", table.on or "", f"a bar of the job: {known}"))
    return None


def _way(push: str | Point, bar: BuiltBar, along: float) -> Floats:
    """The direction of a push, a unit vector; in is toward the centre plane, out away from it."""
    if push in {"in", "out"}:
        side = 1.0 if point_at(bar.centreline, along)[1] >= 0.0 else -1.0
        return np.array([0.0, side if push == "out" else -side, 0.0])
    if isinstance(push, str):
        return np.array(DIRECTIONS[push])
    return unit(push)


def _fault(name: str, field: str, read: str, expected: str) -> Fault:
    return Fault(
        file="job.toml",
        entry=f"load.{name}.{field}",
        read=read,
        expected=expected,
        do=f"correct {field} in [load.{name}]",
    )


def _usual(motion: Motion, bars: Bars, name: str) -> Case:
    """A published rule's push on one leaf."""
    rule = RULES[name]
    own = [bars.named(b) for b in motion.bars]
    at = _spot(rule, motion, own)
    bar = bars.named(at[0])
    way = np.array([-1.0, 0.0, 0.0]) if rule.way == "back" else _way(rule.way, bar, at[1])
    weight = sum(b.mass for b in own) * G
    force = rule.force or rule.times * weight
    spread = rule.times > 0.0
    return Case(
        name=f"{motion.leaf}: {name}",
        subject=f"leaf.{motion.leaf}",
        says=f"{force / 1000.0:.2f} kN {_WAYS[rule.way]} "
        + (f"spread over {', '.join(motion.bars)}" if spread else f"at the {rule.where}"),
        at=at,
        force=point(force * way),
        along=motion.bars if spread else (),
        source=rule.source,
        must=False,
        leaf=motion.leaf,
        where="" if rule.where == "middle" else rule.where,
    )


_WAYS = {"in": "inward", "out": "outward", "back": "backward"}


def _spot(rule: Rule, motion: Motion, own: list[BuiltBar]) -> Station:
    """Middle of the leaf's longest bar, or its end nearest to or farthest from the axis."""
    if rule.where == "middle":
        bar = max(own, key=lambda b: length(b.centreline))
        return (bar.name, 0.5 * length(bar.centreline))
    through, along = np.array(motion.through), np.array(motion.along)
    ends = [(b, f, e.origin) for b in own for f, e in ((False, b.start), (True, b.finish))]

    def arm(row: tuple[BuiltBar, bool, Point]) -> float:
        return float(np.linalg.norm(np.cross(np.array(row[2]) - through, along)))

    pick = (min if rule.where == "hinge" else max)(ends, key=arm)
    return end_station(pick[0], finish=pick[1])
