"""Where a hinge's box comes to sit: its saddles find their place on the tube, the axis with them.

A fitter does not hold the axis at a point in the air. He lays the box on its tube, where the
saddles touch best, and lets the leaf's far end point at its mark; so a mark of the axis that is
a little off puts the leaf aside instead of opening the saddles. Found by least squares over the
cheeks' edges, for two moves square to the axis: out along the leaf, and the way it opens. The
axis' own direction is kept as the job has it: leaned to fit a saddle it would lift the latch.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from barwright.fits.gaps import Doubt, GapOf, Model
from barwright.fits.gaps_rows import Row, assembled, joined
from barwright.geometry.vectors import Floats

HABIT = 0.1
"""What leaving the axis' mark by a millimetre counts, as gap all round [mm]."""
BY_HAND = frozenset({"placing", "tack"})
"""Errors of setting the box, made after its saddles have found their place."""
SEAT = "where the axis comes to sit"
"""The name of rows that bound nothing: how far the axis is off its mark, each way."""


def seated(rows: list[Row]) -> list[Row]:
    """The rows with what seating mends taken out, and two more that say where the axis sits.

    Args:
        rows: those of the cheeks' edges have `seats`; `slide` and `aside` are how each opens
            with the two moves.
    """
    own = [row for row in rows if row.seats]
    if not own:
        return rows
    moves = np.array([[row.slide, row.aside] for row in own])
    still = HABIT**2 * len(own) * np.eye(2)
    mend = np.linalg.solve(moves.T @ moves + still, moves.T)
    sits = [_sits(way, word, weights, own) for way, word, weights in _ways(mend)]
    return [*(_moved(row, sits) for row in rows), *sits]


def _ways(mend: Floats) -> Iterable[tuple[tuple[float, float], str, Floats]]:
    return zip(((1.0, 0.0), (0.0, 1.0)), ("outward", "opening"), mend, strict=True)


def _sits(way: tuple[float, float], word: str, weights: Floats, own: list[Row]) -> Row:
    """How far the axis is moved one way to seat the box: minus the weighted sum of the rows."""
    on_marks: dict[int, Floats] = {}
    on_doubts: dict[Doubt, float] = {}
    for weight, row in zip(weights, own, strict=True):
        _add(on_marks, row.on_marks, -float(weight))
        held = {d: v for d, v in row.on_doubts.items() if d.kind not in BY_HAND}
        _add(on_doubts, held, -float(weight))
    gap = GapOf(
        name=f"{SEAT}, {word}",
        subject=own[0].gap.subject,
        low=-np.inf,
        high=np.inf,
        source="",
    )
    return Row(
        gap=gap,
        nominal=0.0,
        low=gap.low,
        high=gap.high,
        slide=way[0],
        aside=way[1],
        on_marks=on_marks,
        on_doubts=on_doubts,
    )


def _moved(row: Row, sits: list[Row]) -> Row:
    """A row once the axis sits where the box does."""
    on_marks, on_doubts = dict(row.on_marks), dict(row.on_doubts)
    for by, sit in zip((row.slide, row.aside), sits, strict=True):
        if by != 0.0:
            _add(on_marks, sit.on_marks, by)
            _add(on_doubts, sit.on_doubts, by)
    return replace(row, on_marks=on_marks, on_doubts=on_doubts)


def _add(into: dict, more: Mapping, times: float) -> None:  # type: ignore[type-arg]
    """Add a multiple of one linear form to another."""
    for key, value in more.items():
        into[key] = into.get(key, 0.0) + times * value


def with_swing(model: Model, row: Row | None) -> Model:
    """A leaf with the row of its swing, which goes with where the axis sits.

    Args:
        model: the leaf, with the rows of its seat if it has them.
        row: its narrowest place; None for none.

    Returns:
        The leaf without the rows of its seat, which bound nothing.
    """
    sits = [k for k, gap in enumerate(model.gaps) if gap.name.startswith(SEAT)]
    if row is None:
        return _without(model, sits)
    whole = joined(model, assembled(model.name, "", [row]))
    for k, by in zip(sits, (row.slide, row.aside), strict=False):
        at = int(np.flatnonzero(whole.gap_of == k)[0])
        for values in (whole.nominal, whole.on_marks, whole.on_doubts):
            values[-1] += by * values[at]
    return _without(whole, sits)


def _without(model: Model, gaps: list[int]) -> Model:
    kept = ~np.isin(model.gap_of, gaps)
    left = [k for k in range(len(model.gaps)) if k not in gaps]
    return replace(
        model,
        gaps=tuple(model.gaps[k] for k in left),
        gap_of=np.searchsorted(left, model.gap_of[kept]),
        nominal=model.nominal[kept],
        low=model.low[kept],
        high=model.high[kept],
        slide=model.slide[kept],
        on_marks=model.on_marks[kept],
        on_doubts=model.on_doubts[kept],
    )
