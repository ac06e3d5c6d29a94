"""Rows put together to a part's model; the model of a part made mirrored for the other side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from barwright.fits.gaps import Doubt, GapOf, Model
from barwright.geometry.vectors import Floats
from barwright.survey.marks import Marks

MIRROR = np.array((1.0, -1.0, 1.0))
TWIN = "-twin"
FAR = 60.0
"""A mark farther than this [mm] from the mirror image of another is not its fellow."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Row:
    """One row of a part.

    Attributes:
        gap: which gap.
        nominal, low, high: as designed, and its limits [mm].
        slide: how it opens with the part's free move.
        on_marks: its slope by a mark's number, (3,) each.
        on_doubts: what one sd of each error of making opens [mm].
        aside: how it opens with the leaf's axis set aside, the way the leaf opens.
        seats: whether it is of a saddle that finds its own place.
    """

    gap: GapOf
    nominal: float
    low: float
    high: float
    slide: float
    on_marks: Mapping[int, Floats]
    on_doubts: Mapping[Doubt, float]
    aside: float = 0.0
    seats: bool = False


def assembled(name: str, bar: str, rows: list[Row], notes: tuple[str, ...] = ()) -> Model:
    """Rows as one model."""
    gaps = tuple(dict.fromkeys(row.gap for row in rows))
    doubts = tuple(dict.fromkeys(d for row in rows for d in row.on_doubts if d.sd > 0.0))
    marks = sorted({m for row in rows for m in row.on_marks})
    on_marks = np.zeros((len(rows), len(marks), 3))
    on_doubts = np.zeros((len(rows), len(doubts)))
    mark_at, doubt_at = ({key: k for k, key in enumerate(keys)} for keys in (marks, doubts))
    for k, row in enumerate(rows):
        for m, slope in row.on_marks.items():
            on_marks[k, mark_at[m]] = slope
        for d, opened in row.on_doubts.items():
            if d.sd > 0.0:
                on_doubts[k, doubt_at[d]] = opened
    return Model(
        name=name,
        bar=bar,
        gaps=gaps,
        gap_of=np.array([gaps.index(row.gap) for row in rows]),
        nominal=np.array([row.nominal for row in rows]),
        low=np.array([row.low for row in rows]),
        high=np.array([row.high for row in rows]),
        slide=np.array([row.slide for row in rows]),
        marks=np.array(marks, dtype=np.intp),
        on_marks=on_marks.reshape(len(rows), -1),
        doubts=doubts,
        on_doubts=on_doubts,
        notes=notes,
    )


def joined(first: Model, second: Model) -> Model:
    """Two models as one part that shares nothing but its name and, by number, its marks."""
    marks = np.union1d(first.marks, second.marks)
    return Model(
        name=first.name,
        bar=first.bar,
        gaps=(*first.gaps, *second.gaps),
        gap_of=np.concatenate([first.gap_of, second.gap_of + len(first.gaps)]),
        nominal=np.concatenate([first.nominal, second.nominal]),
        low=np.concatenate([first.low, second.low]),
        high=np.concatenate([first.high, second.high]),
        slide=np.concatenate([first.slide, second.slide]),
        marks=marks,
        on_marks=np.vstack([_spread(m, marks) for m in (first, second)]),
        doubts=(*first.doubts, *second.doubts),
        on_doubts=_apart(first.on_doubts, second.on_doubts),
        notes=(*first.notes, *second.notes),
    )


def _spread(model: Model, marks: NDArray[np.intp]) -> Floats:
    out = np.zeros((len(model.nominal), len(marks), 3))
    out[:, np.searchsorted(marks, model.marks)] = model.on_marks.reshape(len(out), -1, 3)
    return out.reshape(len(out), -1)


def _apart(first: Floats, second: Floats) -> Floats:
    """Two matrices as blocks on the diagonal."""
    out = np.zeros((len(first) + len(second), first.shape[1] + second.shape[1]))
    out[: len(first), : first.shape[1]] = first
    out[len(first) :, first.shape[1] :] = second
    return out


def mirrored(model: Model, marks: Marks) -> Model:
    """The same part made mirrored, on the other side as that truly is.

    Every mark's place is taken by its fellow, the mark nearest to its mirror image; how far the
    fellow is off that image moves the rows by their slopes, and its own doubt counts. A mark
    without a fellow is taken as mirrored exactly, and a note says so.
    """
    found = [fellow(marks, int(m)) for m in model.marks]
    alone = [marks.names[m] for m, f in zip(model.marks, found, strict=True) if f is None]
    lone = np.array([f is None for f in found])[:, None]
    other = np.array([m if f is None else f for m, f in zip(model.marks, found, strict=True)])
    off = np.where(lone, 0.0, MIRROR * marks.xyz[other] - marks.xyz[model.marks])
    rows = len(model.nominal)
    slopes = model.on_marks.reshape(rows, -1, 3) * np.where(lone, 1.0, MIRROR)
    unique, place = np.unique(other, return_inverse=True)
    summed = np.zeros((rows, len(unique), 3))
    np.add.at(summed.swapaxes(0, 1), place, slopes.swapaxes(0, 1))
    note = f"{', '.join(alone)} not measured on the other side: taken as mirrored exactly"
    return replace(
        model,
        name=model.name + TWIN,
        bar=model.bar and model.bar + TWIN,
        gaps=tuple(_twin_gap(model.name, gap) for gap in model.gaps),
        nominal=model.nominal + model.on_marks @ off.ravel(),
        marks=unique.astype(np.intp),
        on_marks=summed.reshape(rows, -1),
        doubts=tuple(replace(d, what=d.what + TWIN) for d in model.doubts),
        notes=(*model.notes, *([note] if alone else [])),
    )


def fellow(marks: Marks, mark: int) -> int | None:
    """The mark nearest to a mark's mirror image; None where none is near."""
    off = np.linalg.norm(marks.xyz - MIRROR * marks.xyz[mark], axis=1)
    best = int(off.argmin())
    return best if off[best] <= FAR else None


def _twin_gap(name: str, gap: GapOf) -> GapOf:
    """The gap under the twin's name; its other tube is the one on the other side."""
    subject = gap.subject.replace(f".{name}", f".{name}{TWIN}", 1)
    said = f"{gap.name.replace(name, name + TWIN, 1)} (of the other side)"
    return replace(gap, name=said, subject=subject)
