"""Small jobs for the tubes' tests: bars on known marks."""

import numpy as np
import pytest

from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.tubes.make import make

STOCK = {
    "big": {"od": 45.0, "wall": 2.5},
    "main": {"od": 38.0, "wall": 2.5},
    "light": {"od": 25.4, "wall": 1.65},
}
BENDER = {name: {"clr": 3 * s["od"], "roundness": 0.95} for name, s in STOCK.items()}


def marks_at(places):
    names = tuple(places)
    xyz = np.array([places[name] for name in names], dtype=float)
    return Marks(names=names, xyz=xyz, covariance=np.zeros((3 * len(names), 3 * len(names))))


def job_of(bars, **tables):
    table = {
        "stock": STOCK,
        "bar": bars,
        "bender": BENDER,
    }
    return Job.model_validate({**table, **tables})


@pytest.fixture(scope="session")
def frame_of():
    """frame_of(marks, bars, **tables) -> Bars; for property tests, which share one fixture."""

    def build(places, bars, **tables):
        return make(job_of(bars, **tables), marks_at(places))

    return build


@pytest.fixture
def frame():
    """frame(marks, bars, **tables) -> Bars, on marks whose places are given."""

    def build(places, bars, **tables):
        return make(job_of(bars, **tables), marks_at(places))

    return build


@pytest.fixture
def built():
    """built(marks, bars, **tables) -> (Job, Bars)."""

    def build(places, bars, **tables):
        job = job_of(bars, **tables)
        return job, make(job, marks_at(places))

    return build
