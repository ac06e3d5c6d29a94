"""How much of each tube's strength does a load use? Yield at every member end, and columns."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.strength.columns import ec3_push
from barwright.strength.members import axes_of, end_axes
from barwright.strength.model import Model
from barwright.strength.plastic import Capacity


@dataclass(frozen=True, kw_only=True, eq=False)
class Limits:
    """What every member of a model can stand, shape (m,) each.

    Attributes:
        area, elastic, plastic, polar: A [mm²], S, Z, and J/r [mm³].
        fy: shape (m, 2), yield strength [N/mm²] at its two ends, lowered beside welds if asked.
        to_ends: shape (m, 2, 3, 3), from chord to the tube's own run.
    """

    area: Floats
    elastic: Floats
    plastic: Floats
    polar: Floats
    fy: Floats
    to_ends: Floats


def limits_of(model: Model, *, lowered: bool) -> Limits:
    """The limits of a model's members; lowered beside welds where the steel loses by it."""
    at = model.mesh.bar_of
    fy = np.array([m.fy for m in model.steels])[at]
    share = np.array([m.welded for m in model.steels])[at] if lowered else np.ones(len(at))
    _, length = axes_of(model.frame)
    return Limits(
        area=np.array([s.area for s in model.sections])[at],
        elastic=np.array([s.elastic for s in model.sections])[at],
        plastic=np.array([s.plastic for s in model.sections])[at],
        polar=np.array([2.0 * s.elastic for s in model.sections])[at],
        fy=fy[:, None] * np.where(model.welded, share[:, None], 1.0),
        to_ends=end_axes(model.frame, length),
    )


def capacity_of(limits: Limits) -> Capacity:
    """Full plastic values; the weaker end's strength stands for the whole member.

    Twist: (pi/2) Z fy / sqrt 3, by von Mises.
    """
    fy = limits.fy.min(axis=1)
    return Capacity(
        pull=limits.area * fy,
        bend=limits.plastic * fy,
        twist=0.5 * np.pi * limits.plastic * fy / np.sqrt(3.0),
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class EndForces:
    """Forces at the members' ends along the tubes' own run, shape (k, m, 2) each.

    Attributes:
        pull: axial force [N], pull positive.
        shear: across the tube [N].
        bend, twist: moments [N mm].
    """

    pull: Floats
    shear: Floats
    bend: Floats
    twist: Floats


def end_forces(forces: Floats, limits: Limits) -> EndForces:
    """End forces (k, m, 12) as a tube feels them."""
    f = np.einsum("meij,kmebj->kmebi", limits.to_ends, forces.reshape(*forces.shape[:2], 2, 2, 3))
    sign = np.array([-1.0, 1.0])
    return EndForces(
        pull=sign * f[..., 0, 0],
        shear=np.hypot(f[..., 0, 1], f[..., 0, 2]),
        bend=np.hypot(f[..., 1, 1], f[..., 1, 2]),
        twist=np.abs(f[..., 1, 0]),
    )


def yield_use(at: EndForces, limits: Limits) -> Floats:
    """Share of first yield at every member end (k, m, 2).

    Elastic stress, von Mises: sqrt((N/A + M/S)² + 3 (T r/J)²) / fy; shear across left out, which
    stands where bending does not.
    """
    area, elastic, polar = (x[:, None] for x in (limits.area, limits.elastic, limits.polar))
    normal = np.abs(at.pull) / area + at.bend / elastic
    return np.asarray(np.sqrt(normal**2 + 3.0 * (at.twist / polar) ** 2) / limits.fy)


@dataclass(frozen=True, kw_only=True, eq=False)
class Column:
    """A length of bar between two joints, as a column.

    Attributes:
        bar: its name.
        start, finish: where along the bar [mm].
        members: which members it is made of.
        length: between its ends in a straight line [mm].
        resistance: Nb,Rd [N], cold-formed (curve c), ends free to turn.
        bend: plastic moment [N mm].
    """

    bar: str
    start: float
    finish: float
    members: tuple[int, ...]
    length: float
    resistance: float
    bend: float


def columns_of(model: Model, limits: Limits) -> tuple[Column, ...]:
    """Every length of bar between two joints."""
    first_of = np.searchsorted(model.mesh.bar_of, np.arange(len(model.mesh.bars)))
    found = []
    for i, bar in enumerate(model.mesh.bars):
        row, steel, section = model.mesh.stations[i], model.steels[i], model.sections[i]
        stops = [k for k, (along, _) in enumerate(row) if along in model.mesh.joints[i]]
        for a, b in pairwise(stops):
            members = tuple(range(first_of[i] + a, first_of[i] + b))
            gap = model.mesh.nodes[row[a][1]] - model.mesh.nodes[row[b][1]]
            span = max(float(np.linalg.norm(gap)), 1e-6)
            fy = float(limits.fy[list(members)].min())
            push = ec3_push(
                area=section.area, inertia=section.inertia, length=span, fy=fy, E=steel.E
            )
            found.append(
                Column(
                    bar=bar.name,
                    start=row[a][0],
                    finish=row[b][0],
                    members=members,
                    length=span,
                    resistance=push,
                    bend=section.plastic * fy,
                )
            )
    return tuple(found)


def column_use(at: EndForces, columns: tuple[Column, ...]) -> Floats:
    """Share of each column's strength used (k, c): N/Nb + M/Mpl, push only; 0 where it is pulled.

    The linear sum of EN 1993-1-1 6.2.1(7) with Nb from 6.3.1: on the safe side.
    """
    out = np.zeros((at.pull.shape[0], len(columns)))
    for c, col in enumerate(columns):
        members = list(col.members)
        push = np.maximum(-at.pull[:, members].min(axis=(1, 2)), 0.0)
        bend = at.bend[:, members].max(axis=(1, 2))
        out[:, c] = np.where(push > 0.0, push / col.resistance + bend / col.bend, 0.0)
    return out
