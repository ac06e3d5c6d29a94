"""Builds drawn at random: where the marks truly are, and every error of making.

All parts of a whole are drawn together, so that what they share (a mark, a bar's own error) is
the same for all of them in one build. Normal about nothing; the same for the same seed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from barwright.fits.gaps import Doubt, Model
from barwright.geometry.vectors import Floats
from barwright.survey.marks import Marks

REMEMBERED = 4
"""Sets of random numbers that are kept."""

BLOCK = 2500
"""Builds judged at a time, so that they stay in the processor's cache."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Builds:
    """Some builds of some parts.

    Attributes:
        models: the parts.
        columns: (c,) the survey's coordinates that matter, sorted.
        covariance: (c, c) of those [mm²].
        root: (c, c) its root: times `normal`, how far off the marks truly are [mm].
        normal: (c, n) normal random numbers.
        errors: (e, n) every error of making, in its sd.
        error_at: the row of `errors` each of them is.
    """

    models: tuple[Model, ...]
    columns: NDArray[np.intp]
    covariance: Floats
    root: Floats
    normal: NDArray[np.float32]
    errors: NDArray[np.float32]
    error_at: Mapping[Doubt, int]

    @property
    def count(self) -> int:
        """How many builds."""
        return int(self.normal.shape[1])

    def where(self, model: Model) -> NDArray[np.intp]:
        """The places in `columns` of a model's own."""
        found = self._places.get(model.name)
        return np.searchsorted(self.columns, model.columns) if found is None else found

    @cached_property
    def _places(self) -> dict[str, NDArray[np.intp]]:
        return {m.name: np.searchsorted(self.columns, m.columns) for m in self.models}

    def values(self, model: Model, picked: slice = slice(None)) -> NDArray[np.float32]:
        """(rows, n) every row of a part in some builds [mm]."""
        out = self.off(model.on_marks, self.where(model), picked)
        out += single(model.nominal)[:, None]
        if model.doubts:
            out += self.opened(model, range(len(model.doubts)), picked)
        return out

    def off(
        self, slopes: Floats, where: NDArray[np.intp], picked: slice = slice(None)
    ) -> NDArray[np.float32]:
        """(r, n) slopes (r, w) times how far off the marks truly are at places (w,) [mm]."""
        return single(slopes @ self.root[where]) @ self.normal[:, picked]

    def opened(
        self, model: Model, which: Sequence[int], picked: slice = slice(None)
    ) -> NDArray[np.float32]:
        """(rows, n) what some of a part's errors of making open, by their numbers in it [mm]."""
        at = [self.error_at[model.doubts[i]] for i in which]
        together = at == list(range(at[0], at[0] + len(at)))
        errors = self.errors[at[0] : at[-1] + 1] if together else self.errors[at]
        by = single(model.on_doubts[:, which])
        # numpy is ten times slower at a matrix product with one column
        return by * errors[:, picked] if len(at) == 1 else by @ errors[:, picked]

    def blocks(self) -> list[slice]:
        """The builds a block at a time."""
        return [slice(i, min(i + BLOCK, self.count)) for i in range(0, self.count, BLOCK)]


def single(values: Floats) -> NDArray[np.float32]:
    """In single precision: a micrometre in ten metres, ample for gaps."""
    return values.astype(np.float32)


def draw(models: tuple[Model, ...], marks: Marks, samples: int, seed: int) -> Builds:
    """Draw builds.

    Args:
        models: the parts that are built together.
        marks: the survey, with its covariance.
        samples: how many builds.
        seed: of the random numbers.
    """
    columns = np.unique(np.concatenate([m.columns for m in models]))
    covariance = np.asarray(marks.covariance[np.ix_(columns, columns)])
    doubts = tuple(dict.fromkeys(d for m in models for d in m.doubts))
    drawn = _normals(seed, len(columns) + len(doubts), samples)
    return Builds(
        models=models,
        columns=columns,
        covariance=covariance,
        root=root(covariance),
        normal=drawn[: len(columns)],
        errors=drawn[len(columns) :],
        error_at={d: i for i, d in enumerate(doubts)},
    )


def draw_each(
    models: tuple[Model, ...], marks: Marks, samples: int, seed: int
) -> tuple[Builds, ...]:
    """Draw builds of each part by itself, from the same random numbers for all.

    Args:
        models: parts that are not judged together.
        marks: the survey, with its covariance.
        samples: how many builds of each.
        seed: of the random numbers.
    """
    rows = max((len(m.columns) for m in models), default=0)
    errors = max((len(m.doubts) for m in models), default=0)
    drawn = _normals(seed, rows + errors, samples)
    return tuple(_alone(m, marks, drawn[: len(m.columns)], drawn[rows:]) for m in models)


@lru_cache(REMEMBERED)
def _normals(seed: int, rows: int, samples: int) -> NDArray[np.float32]:
    """Normal random numbers (rows, samples), the same for the same seed; not to be written to.

    Remembered: how many are drawn hangs on which parts there are, not on where they stand.
    """
    drawn = np.random.default_rng(seed).standard_normal((rows, samples), np.float32)
    drawn.flags.writeable = False
    return drawn


def _alone(
    model: Model, marks: Marks, at: NDArray[np.float32], errors: NDArray[np.float32]
) -> Builds:
    """Builds of one part from random numbers that stand ready."""
    columns = np.sort(model.columns)
    covariance = np.asarray(marks.covariance[np.ix_(columns, columns)])
    return Builds(
        models=(model,),
        columns=columns,
        covariance=covariance,
        root=root(covariance),
        normal=at,
        errors=errors,
        error_at={d: i for i, d in enumerate(model.doubts)},
    )


def root(covariance: Floats) -> Floats:
    """A matrix whose product with its own transpose is the covariance; singular ones too."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))


def error_of(chance: float, samples: int) -> float:
    """One standard deviation of a share found in a number of samples.

    Never less than what the next sample could change, so that 0 and 1 are not called certain.

    >>> round(error_of(0.9, 10_000), 4)
    0.003
    """
    return max(math.sqrt(chance * (1.0 - chance) / samples), 1.0 / samples)
