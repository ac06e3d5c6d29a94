"""A made-up side opening for the tests of the plates floor: two standing tubes and one leaf."""

import math

import numpy as np

from barwright.geometry.path import BendTable, Centreline, Straight
from barwright.geometry.vectors import point, square_to, unit
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar, End


def bar(name, a, b, radius=22.225, wall=2.4):
    """A straight bar between two points, its ends square."""
    line = Centreline(pieces=(Straight(start=point(a), end=point(b)),))
    d = unit(np.subtract(b, a))
    long = float(np.linalg.norm(np.subtract(b, a)))
    return BuiltBar(
        name=name,
        stock="main",
        radius=radius,
        wall=wall,
        centreline=line,
        table=BendTable(straights=(long,)),
        start=_end("A", a, d),
        finish=_end("B", b, -d),
        cut_length=long,
        mass=1.0,
    )


def _end(mark, origin, along):
    return End(
        mark=mark,
        origin=point(origin),
        along=point(along),
        zero=point(square_to(along)),
        against=(),
        cope=np.zeros(360),
    )


def side(
    *,
    post_lean=(0.03, 0.0),
    hinge=(-80.0, 14.0),
    latch=(84.0, 10.0),
    od=38.1,
    turn=8.0,
    slope=0.0,
    opens=-100.0,
    written=None,
    unit_="mm",
    **job,
):
    """(job, marks, bars, motions): a leaf `side` of one straight bar between two leaning tubes.

    hinge, latch: where the leaf's ends stand from the tubes' centres, forward and outward.
    """
    z = 690.0
    front, rear = np.array([877.0, 511.0, z]), np.array([-40.0, 450.0, z])
    H = front + np.array([*hinge, 0.0])
    L = rear + np.array([*latch, slope])
    lean = np.array([*post_lean, 1.0])
    bars = Bars(
        bars=(
            bar("pillar", front - 400 * lean, front + 400 * lean),
            bar("hoop", rear - 400 * lean * [-1, 1, 1], rear + 400 * lean * [-1, 1, 1]),
            bar("upper", H, L, radius=od / 2.0),
        )
    )
    marks = Marks(names=("H", "L"), xyz=np.array([H, L]), covariance=np.eye(6) * 0.5)
    leaf = {
        "bars": ["upper"],
        "axis": {"through": "H", "along": "up"},
        "opens": opens,
        "hinge": {"fitting": "boxed-hinge"},
        "latch": {"fitting": "latch-carrier"},
        "striker": {"fitting": "striker-gusset"},
    }
    for place, table in (written or {}).items():
        leaf[place] = {**leaf[place], **table}
    whole = {"job": {"unit": unit_}, "leaf": {"side": leaf}, **job}
    read = Job.model_validate(whole, context={"unit": unit_})
    motion = Motion(
        leaf="side",
        bars=("upper",),
        through=point(H),
        along=(0.0, 0.0, 1.0),
        opens=math.radians(opens),
    )
    return read, marks, bars, (motion,)
