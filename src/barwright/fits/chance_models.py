"""Which parts of a job have to fit, and which of them make the whole.

The whole is every leaf with its twin: what swings and latches. A job without a leaf that has
fittings is judged by its coped bars.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.fits.gaps import Model
from barwright.fits.gaps_bar import bar_model
from barwright.fits.gaps_fittings import fittings
from barwright.fits.gaps_leaf import leaf_model
from barwright.fits.gaps_rows import MIRROR, mirrored
from barwright.fits.gaps_seat import with_swing
from barwright.fits.gaps_swing import Built, swing_row
from barwright.geometry.vectors import Floats
from barwright.swing.motion import Motion, Swing


@dataclass(frozen=True, kw_only=True, eq=False)
class Whole:
    """The parts of a job.

    Attributes:
        counting: those that make the whole.
        others: the rest, each judged by itself.
        about: what the whole is.
        notes: what is left out of it.
    """

    counting: tuple[Model, ...]
    others: tuple[Model, ...]
    about: str
    notes: tuple[str, ...]


def whole_of(built: Built, motions: tuple[Motion, ...], swings: tuple[Swing, ...]) -> Whole:
    """Every part of a job that has gaps to come out right."""
    met = {s.leaf: s for s in swings}
    leaves, notes = list[Model](), list[str]()
    for motion in motions:
        if not motion.twin_of:
            twin = next((m for m in motions if m.twin_of == motion.leaf), None)
            found, said = _leaf(built, motion, twin, met)
            leaves += found
            notes += said
    bars = _bars(built)
    riding = {name for m in motions for name in m.bars}
    if not leaves:
        about = "every coped bar" if bars else ""
        return Whole(counting=bars, others=(), about=about, notes=tuple(notes))
    inside = tuple(b for b in bars if b.name in riding)
    others = tuple(b for b in bars if b.name not in riding)
    names = " and ".join(f"leaf {m.name}" for m in leaves)
    about = f"the whole of {names}" if len(leaves) > 1 else names
    return Whole(counting=(*leaves, *inside), others=others, about=about, notes=tuple(notes))


def _leaf(
    built: Built, motion: Motion, twin: Motion | None, met: dict[str, Swing]
) -> tuple[list[Model], list[str]]:
    """A leaf and its twin, and what could not be told."""
    if any(not _there(built, name) for name in motion.bars):
        return [], [f"{motion.leaf}: a bar of it cannot be made, so its fit cannot be told"]
    found = fittings(built.job, built.marks, built.bars, motion)
    model = leaf_model(built.job, built.marks, found)
    if model is None:
        return [], [*found.unknown, f"{motion.leaf} has no hinge and no latch whose gaps are known"]
    axes = found.near.frame.matrix
    hung = [_swinging(built, model, motion, met, np.array(axes).T[:2])]
    if twin is not None:
        other = mirrored(model, built.marks)
        hung.append(_swinging(built, other, twin, met, MIRROR * np.array(axes).T[:2]))
    return hung, []


def _there(built: Built, name: str) -> bool:
    return any(bar.name == name for bar in built.bars.bars)


def _swinging(
    built: Built, model: Model, motion: Motion, met: dict[str, Swing], axes: Floats
) -> Model:
    """A leaf with the narrowest place of its swing; axes (2, 3) outward and the way of opening."""
    swing = met.get(motion.leaf)
    return with_swing(model, swing_row(built, motion, swing, axes) if swing is not None else None)


def _bars(built: Built) -> tuple[Model, ...]:
    """Coped bars with their twins; a leaf's own twin bars fit each other as the first ones do.

    Of a bar that stands already nobody asks whether it will fit.
    """
    found = list[Model]()
    stands = {bar.name for bar in built.bars.bars if bar.stands}
    leafy = {name for leaf in built.job.leaf.values() for name in leaf.bars}
    for bar in built.bars.bars:
        twin = bar.name in built.job.twin.of and bar.name not in leafy
        twin = twin and bar.name + "-twin" not in stands
        if bar.twin_of or (bar.stands and not twin):
            continue
        model = bar_model(built.job, built.marks, built.bars, bar)
        if model is not None:
            found += [] if bar.stands else [model]
            found += [mirrored(model, built.marks)] if twin else []
    return tuple(found)
