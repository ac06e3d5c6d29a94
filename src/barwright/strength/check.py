"""Does the frame stand every case, by how much, and what governs?"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.vectors import Floats, point
from barwright.job.schema import Job
from barwright.strength.frame import Answer, Loads
from barwright.strength.joints_use import Bolted, HasParts, bolt_use, bolts_of, force_at, weld_use
from barwright.strength.loads import Case
from barwright.strength.members_use import (
    Column,
    EndForces,
    Limits,
    capacity_of,
    column_use,
    columns_of,
    end_forces,
    limits_of,
    yield_use,
)
from barwright.strength.model import Model
from barwright.strength.plastic import Flows, Pushover, pushover
from barwright.strength.results import Held, Use
from barwright.strength.second_order import critical_factor, second_order, stands
from barwright.strength.solve import Ready, ready, solve
from barwright.strength.tube_limit import gauge

PLENTY = 1.5
"""Where the elastic answer alone shows this much, the collapse load is not searched for."""
ENOUGH = 2.5
"""The collapse is followed no farther than this load factor."""


FAR = 10.0
"""The whole frame's buckling is not searched for where it comes later than this: from there on
EN 1993-1-1 5.2.1(3) lets a frame's bowing be neglected (from memory)."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Scene:
    """All that one check of a model needs."""

    model: Model
    loads: Loads
    ready: Ready
    limits: Limits
    columns: tuple[Column, ...]
    first: Answer
    second: Answer
    stable: tuple[bool, ...]
    at: EndForces
    bolts: dict[str, tuple[Bolted, ...]]
    bead: float | None


def check(
    job: Job, model: Model, cases: tuple[Case, ...], parts: HasParts
) -> tuple[tuple[Held, ...], Answer]:
    """Every case on a model, and the second-order answer.

    Args:
        job: [strength] says the safety factor, bolts and welds.
        model: the frame, with a node wherever a case acts.
        cases: the cases; those on bars that are not in the model must be left out.
        parts: hardware, for the bolts.

    Raises:
        Loose: the frame can move without resistance.
    """
    factored = tuple(_factored(c, job.strength.safety) for c in cases)
    loads = loads_of(model, factored)
    limits = limits_of(model, lowered=job.strength.welded)
    at = ready(model.frame, loads)
    first = solve(model.frame, loads, at)
    found = second_order(model.frame, loads, at=at)
    second = _either(found.answer, first, found.stable)
    scene = _Scene(
        model=model,
        loads=loads,
        ready=at,
        limits=limits,
        columns=columns_of(model, limits),
        first=first,
        second=second,
        stable=found.stable,
        at=end_forces(second.forces, limits),
        bolts={h.leaf: bolts_of(parts, h.sizes, job.strength.bolt_grade) for h in model.hangings},
        bead=job.strength.bead,
    )
    return _held(scene, factored), found.answer


def _factored(case: Case, safety: float) -> Case:
    if safety <= 1.0:
        return case
    says = f"{case.says}, times {safety:g} for safety"
    return replace(case, says=says, force=point(safety * np.array(case.force)))


def loads_of(model: Model, cases: tuple[Case, ...]) -> Loads:
    """The cases as loads on the model's nodes.

    Spread ones go by the bars' length, half of each member's share to each of its ends.
    """
    nodal = np.zeros((len(cases), len(model.frame.nodes), 6))
    for k, case in enumerate(cases):
        if not case.along:
            nodal[k, model.mesh.node(case.at), :3] += case.force
            continue
        names = [b.name for b in model.mesh.bars]
        on = np.isin(model.mesh.bar_of, [names.index(n) for n in case.along])
        ends = model.mesh.ends[on]
        run = np.linalg.norm(model.frame.nodes[ends[:, 1]] - model.frame.nodes[ends[:, 0]], axis=1)
        share = 0.5 * run / run.sum()
        for side in (0, 1):
            np.add.at(nodal[k, :, :3], ends[:, side], share[:, None] * np.array(case.force))
    return Loads(nodal=nodal)


def _either(second: Answer, first: Answer, stable: tuple[bool, ...]) -> Answer:
    """The second-order answer, first-order where there is none, so that uses stay numbers."""
    pick = np.array(stable)[:, None, None]
    return Answer(
        moves=np.where(pick, second.moves, first.moves),
        forces=np.where(pick, second.forces, first.forces),
        reactions=np.where(pick, second.reactions, first.reactions),
    )


