"""The leaf's bar as a solid: its wall less what the bushing takes, by adding up its lines.

The tube is first sawn to its cut length: where the last of the wall is clear, 0.02 mm off it.
"""

import math

import numpy as np
import pytest

pytest.importorskip("OCP", reason="the solid kernel is not here: pip install 'barwright[step]'")

from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism

from barwright.job.schema import Job
from barwright.pack import brep
from barwright.pack.brep_tube import LAND
from barwright.pack.step import bar_solids
from barwright.survey.marks import Marks
from barwright.tubes.make import make

HALF = 500.0


class Build:
    """What the solids read of a build: the job, the marks, the bars."""

    def __init__(self, od):
        places = {"H": (0.0, HALF, 900.0), "L": (700.0, HALF, 900.0)}
        self.job = Job.model_validate(
            {
                "stock": {"main": {"od": 38.0, "wall": 2.5}},
                "bar": {"upper": {"stock": "main", "path": list(places)}},
                "leaf": {
                    "side": {
                        "bars": ["upper"],
                        "axis": {"through": "H", "along": "up"},
                        "opens": 90,
                        "hinge": {"fitting": "boxed-hinge", "bushing_od": od},
                    }
                },
                "twin": {"of": ["side"]},
            }
        )
        xyz = np.array(list(places.values()))
        self.marks = Marks(names=tuple(places), xyz=xyz, covariance=np.zeros((6, 6)))
        self.bars = make(self.job, self.marks)
        self.motions = ()


@pytest.mark.parametrize("od", [28.0, 38.0, 60.0])
def test_the_solid_loses_what_the_bushing_takes(od):
    """Volume = sum over the wall's lines of (700 - sqrt(R² - y²)), plane geometry."""
    solids, missing = bar_solids(Build(od))
    assert missing == []
    assert [s.name for s in solids] == ["upper", "upper-twin"]
    phi = (np.arange(7200) + 0.5) * math.pi / 3600
    rho = 16.5 + 2.5 * (np.arange(40) + 0.5) / 40
    beside = rho[:, None] * np.sin(phi)
    taken = np.sqrt(np.maximum((od / 2.0) ** 2 - beside**2, 0.0))
    sawn = math.sqrt(max((od / 2.0) ** 2 - 16.5**2, 0.0)) + LAND
    taken = np.maximum(taken, sawn)
    cell = rho * 2.5 / 40 * (2.0 * math.pi / 7200)
    wanted = float(np.sum(cell[:, None] * (700.0 - taken)))
    for one in solids:
        assert brep.volume(one.solid) == pytest.approx(wanted, rel=2e-6)


def test_nothing_of_the_solid_stands_in_the_bushing():
    solids, _ = bar_solids(Build(44.0))
    ring = brep.ring_wire((0.0, HALF, 800.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), 21.99)
    rod = BRepPrimAPI_MakePrism(brep.face_of(ring), brep.vec((0.0, 0.0, 200.0))).Shape()
    left = brep.cut(solids[0].solid, [rod])
    assert brep.volume(left) == pytest.approx(brep.volume(solids[0].solid), rel=1e-9)
