"""What ties marks to placed ones: for several marks, and several hypotheses, at once.

A `Plan` says which readings tie one mark, once it is known which others are placed; `ties_of`
fills in where those are. Marks tied by fewer readings than others are padded with ties of no
weight.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey import equations
from barwright.survey.equations import Form
from barwright.survey.links import Link, strength
from barwright.survey.place import Others, Ties

GAUGE_SD = 0.01
"""How firmly a mark is put at zero where nothing says otherwise [mm]."""

_Plane = tuple[tuple[int, ...], tuple[float, ...], int, float, float]
_Other = tuple[Form, tuple[int, ...], int, float, float]


@dataclass(frozen=True, kw_only=True, eq=False)
class Plan:
    """What ties one mark to placed ones, wherever those are.

    Attributes:
        mark: which.
        spheres: other mark, radius and sd.
        planes: square to an axis: other marks, factors on their coordinates, axis, what the
            mark's coordinate is beyond them, and its sd.
        straights: rank, other marks and sd of lines (rank 1) and flats (rank 2).
        others: form, marks, the mark's own slot, what the form should come to, and its sd.
    """

    mark: int
    spheres: Sequence[tuple[int, float, float]]
    planes: Sequence[_Plane]
    straights: Sequence[tuple[int, tuple[int, ...], float]]
    others: Sequence[_Other]

    @property
    def flat_count(self) -> int:
        """How many planes there are, those of lines and flats with them."""
        return len(self.planes) + sum(3 - rank for rank, _, _ in self.straights)

    @property
    def count(self) -> int:
        """How many equations there are."""
        return len(self.spheres) + self.flat_count + len(self.others)

    @property
    def kind(self) -> tuple[bool, bool]:
        """Whether spheres and planes leave a line or a point, and whether there are spheres."""
        return self.flat_count + max(len(self.spheres) - 1, 0) >= 2, bool(self.spheres)


def plan_of(
    mark: int, links: Iterable[Link], placed: Sequence[bool], gauge: Iterable[int] = ()
) -> Plan:
    """What ties a mark to the placed ones.

    Args:
        mark: which.
        links: the ties that hold in this frame and name the mark.
        placed: which marks are placed.
        gauge: axes along which the mark is put at zero by convention.
    """
    spheres, planes, straights, others = [], [], [], list[_Other]()
    for link in links:
        if not strength(link, mark, placed):
            continue
        if link.rank:
            rest = tuple(m for m in link.marks if m != mark and placed[m])
            straights.append((link.rank, rest, link.sd))
        elif link.form is equations.distance:
            one, other = link.marks
            spheres.append((other if one == mark else one, max(link.value, 0.0), link.sd))
        elif link.form is None:
            planes.append(_plane_of(link, mark))
        else:
            slot = link.marks.index(mark)
            others.append((link.form, link.marks, slot, link.value, link.sd))
    planes += [((), (), axis, 0.0, GAUGE_SD) for axis in gauge]
    return Plan(mark=mark, spheres=spheres, planes=planes, straights=straights, others=others)


def _plane_of(link: Link, mark: int) -> _Plane:
    w = dict(zip(link.marks, link.weight, strict=True))
    own = w.pop(mark)
    factors = tuple(-v / own for v in w.values())
    return tuple(w), factors, link.axis, link.value / own, link.sd / abs(own)


def ties_of(plans: Sequence[Plan], which: NDArray[np.intp], x: Floats) -> Ties:
    """The ties of one mark in each of B hypotheses.

    Args:
        plans: what ties the marks.
        which: (B,) the plan of each hypothesis.
        x: (B, n, 3) where the marks are in each.
    """
    centres, radii, sphere_weight = _spheres(plans, which, x)
    own, straight = _planes(plans, which, x), _straights(plans, which, x)
    normals, levels, weights = (np.concatenate(p, axis=1) for p in zip(own, straight, strict=True))
    return Ties(
        centres=centres,
        radii=radii,
        sphere_weight=sphere_weight,
        normals=normals,
        levels=levels,
        plane_weight=weights,
        others=_others(plans, which, x),
    )


def _spheres(
    plans: Sequence[Plan], which: NDArray[np.intp], x: Floats
) -> tuple[Floats, Floats, Floats]:
    most = max(len(p.spheres) for p in plans)
    pad = ((0, 0.0, np.inf),)
    rows = [(*p.spheres, *pad * (most - len(p.spheres))) for p in plans]
    told = np.array(rows, dtype=float).reshape(len(plans), most, 3)[which]
    at = x[np.arange(len(x))[:, None], told[..., 0].astype(np.intp)]
    return at, told[..., 1], 1.0 / told[..., 2]


def _planes(
    plans: Sequence[Plan], which: NDArray[np.intp], x: Floats
) -> tuple[Floats, Floats, Floats]:
    most = max(len(p.planes) for p in plans)
    told = np.zeros((len(plans), most, 7))
    for p, plan in enumerate(plans):
        for k, (marks, factors, along, value, sd) in enumerate(plan.planes):
            told[p, k, : len(marks)], told[p, k, 2 : 2 + len(marks)] = marks, factors
            told[p, k, 4:] = along, value, 1.0 / sd
    told = told[which]
    axis = told[..., 4].astype(np.intp)
    beyond = x[np.arange(len(x))[:, None, None], told[..., :2].astype(np.intp), axis[..., None]]
    levels = told[..., 5] + np.sum(told[..., 2:4] * beyond, axis=2)
    weights = told[..., 6]
    return np.eye(3)[axis] * (weights > 0.0)[..., None], levels, weights


def _straights(
    plans: Sequence[Plan], which: NDArray[np.intp], x: Floats
) -> tuple[Floats, Floats, Floats]:
    """The planes lines and flats stand for, from the marks on them that are placed."""
    most = max(p.flat_count - len(p.planes) for p in plans)
    normals, levels = np.zeros((len(x), most, 3)), np.zeros((len(x), most))
    weights = np.zeros((len(x), most))
    for (rank, _), same in _alike(plans).items():
        of_plan, rest, column, sd = (np.array(told) for told in zip(*same, strict=True))
        of, row = np.nonzero(which[:, None] == of_plan)
        points = x[of[:, None], rest[row]]
        middle = points.mean(axis=1)
        across = np.linalg.svd(points - middle[:, None])[2][:, rank:]
        at = of[:, None], column[row][:, None] + np.arange(3 - rank)
        normals[at], weights[at] = across, 1.0 / sd[row][:, None]
        levels[at] = np.einsum("bpd,bd->bp", across, middle)
    return normals, levels, weights


_Straight = tuple[int, tuple[int, ...], int, float]


def _alike(plans: Sequence[Plan]) -> dict[tuple[int, int], list[_Straight]]:
    """Lines and flats by rank and how many marks are placed: plan, those marks, column, sd."""
    found: dict[tuple[int, int], list[_Straight]] = {}
    for p, plan in enumerate(plans):
        column = 0
        for rank, rest, sd in plan.straights:
            found.setdefault((rank, len(rest)), []).append((p, rest, column, sd))
            column += 3 - rank
    return found


def _others(plans: Sequence[Plan], which: NDArray[np.intp], x: Floats) -> tuple[Others, ...]:
    """The other ties, those of one form together."""
    by_form: dict[Form, list[tuple[int, int, _Other]]] = {}
    for p, plan in enumerate(plans):
        seen: Counter[Form] = Counter()
        for other in plan.others:
            by_form.setdefault(other[0], []).append((p, seen[other[0]], other))
            seen[other[0]] += 1
    found = []
    for form, rows in by_form.items():
        plan_of_row = np.array([p for p, _, _ in rows])
        of, row = np.nonzero(which[:, None] == plan_of_row)
        told = [(col, *rest) for _, col, (_, _, *rest) in rows]
        number, slot, value, sd = np.array(told, dtype=float)[row].T
        marks = np.array([other[1] for _, _, other in rows], dtype=np.intp)[row]
        found.append(
            Others(
                form=form,
                points=x[of[:, None], marks],
                of=of,
                column=number.astype(np.intp),
                slot=slot.astype(np.intp),
                value=value,
                weight=1.0 / sd,
            )
        )
    return tuple(found)
