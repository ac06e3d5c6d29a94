"""A small build made up for the pack's tests: two posts, a bent brace, a leaf, three plates."""

import math
from dataclasses import dataclass

import numpy as np

from barwright.findings import Finding, Level
from barwright.fits.chance_result import FirstFit
from barwright.fits.make import Fits
from barwright.geometry.pose import frame
from barwright.job.schema import Job
from barwright.plates.part import Etch, Fold, Hardware, Loop, Part, Parts
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion, Swing
from barwright.tubes.make import make as make_bars

POINTS = {
    "A": (0.0, 400.0, 0.0),
    "B": (0.0, 400.0, 900.0),
    "C": (1200.0, 400.0, 0.0),
    "D": (1200.0, 400.0, 900.0),
    "E": (0.0, 400.0, 300.0),
    "F": (600.0, 450.0, 420.0),
    "G": (1200.0, 400.0, 300.0),
    "H": (20.0, 430.0, 820.0),
    "I": (1180.0, 430.0, 820.0),
}


def job(unit="mm"):
    """The job the build is of."""
    return Job.model_validate(
        {
            "job": {"name": "Heron test corner", "unit": unit},
            "stock": {"main": {"od": "38.1 mm", "wall": "2.4 mm"}},
            "bender": {"main": {"clr": "120 mm"}},
            "bar": {
                "post-rear": {"stock": "main", "path": ["A", "B"]},
                "post-front": {"stock": "main", "path": ["C", "D"]},
                "brace": {"stock": "main", "path": ["E", "F", "G"]},
                "upper": {"stock": "main", "path": ["H", "I"], "cope": {"from": [], "to": []}},
            },
            "leaf": {"side": {"bars": ["upper"], "axis": ["B", "A"], "opens": 100}},
        },
        context={"unit": unit},
    )


def marks():
    """The marks, as if known."""
    xyz = np.array(list(POINTS.values()))
    return Marks(names=tuple(POINTS), xyz=xyz, covariance=np.eye(3 * len(POINTS)) * 0.25)


def circle(x, y, r):
    """A round hole as two half turns."""
    return Loop(vertices=((x - r, y, -1.0), (x + r, y, -1.0)))


def rounded(w, h, r):
    """A rectangle from the origin with rounded corners."""
    b = math.tan(math.pi / 8)
    return Loop(
        vertices=(
            (r, 0.0, 0.0), (w - r, 0.0, b), (w, r, 0.0), (w, h - r, b),
            (w - r, h, 0.0), (r, h, b), (0.0, h - r, 0.0), (0.0, r, b),
        )
    )  # fmt: skip


CHEEK = Part(
    name="side.hinge.cheek",
    thickness=5.0,
    material="a36",
    outline=rounded(90.0, 60.0, 12.0),
    holes=(circle(30.0, 30.0, 9.5), circle(70.0, 30.0, 4.0)),
    etch=(Etch(text="F", at=(50.0, 45.0), height=5.0), Etch(path=((10.0, 30.0), (18.0, 30.0)))),
    placed=frame((-30.0, 430.0, 800.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
)
BRACKET = Part(
    name="striker.gusset",
    thickness=3.0,
    material="a36",
    outline=Loop(
        vertices=((0.0, 0.0, 0.0), (120.0, 0.0, 0.0), (120.0, 80.0, 0.0), (0.0, 80.0, 0.0))
    ),
    holes=(circle(20.0, 40.0, 6.0),),
    folds=(
        Fold(start=(50.0, 0.0), end=(50.0, 80.0), angle=math.pi / 2, radius=3.0),
        Fold(start=(95.0, 0.0), end=(95.0, 80.0), angle=-math.pi / 3, radius=3.0),
    ),
    placed=frame((1150.0, 380.0, 700.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
)


@dataclass(frozen=True, kw_only=True, eq=False)
class MadeUp:
    """What the pack reads of a build."""

    job: Job
    marks: Marks
    bars: object
    motions: tuple
    parts: Parts
    swings: tuple
    findings: tuple
    fits: Fits
    first_fit: FirstFit


def build(unit="mm", parts=(CHEEK, BRACKET), hardware=()):
    """The build."""
    the_job, the_marks = job(unit), marks()
    bars = make_bars(the_job, the_marks)
    motion = Motion(
        leaf="side",
        bars=("upper",),
        through=POINTS["A"],
        along=(0.0, 0.0, -1.0),
        opens=math.radians(100),
    )
    swing = Swing(
        leaf="side",
        first_contact=None,
        touches=None,
        where=None,
        least_clearance=7.4,
        at=0.3,
        least_pair=("upper", "post-rear"),
    )
    findings = (
        *bars.findings,
        Finding(
            code="swing.gap",
            level=Level.LOOK,
            subject="leaf.side",
            says="comes within 7.4 mm of post-rear at 17.2°",
            measured=7.4,
            allowed=10.0,
            unit="mm",
            remedy="move the hinge axis 3 mm out",
        ),
    )
    return MadeUp(
        job=the_job,
        marks=the_marks,
        bars=bars,
        motions=(motion,),
        parts=Parts(parts=parts, hardware=hardware),
        swings=(swing,),
        findings=findings,
        fits=Fits(),
        first_fit=FirstFit(chance=None),
    )


__all__ = ["BRACKET", "CHEEK", "Hardware", "build", "circle", "rounded"]
