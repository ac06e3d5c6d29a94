"""FIA Appendix J Art. 253-8.3.3 (quoted 2009), MSA K1.4.3, FSAE F.5.2.1 (2021, 2026): bends.

Centreline radius at least three times the outside diameter; in a bend the least diameter is at
least 0.90 of the greatest. 38 → 114 mm, 45 → 135 mm, 1.75 in → 5.25 in.
"""

import numpy as np
import pytest

from barwright.findings import Level
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.tubes.make import make

INCH = 25.4
PLACES = {"A": (0, 0, 0), "B": (500, 0, 0), "C": (500, 500, 0)}


def findings(od, clr, *, roundness=0.95):
    job = Job.model_validate(
        {
            "stock": {"main": {"od": od, "wall": 2.5}},
            "bender": {"main": {"clr": clr, "roundness": roundness}},
            "bar": {"one": {"stock": "main", "path": ["A", "B", "C"]}},
        }
    )
    marks = Marks(
        names=tuple(PLACES),
        xyz=np.array(list(PLACES.values()), dtype=float),
        covariance=np.zeros((9, 9)),
    )
    return {f.code: f for f in make(job, marks).findings}


@pytest.mark.parametrize(
    ("od", "least"), [(38.0, 114.0), (45.0, 135.0), (1.75 * INCH, 5.25 * INCH)]
)
def test_three_diameters_and_no_less(od, least):
    assert "tubes.clr" not in findings(od, least)
    tight = findings(od, least - 0.5)["tubes.clr"]
    assert tight.level is Level.MUST
    assert tight.allowed == pytest.approx(least)
    assert f"{least:.1f} mm" in tight.remedy
    assert "253-8.3.3" in tight.source


@pytest.mark.parametrize(("roundness", "level"), [(0.90, Level.GOOD), (0.899, Level.MUST)])
def test_nine_tenths_round(roundness, level):
    oval = findings(38.0, 114.0, roundness=roundness)["tubes.oval"]
    assert (oval.level, oval.allowed) == (level, 0.90)
