"""A made-up side of a vehicle: sill, two uprights, a top rail, and a leaf between the uprights."""

import math

import numpy as np

from barwright.geometry.bending import from_corners, table_of
from barwright.geometry.path import ends, length
from barwright.geometry.solids import Body
from barwright.geometry.vectors import point, square_to, unit
from barwright.job.frozen import FrozenMap
from barwright.job.load_cases import LoadTable, StrengthTable
from barwright.job.schema import Axis, Bar, FittingUse, Job, Leaf, Stock
from barwright.plates.part import Hardware, Loop, Part, Parts
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar, End
from barwright.tubes.section import Section

MARKS = {
    "A": (0.0, 500.0, 0.0),
    "B": (900.0, 500.0, 0.0),
    "C": (0.0, 500.0, 1200.0),
    "D": (900.0, 480.0, 1200.0),
    "H": (840.0, 500.0, 600.0),
    "M": (450.0, 540.0, 620.0),
    "L": (60.0, 500.0, 600.0),
    "E": (0.0, -500.0, 0.0),
    "F": (900.0, -500.0, 0.0),
}


def end(name: str, along: np.ndarray, against: tuple[str, ...]) -> End:
    way = point(unit(along))
    return End(
        mark=name,
        origin=MARKS[name],
        along=way,
        zero=point(square_to(way)),
        against=against,
        cope=np.zeros(360),
    )


def built(name: str, *marks: str, against=((), ()), radius=19.05, wall=2.413) -> BuiltBar:
    line = from_corners([MARKS[m] for m in marks], clr=114.3)
    a, b = (
        np.array([MARKS[m] for m in marks])[[0, 1]],
        np.array([MARKS[m] for m in marks])[[-1, -2]],
    )
    developed = length(line)
    assert math.dist(ends(line)[0], MARKS[marks[0]]) < 1e-9
    return BuiltBar(
        name=name,
        stock="side",
        radius=radius,
        wall=wall,
        centreline=line,
        table=table_of(line),
        start=end(marks[0], a[1] - a[0], against[0]),
        finish=end(marks[-1], b[1] - b[0], against[1]),
        cut_length=developed,
        mass=Section(od=2 * radius, wall=wall).mass() * developed,
    )


BARS = Bars(
    bars=(
        built("sill", "A", "B"),
        built("hoop", "A", "C", against=(("sill",), ())),
        built("pillar", "B", "D", against=(("sill",), ())),
        built("rail", "C", "D", against=(("hoop",), ("pillar",))),
        built("floor-rear", "A", "E", against=(("sill",), ())),
        built("floor-front", "B", "F", against=(("sill",), ())),
        built("upper", "H", "M", "L"),
    )
)

MOTION = Motion(
    leaf="side",
    bars=("upper",),
    through=MARKS["H"],
    along=(0.0, 0.0, -1.0),
    opens=math.radians(100),
)

LEAF = Leaf(
    bars=("upper",),
    axis=Axis(through="H", along="down"),
    opens=100,
    hinge=FittingUse(fitting="boxed-hinge"),
    latch=FittingUse(fitting="latch-carrier"),
)


def job(
    *,
    load: dict[str, LoadTable] | None = None,
    strength: StrengthTable | None = None,
    leaf: Leaf = LEAF,
    steel: str = "dom-1020",
    door: bool = True,
) -> Job:
    """The made-up side as a job; its leaf is a vehicle's door unless said otherwise."""
    return Job(
        stock=FrozenMap({"side": Stock(od=38.1, wall=2.413, steel=steel)}),
        bar=FrozenMap({b.name: Bar(stock="side", path=("H", "L")) for b in BARS.bars}),
        leaf=FrozenMap({"side": leaf}),
        load=FrozenMap(load or {}),
        strength=_as_door(strength or StrengthTable()) if door else strength or StrengthTable(),
    )


def _as_door(table: StrengthTable) -> StrengthTable:
    return table.model_copy(update={"doors": ("side",)})


def _round(name: str, od: float, long: float) -> Hardware:
    return Hardware(
        name=name, what=name, dims=(("od", od), ("length", long)), body=Body(name=name, solids=())
    )


PARTS = Parts(
    parts=(
        Part(
            name="side.hinge.cheek-upper",
            thickness=3.175,
            material="a36",
            outline=Loop(vertices=((0, 0, 0), (40, 0, 0), (40, 40, 0))),
        ),
    ),
    hardware=(
        _round("side.hinge.bolt", 12.7, 90.0),
        _round("side.hinge.bushing", 28.6, 63.5),
        _round("side.striker.bolt", 12.7, 32.0),
    ),
)
