"""Which readings tie which marks, seen from one mark at a time while the survey grows.

A frame may be *anchored* along some axes only: where one mark has a height but no station,
growth takes heights at their word and lets the whole slide along x until it is aligned. A
reading whose row would need an axis that is not anchored is left out until then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.survey import equations
from barwright.survey.equations import Form, Network, Rows
from barwright.survey.place import Ties

ALL_AXES = frozenset({0, 1, 2})


@dataclass(frozen=True, kw_only=True, eq=False)
class Link:
    """One row, or one line or flat, as a tie between marks.

    Attributes:
        marks: the marks in it.
        form: None for linear rows and for line and flat.
        axis, weight: of a linear row.
        rank: 1 for line, 2 for flat, 0 otherwise.
        needs: the axes that have to be anchored, or None where the orientation has to be known.
    """

    marks: tuple[int, ...]
    value: float
    sd: float
    form: Form | None = None
    axis: int = -1
    weight: tuple[float, ...] = ()
    rank: int = 0
    needs: frozenset[int] | None = frozenset()

    def holds(self, anchored: frozenset[int]) -> bool:
        """Whether the row means anything in a frame anchored along these axes."""
        if self.needs is not None:
            return self.needs <= anchored
        return len(anchored) >= 2 or self.axis in anchored


def _needs(rows: Rows) -> list[frozenset[int] | None]:
    """What each row needs, in order."""
    count = len(rows.value)
    if rows.form is equations.incline:
        return [None] * count
    if rows.form is not None or rows.weight is None or rows.axis is None:
        return [frozenset()] * count
    relative = np.abs(rows.weight.sum(axis=1)) < 1e-9
    between = None if rows.weight.shape[1] == 2 else frozenset[int]()
    own = [frozenset({axis}) for axis in rows.axis.tolist()]
    return [between if r else mine for r, mine in zip(relative.tolist(), own, strict=True)]


def _of_rows(rows: Rows) -> list[Link]:
    count = len(rows.value)
    linear = rows.weight is not None and rows.axis is not None
    axes = [2] * count if rows.axis is None else rows.axis.tolist()
    weights = rows.weight.tolist() if linear and rows.weight is not None else [()] * count
    columns = zip(
        rows.marks.tolist(),
        rows.value.tolist(),
        rows.sd.tolist(),
        axes,
        weights,
        _needs(rows),
        strict=True,
    )
    return [
        Link(
            marks=tuple(marks),
            value=value,
            sd=sd,
            form=rows.form,
            axis=axis,
            weight=tuple(weight),
            needs=needs,
        )
        for marks, value, sd, axis, weight, needs in columns
    ]


def links_of(network: Network) -> tuple[Link, ...]:
    """Every row of the network as a tie."""
    found = [link for rows in network.rows for link in _of_rows(rows)]
    found += [
        Link(marks=tuple(int(m) for m in s.marks), value=0.0, sd=s.sd, rank=s.rank)
        for s in network.straights
    ]
    return tuple(found)


def strength(link: Link, mark: int, placed: Sequence[bool]) -> int:
    """How many equations a tie gives a mark, now that some others are placed."""
    others = sum(placed[m] for m in link.marks if m != mark)
    if link.rank == 1:
        return 2 if others >= 2 else 0
    if link.rank == 2:
        return 1 if others >= 3 else 0
    return 1 if others == len(link.marks) - 1 else 0


def _plane_of_straight(link: Link, others: Sequence[int], x: Floats) -> tuple[Floats, Floats]:
    """Normals (B, 1 or 2, 3) and levels of the planes a straightedge or a board stands for."""
    points = x[:, others]
    middle = points.mean(axis=1)
    across = np.linalg.svd(points - middle[:, None])[2][:, link.rank :]
    return across, np.einsum("bpd,bd->bp", across, middle)


def ties_of(mark: int, links: Sequence[Link], x: Floats, placed: Sequence[bool]) -> Ties:
    """What ties a mark to the placed ones.

    Args:
        mark: which.
        links: the ties that hold in this frame and name the mark.
        x: (B, n, 3) where the marks are in each of B hypotheses.
        placed: which marks are placed.
    """
    hypotheses = len(x)
    centres, radii, sphere_sd = [], [], []
    normals, levels, plane_sd = [], [], []
    others = []
    for link in links:
        if not strength(link, mark, placed):
            continue
        rest = [m for m in link.marks if m != mark and placed[m]]
        if link.rank:
            n, level = _plane_of_straight(link, rest, x)
            normals += list(np.moveaxis(n, 1, 0))
            levels += list(level.T)
            plane_sd += [link.sd] * n.shape[1]
        elif link.form is equations.distance:
            centres.append(x[:, rest[0]])
            radii.append(max(link.value, 0.0))
            sphere_sd.append(link.sd)
        elif link.form is None:
            w = dict(zip(link.marks, link.weight, strict=True))
            known = sum((w[m] * x[:, m, link.axis] for m in rest), np.zeros(hypotheses))
            normals.append(np.broadcast_to(np.eye(3)[link.axis], (hypotheses, 3)))
            levels.append((link.value - known) / w[mark])
            plane_sd.append(link.sd / abs(w[mark]))
        else:
            slot = link.marks.index(mark)
            others.append((link.form, x[:, link.marks], slot, link.value, link.sd))
    none = np.zeros((hypotheses, 0, 3))
    return Ties(
        centres=np.stack(centres, axis=1) if centres else none,
        radii=np.array(radii),
        sphere_sd=np.array(sphere_sd),
        normals=np.stack(normals, axis=1) if normals else none,
        levels=np.stack(levels, axis=1) if levels else none[..., 0],
        plane_sd=np.array(plane_sd),
        others=tuple(others),
    )
