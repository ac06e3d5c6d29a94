"""The chance of first-time fit of the demo's frame, against a plain loop over the same builds.

No library tells this number, so ours is held against numpy used one build at a time: the same
rows and limits, the slide found by scipy's linear programme. Ratios are for as many builds.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: these matrices are small

from pathlib import Path

import numpy as np
import scipy
from scipy.optimize import linprog

from barwright import route
from barwright.fits.chance_draw import draw
from barwright.fits.chance_models import whole_of
from barwright.fits.gaps import Model, Reals, fit
from barwright.fits.gaps_swing import Built
from barwright.job.load import load
from benchmarks.timing import Row, compare

JOB = Path(__file__).parent.parent / "examples" / "heron"
BUILDS = 200


def rows() -> list[Row]:
    """One comparison: whether some builds of the Heron's leaf and its twin fit."""
    job = load(JOB)
    made = route.build(job)
    built = Built(job=job, marks=made.marks, bars=made.bars, parts=made.parts)
    whole = whole_of(built, made.motions, made.swings)
    builds = draw(whole.counting, made.marks, BUILDS, 3)
    values = {m.name: builds.values(m) for m in builds.models}
    same = np.mean([np.mean(_ours(m, values) == _loop(m, values)) for m in builds.models])
    return [
        compare(
            f"whether {BUILDS} builds of leaf and twin fit",
            f"scipy {scipy.__version__} linprog, one build at a time",
            lambda: [_ours(m, values) for m in builds.models],
            lambda: [_loop(m, values) for m in builds.models],
            pairs=3,
            agree=f"{same:.1%} of builds judged alike",
        ),
    ]


def _ours(model: Model, values: dict[str, Reals]) -> np.ndarray:
    return fit(model, values[model.name])


def _loop(model: Model, values: dict[str, Reals]) -> np.ndarray:
    """Is there a slide that keeps every row within its limits? A linear programme a build."""
    return np.array([_slides(model, column) for column in values[model.name].T])


def _slides(model: Model, column: Reals) -> bool:
    up = np.isfinite(model.high)
    left = np.concatenate([model.slide[up], -model.slide])[:, None]
    right = np.concatenate([(model.high - column)[up], column - model.low]) + 1e-4
    return bool(linprog([0.0], A_ub=left, b_ub=right, bounds=[(None, None)]).success)
