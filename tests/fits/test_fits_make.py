import numpy as np
import pytest

from barwright.fits.make import fits
from barwright.geometry.solids import Body
from barwright.job.errors import BadInput
from barwright.job.frozen import FrozenMap
from barwright.job.load_cases import FitTable
from barwright.job.schema import Axis, Bar, Job, Leaf
from barwright.plates.part import Hardware, Loop, Part, Parts
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion

MARKS = Marks(
    names=("H", "L"), xyz=np.array([[0.0, 500, 400], [-750, 520, 430]]), covariance=np.zeros((6, 6))
)
MOTION = Motion(
    leaf="side", bars=("upper",), through=(0.0, 500.0, 400.0), along=(0.0, 0.0, -1.0), opens=1.7
)
LEAF = Leaf(bars=("upper",), axis=Axis(through="H", along="down"), opens=100)
BAR = Bar(stock="side", path=("H", "L"))


def _job(fit: dict[str, FitTable] | None = None) -> Job:
    return Job(
        bar=FrozenMap({"upper": BAR}), leaf=FrozenMap({"side": LEAF}), fit=FrozenMap(fit or {})
    )


def _round(name: str, od: float, length: float) -> Hardware:
    body = Body(name=f"side.hinge.{name}", solids=())
    return Hardware(name=body.name, what=name, dims=(("od", od), ("length", length)), body=body)


def _cheek(hole: float) -> Part:
    square = Loop(vertices=((0, 0, 0), (50, 0, 0), (50, 50, 0), (0, 50, 0)))
    ring = Loop(vertices=((25 - hole / 2, 25, -1.0), (25 + hole / 2, 25, -1.0)))
    return Part(
        name="side.hinge.cheek-upper", thickness=3, material="a36", outline=square, holes=(ring,)
    )


PARTS = Parts(
    parts=(_cheek(12.3),),
    hardware=(
        _round("bushing", 28.0, 60.0),
        _round("spacer-upper", 18.0, 30.254),
        _round("spacer-lower", 18.0, 30.254),
        _round("bolt", 12.0, 90.0),
    ),
)


def test_sizes_come_from_the_hinges_own_hardware():
    (hinge,) = fits(_job(), PARTS, (MOTION,), MARKS).hinges
    assert hinge.end_float.nominal == pytest.approx(0.508)
    assert hinge.stack.hole == pytest.approx(12.3)
    assert hinge.stack.reach == pytest.approx(np.hypot(750, 20))
    assert hinge.stack.running == "H8/f7"


def test_the_twin_is_not_said_twice():
    twin = Motion(**{**MOTION.__dict__, "leaf": "side-twin", "twin_of": "side"})
    assert len(fits(_job(), PARTS, (MOTION, twin), MARKS).hinges) == 1


def test_what_the_job_says_goes_first():
    (hinge,) = fits(_job({"side": FitTable(spacer=30.0)}), PARTS, (MOTION,), MARKS).hinges
    assert hinge.end_float.nominal == pytest.approx(0.0)


def test_without_sizes_there_is_nothing_to_say():
    assert fits(_job(), Parts(), (MOTION,), MARKS).findings == ()


def test_every_missing_size_is_asked_for():
    with pytest.raises(BadInput) as caught:
        fits(_job({"side": FitTable(bolt=12.0)}), Parts(), (MOTION,), MARKS)
    asked = {f.entry for f in caught.value.faults}
    assert asked == {f"fit.side.{n}" for n in ("bushing", "bushing_od", "spacer", "spacer_od")}


@pytest.mark.parametrize(
    ("table", "entry"),
    [
        ({"running": "RC9"}, "fit.side.running"),
        ({"press": "H7/p6"}, "fit.side.housing_od"),
        ({"bushing_od": 17.0}, "fit.side.bushing_od"),
        ({"bolt": 18.0}, "fit.side.bolt"),
    ],
)
def test_what_cannot_be_is_refused_by_entry(table, entry):
    with pytest.raises(BadInput) as caught:
        fits(_job({"side": FitTable(**table)}), PARTS, (MOTION,), MARKS)
    assert [f.entry for f in caught.value.faults] == [entry]


def test_a_fit_for_no_leaf_is_refused():
    with pytest.raises(BadInput, match="the job has side"):
        fits(_job({"sid": FitTable()}), PARTS, (MOTION,), MARKS)