def _held(s: _Scene, cases: tuple[Case, ...]) -> tuple[Held, ...]:
    yields = yield_use(s.at, s.limits)
    columns = column_use(s.at, s.columns)
    welds = weld_use(s.model, s.at, s.bead)
    bounds = _elastic_bounds(s)
    flows = Flows(s.ready, capacity_of(s.limits)) if bounds.min() < PLENTY else None
    out = []
    for k, case in enumerate(cases):
        push = _pushed(s, k, flows) if bounds[k] < PLENTY else None
        hinge = _joint_forces(s, s.model.hinge_nodes, k)
        latch = _joint_forces(s, s.model.latch_nodes, k)
        out.append(
            Held(
                case=case,
                yields=_worst_end(s.model, yields[k]),
                column=_worst_column(s.columns, columns[k]),
                weld=_worst_end(s.model, welds[k]),
                bolt=_worst_bolt(s.bolts, hinge, latch),
                buckling=np.inf,
                collapse=_collapse(push, bounds[k]),
                pushover=push,
                shift=_largest_shift(s.model, s.second.moves[k]),
                stable=s.stable[k],
                hinge=max(hinge.values(), default=0.0),
                latch=max(latch.values(), default=0.0),
            )
        )
    return _with_buckling(s, out)


def _pushed(s: _Scene, case: int, flows: Flows | None) -> Pushover:
    """How the frame folds up under a case."""
    cap = capacity_of(s.limits)
    return pushover(s.model.frame, s.loads, cap, case=case, enough=ENOUGH, flows=flows)


def _with_buckling(s: _Scene, held: list[Held]) -> tuple[Held, ...]:
    """The cases with when the frame buckles.

    One factoring first: if the frame stands the most push that any case puts in each member,
    each case grown well past what else it stands, then none buckles before that. Where it does
    not, each case is asked by itself, and its own buckling load searched for.
    """
    grown = np.array([max(FAR, 1.1 * h.factor) if h.stable else FAR for h in held])
    pulls = grown[:, None] * (0.5 * (s.first.forces[..., 6] - s.first.forces[..., 0]))
    every = stands(s.ready, pulls.min(axis=0))
    out = []
    for k, h in enumerate(held):
        beyond = every or stands(s.ready, pulls[k])
        at = grown[k] if beyond else critical_factor(s.model.frame, s.loads, k, s.ready)
        out.append(replace(h, buckling=float(at), buckling_beyond=beyond))
    return tuple(out)


def _collapse(push: Pushover | None, bound: float) -> float:
    return bound if push is None else max(push.collapse, bound)


def _elastic_bounds(s: _Scene) -> Floats:
    """A load factor each case is sure to carry: the elastic forces scaled to full yield.

    They are in equilibrium and nowhere beyond yield, so by the static theorem of plasticity the
    collapse load is no less.
    """
    at, cap = end_forces(s.first.forces, s.limits), capacity_of(s.limits)
    worst = gauge(
        at.pull / cap.pull[:, None], at.bend / cap.bend[:, None], at.twist / cap.twist[:, None]
    ).max(axis=(1, 2))
    return np.asarray(1.0 / np.maximum(worst, 1e-12))


def _joint_forces(s: _Scene, at: dict[str, tuple[int, ...]], k: int) -> dict[str, float]:
    """What each leaf's hinge or latch carries [N]; a push right at it goes into it too."""
    return {leaf: float(np.linalg.norm(force_at(s.second, n, k))) for leaf, n in at.items()}


def _worst_end(model: Model, use: Floats) -> Use:
    member, end = np.unravel_index(int(use.argmax()), use.shape)
    bar = int(model.mesh.bar_of[member])
    node = int(model.mesh.ends[member, end])
    along = next(a for a, n in model.mesh.stations[bar] if n == node)
    return Use(share=float(use.max()), where=model.mesh.bars[bar].name, along=along)


def _worst_column(columns: tuple[Column, ...], use: Floats) -> Use:
    k = int(use.argmax())
    return Use(share=float(use[k]), where=columns[k].bar, along=columns[k].start)


def _worst_bolt(
    bolts: dict[str, tuple[Bolted, ...]], hinge: dict[str, float], latch: dict[str, float]
) -> Use | None:
    rows = []
    for leaf, made in bolts.items():
        for b in made:
            force = (hinge if b.what == "hinge" else latch).get(leaf, 0.0)
            rows.append(Use(share=bolt_use(b, force).worst, where=f"the {b.what} bolt of {leaf}"))
            if b.cheek:
                rows.append(Use(share=0.5 * force / b.cheek, where=f"the hinge cheeks of {leaf}"))
    return max(rows, key=lambda u: u.share) if rows else None


def _largest_shift(model: Model, moves: Floats) -> Use:
    size = np.linalg.norm(moves[: len(model.mesh.nodes), :3], axis=1)
    node = int(size.argmax())
    for bar, row in zip(model.mesh.bars, model.mesh.stations, strict=True):
        for along, n in row:
            if n == node:
                return Use(share=float(size[node]), where=bar.name, along=along)
    return Use(share=float(size[node]), where="", along=0.0)


__all__ = ["check", "loads_of"]
