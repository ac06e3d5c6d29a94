"""Motions from a job: axes by direction and by marks, twins, and what is refused."""

import math

import numpy as np
import pytest

from barwright.geometry.pose import mirrored
from barwright.job.errors import BadInput
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.swing.make import motions

MARKS = Marks(
    names=("H", "K"),
    xyz=np.array([[100.0, 600.0, 300.0], [100.0, 600.0, 700.0]]),
    covariance=np.zeros((6, 6)),
)


def job(axis: object, opens: float = 100.0, **more: object) -> Job:
    return Job.model_validate(
        {
            "stock": {"main": {"od": "38 mm", "wall": "2 mm"}},
            "bar": {"upper": {"stock": "main", "path": ["H", "K"]}},
            "leaf": {"side": {"bars": ["upper"], "axis": axis, "opens": opens}},
            **more,
        }
    )


def test_an_axis_by_direction_and_one_by_marks_agree() -> None:
    (one,) = motions(job({"through": "H", "along": "up"}), MARKS)
    (two,) = motions(job(["H", "K"]), MARKS)
    (three,) = motions(job({"through": "H", "toward": "K"}), MARKS)
    assert one == two == three
    assert one.along == (0.0, 0.0, 1.0)
    assert one.opens == pytest.approx(math.radians(100.0))


def test_the_twin_opens_mirrored() -> None:
    slanted = {"through": "H", "along": (0.3, 0.2, 1.0)}
    one, other = motions(job(slanted, twin={"of": ["side"]}), MARKS)
    assert (other.leaf, other.bars, other.twin_of) == ("side-twin", ("upper-twin",), "side")
    assert other.opens == one.opens
    here = np.array([[150.0, 580.0, 310.0], [900.0, 640.0, 500.0]])
    for angle in (0.0, 0.4, one.opens):
        opened = mirrored().points(one.pose(angle).points(here))
        assert np.allclose(opened, other.pose(angle).points(mirrored().points(here)))


def test_all_that_is_wrong_with_a_leaf_is_said_at_once() -> None:
    wrong = job({"through": "Q", "along": "up"}, opens=0.0)
    broken = wrong.model_copy(update={"bar": type(wrong.bar)()})
    with pytest.raises(BadInput) as caught:
        motions(broken, MARKS)
    assert {f.entry for f in caught.value.faults} == {
        "leaf.side.bars",
        "leaf.side.axis",
        "leaf.side.opens",
    }


@pytest.mark.parametrize(
    "axis",
    [
        {"through": "H"},
        {"through": "H", "toward": "H"},
        {"through": "H", "along": "up", "toward": "K"},
    ],
)
def test_an_axis_needs_one_direction(axis: object) -> None:
    with pytest.raises(BadInput, match="direction"):
        motions(job(axis), MARKS)
