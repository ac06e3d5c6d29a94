"""What a job folder says, frozen: the tables of job.toml and the rows of readings.csv.

Every length is in millimetres and every angle in radians once it stands here: the fields'
types (`Length`, `Angle`) read what the fabricator wrote. Names of tables and fields are the
job file's own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Literal, TypeAlias

from pydantic import AliasChoices, ConfigDict, Discriminator, Field, Tag, model_validator

from barwright.geometry.vectors import Point
from barwright.job.drawings import Drawing
from barwright.job.entry import Entry, Name
from barwright.job.frozen import FrozenMap, frozen
from barwright.job.leaf_schema import CableRun, Opening
from barwright.job.load_cases import FitTable, LoadTable, StrengthTable
from barwright.job.plate_schema import Bought, PlateTable, Sheet
from barwright.job.quantities import (
    Angle,
    AngleDoubt,
    Diameter,
    Direction,
    Length,
    LengthDoubt,
    PositiveLength,
    SomeLength,
    Spin,
    Wall,
    Written,
)
from barwright.job.tolerance_schema import Tolerance
from barwright.job.trim_schema import Trim

Kind: TypeAlias = Literal[
    "tape",
    "over",
    "between",
    "height",
    "station",
    "offset",
    "incline",
    "corner",
    "level",
    "plumb",
    "line",
    "flat",
    "middle",
    "pair",
    "fixed",
]
"""The kinds of reading."""


class Reading(Entry):
    """One measurement, a row of readings.csv.

    Attributes:
        line: its line in readings.csv (the header is line 1).
        kind: what was measured.
        marks: the marks it is about, in the order the kind wants them.
        value: millimetres or radians; None for a kind without a value; for `fixed` see `at`.
        at: the known coordinates [mm] of a `fixed` mark.
        plus_minus: one standard deviation [mm or rad], as written or the job's default.
        note: what the fabricator noted.
        written: the value as written, e.g. "23 7/16"; empty where it is not known.
    """

    line: int
    kind: Kind
    marks: tuple[Name, ...]
    value: float | None = None
    at: Point | None = None
    plus_minus: float
    note: str = ""
    written: str = ""


class DefaultPlusMinus(Entry):
    """[default_plus_minus]: one standard deviation by kind, where a row of readings gives none.

    The built-in figures are common practice, no source: a tape read to 1/32 in by one person,
    a digital level, marks set by eye.
    """

    tape: LengthDoubt = 0.8
    over: LengthDoubt = 1.0
    between: LengthDoubt = 1.0
    height: LengthDoubt = 1.0
    station: LengthDoubt = 1.0
    offset: LengthDoubt = 1.0
    incline: AngleDoubt = math.radians(0.2)
    corner: AngleDoubt = math.radians(0.5)
    level: LengthDoubt = 1.0
    plumb: LengthDoubt = 1.0
    line: LengthDoubt = 1.0
    flat: LengthDoubt = 1.0
    middle: LengthDoubt = 1.0
    pair: LengthDoubt = 1.0
    fixed: LengthDoubt = 0.1

    def of(self, kind: str) -> float:
        """The standard deviation [mm or rad] for a kind of reading."""
        return float(getattr(self, kind))


class JobTable(Entry):
    """[job]: the name, and what a bare number means."""

    name: str = ""
    unit: Literal["in", "mm"] = "mm"
    root_gap: SomeLength = 0.0
    weld_gap: SomeLength = 0.0


class Stock(Entry):
    """[stock.NAME]: a tube as bought."""

    od: Diameter
    wall: Wall
    steel: str = "dom-1020"
    bar: PositiveLength | None = None
    price: Annotated[float, Field(ge=0.0, allow_inf_nan=False)] | None = None


class Bender(Entry):
    """[bender.NAME]: what bends the stock of the same name.

    Attributes:
        clr: centreline radius of its die [mm].
        grip: least straight before a bend and between bends [mm].
        springback: pairs (wanted, set) [rad].
        tests: test bends, pairs (wanted, got) [rad], each set to the table's answer for wanted.
        start_offset: from the die's mark ahead to where the bend begins [mm].
        trim: left on each end of a bent bar, to be cut off afterward [mm].
        floor: height of the tube's centre above the floor while it is bent [mm].
        bed: how far the bender's bed reaches back along the tube from the die [mm].
        bed_width, bed_drop: its width, and from the tube's centre down to it [mm].
        roundness: least over greatest diameter measured in a test bend.
    """

    clr: PositiveLength
    grip: SomeLength = 0.0
    springback: tuple[tuple[Angle, Angle], ...] = ()
    tests: tuple[tuple[Angle, Angle], ...] = ()
    start_offset: SomeLength = 0.0
    trim: SomeLength = 0.0
    floor: PositiveLength | None = None
    bed: SomeLength = 0.0
    bed_width: SomeLength = 200.0
    bed_drop: SomeLength = 60.0
    roundness: Annotated[float, Field(gt=0.0, le=1.0)] | None = None


class Saw(Entry):
    """[saw]: what cutting takes: its kerf, and what is lost at the end of each stock bar [mm]."""

    kerf: SomeLength = 0.0
    end_waste: SomeLength = 0.0


class Prebent(Entry):
    """A bar that was bent beforehand: straights, bends, turns."""

    straights: tuple[SomeLength, ...]
    bends: tuple[Angle, ...] = ()
    turns: tuple[Angle, ...] = ()


class Cope(Entry):
    """Which bars each end is coped against, where the default does not serve.

    A face is three marks on the face of a plate that the end lands on.
    """

    from_: tuple[Name, ...] | None = Field(default=None, alias="from")
    to: tuple[Name, ...] | None = None
    from_face: tuple[Name, Name, Name] | None = None
    to_face: tuple[Name, Name, Name] | None = None


class Insert(Entry):
    """What slips into a bar's end.

    Attributes:
        depth: how deep it goes in [mm]; by default one and a half bores.
        slip: how much smaller than the least bore it is [mm].
        load: pull along the bar it has to carry [N].
        plug: diameter of a plug weld [mm].
    """

    depth: PositiveLength | None = None
    slip: SomeLength = 0.15
    load: Annotated[float, Field(ge=0.0, allow_inf_nan=False)] | None = None
    plug: PositiveLength | None = None


class Inserts(Entry):
    """What slips into each end of a bar."""

    from_: Insert | None = Field(default=None, alias="from")
    to: Insert | None = None


class Past(Entry):
    """How far an end that is cut square runs on past its mark [mm]."""

    from_: SomeLength = Field(default=0.0, alias="from")
    to: SomeLength = 0.0


class Bar(Entry):
    """[bar.NAME]: a tube as built in, by `path`, or `prebent` between `from` and `to`."""

    stock: Name
    path: tuple[Name, ...] | None = None
    prebent: Prebent | None = None
    table: Prebent | None = None
    from_: Name | None = Field(default=None, alias="from")
    to: Name | None = None
    trim: Literal["from", "to", "both"] = "to"
    spin: Spin = "level"
    clr: PositiveLength | None = None
    bend_from: Literal["from", "to"] = "from"
    cope: Cope = Cope()
    past: Past = Past()
    insert: Inserts = Inserts()


class Axis(Entry):
    """What a leaf turns about: through a mark, along a direction or toward another mark."""

    through: Name
    along: Direction | None = None
    toward: Name | None = Field(default=None, validation_alias=AliasChoices("toward", "to"))


def _table_or_marks(axis: Written) -> str:
    """An axis is a table, or the two marks it goes through."""
    return "table" if isinstance(axis, Mapping | Axis) else "marks"


class FittingUse(Entry):
    """A fitting asked for in place (hinge, latch): its kind and its parameters as written.

    The parameters belong to the fitting's own module, which reads them.
    """

    model_config = ConfigDict(frozen=True, extra="allow")
    fitting: Name

    @model_validator(mode="before")
    @classmethod
    def _freeze(cls, table: Written) -> Written:
        """Arrays become tuples and inner tables frozen maps, so that nothing can change."""
        return {k: frozen(v) for k, v in table.items()} if isinstance(table, dict) else table


class Leaf(Entry):
    """[leaf.NAME]: bars that swing together.

    `opens` is how far, by the right hand about the axis; negative the other way.
    """

    bars: tuple[Name, ...]
    axis: Annotated[
        Annotated[Axis, Tag("table")] | Annotated[tuple[Name, Name], Tag("marks")],
        Discriminator(_table_or_marks),
    ]
    opens: Angle
    hinge: FittingUse | None = None
    latch: FittingUse | None = None
    striker: FittingUse | None = None
    opening: Opening | None = None
    cable: CableRun | None = None


class Standing(Entry):
    """[standing]: which bars are on the vehicle already.

    They are there for everything to be coped to, hung on and kept clear of, and carry their share
    of the load; nothing of them is bought, sawn, bent or put up.

    Attributes:
        bars: their names; every other bar is made.
    """

    bars: tuple[Name, ...] = ()


class Twin(Entry):
    """[twin]: which leaves and parts are made mirrored too."""

    of: tuple[Name, ...] = ()


class Job(Entry):
    """A whole job as written down.

    Attributes:
        job: name and units.
        readings: what was measured.
        stock, bender, saw, bar, standing, leaf, sheet, plate, bought, fitting, twin: the tables of
            job.toml, by name.
        fit, load, strength: how things fit, what pushes, and how the frame is held and judged.
        tolerance: how well the shop makes things.
        trim: what the mock-up taught, taken off the parts.
        drawings: the outlines that its tables name, as read from their files.
    """

    job: JobTable = JobTable()
    default_plus_minus: DefaultPlusMinus = DefaultPlusMinus()
    stock: FrozenMap[Stock] = FrozenMap()
    bender: FrozenMap[Bender] = FrozenMap()
    saw: Saw = Saw()
    bar: FrozenMap[Bar] = FrozenMap()
    standing: Standing = Standing()
    leaf: FrozenMap[Leaf] = FrozenMap()
    sheet: FrozenMap[Sheet] = FrozenMap()
    plate: FrozenMap[PlateTable] = FrozenMap()
    bought: FrozenMap[Bought] = FrozenMap()
    fitting: FrozenMap[FittingUse] = FrozenMap()
    fit: FrozenMap[FitTable] = FrozenMap()
    load: FrozenMap[LoadTable] = FrozenMap()
    strength: StrengthTable = StrengthTable()
    tolerance: Tolerance = Tolerance()
    trim: tuple[Trim, ...] = ()
    twin: Twin = Twin()
    readings: tuple[Reading, ...] = ()
    drawings: tuple[Drawing, ...] = ()

    def drawing(self, file: str) -> Drawing | None:
        """The drawing of that file; None where it was not read."""
        return next((d for d in self.drawings if d.file == file), None)


__all__ = [
    "Angle",
    "Axis",
    "Bar",
    "Bender",
    "Bought",
    "CableRun",
    "Cope",
    "DefaultPlusMinus",
    "Entry",
    "FittingUse",
    "Insert",
    "Inserts",
    "Job",
    "JobTable",
    "Kind",
    "Leaf",
    "Length",
    "Name",
    "Opening",
    "Past",
    "PlateTable",
    "Prebent",
    "Reading",
    "Saw",
    "Sheet",
    "Standing",
    "Stock",
    "Tolerance",
    "Trim",
    "Twin",
]
