"""What a job folder says, frozen: the tables of job.toml and the rows of readings.csv.

Every length is in millimetres and every angle in radians once it stands here: the fields'
types (`Length`, `Angle`) read what the fabricator wrote. Names of tables and fields are the
job file's own.
"""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import AliasChoices, BaseModel, ConfigDict, Field

from barwright.geometry.vectors import Point
from barwright.job.frozen import FrozenMap
from barwright.job.quantities import Angle, Length, PositiveLength, SomeLength

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

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=60, pattern=r"^[^\s/\\.\"']+$")]
"""A name of a mark, bar, leaf …: no blanks, quotes, dots or slashes."""


class Entry(BaseModel):
    """A table of job.toml: frozen, and nothing in it that Barwright does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


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
    """

    line: int
    kind: Kind
    marks: tuple[Name, ...]
    value: float | None = None
    at: Point | None = None
    plus_minus: float
    note: str = ""


class JobTable(Entry):
    """[job]: the name, and what a bare number means."""

    name: str = ""
    unit: Literal["in", "mm"] = "mm"
    root_gap: SomeLength = 0.0
    weld_gap: SomeLength = 0.0


class Stock(Entry):
    """[stock.NAME]: a tube as bought."""

    od: PositiveLength
    wall: PositiveLength
    steel: str = "dom-1020"
    bar: PositiveLength | None = None
    price: float | None = None


class Bender(Entry):
    """[bender.NAME]: what bends the stock of the same name."""

    clr: PositiveLength
    grip: SomeLength = 0.0
    springback: tuple[tuple[Angle, Angle], ...] = ()


class Prebent(Entry):
    """A bar that was bent beforehand: straights, bends, turns."""

    straights: tuple[SomeLength, ...]
    bends: tuple[Angle, ...] = ()
    turns: tuple[Angle, ...] = ()


class Cope(Entry):
    """Which bars each end is coped against, where the default does not serve."""

    from_: tuple[Name, ...] | None = Field(default=None, alias="from")
    to: tuple[Name, ...] | None = None


class Bar(Entry):
    """[bar.NAME]: a tube as built in, by `path`, or `prebent` between `from` and `to`."""

    stock: Name
    path: tuple[Name, ...] | None = None
    prebent: Prebent | None = None
    from_: Name | None = Field(default=None, alias="from")
    to: Name | None = None
    spin: Literal["level"] | Angle | Name = "level"
    clr: PositiveLength | None = None
    cope: Cope = Cope()


class Axis(Entry):
    """What a leaf turns about: through a mark, along a direction or toward another mark."""

    through: Name
    along: Literal["up", "down", "left", "right", "forward", "back"] | Point | None = None
    toward: Name | None = Field(default=None, validation_alias=AliasChoices("toward", "to"))


class FittingUse(Entry):
    """A fitting asked for in place (hinge, latch): its kind and its parameters as written.

    The parameters belong to the fitting's own module, which reads them.
    """

    model_config = ConfigDict(frozen=True, extra="allow")
    fitting: str


class Leaf(Entry):
    """[leaf.NAME]: bars that swing together.

    `opens` is how far, by the right hand about the axis; negative the other way.
    """

    bars: tuple[Name, ...]
    axis: Axis | tuple[Name, Name]
    opens: Angle
    hinge: FittingUse | None = None
    latch: FittingUse | None = None
    striker: FittingUse | None = None


class Twin(Entry):
    """[twin]: which leaves and parts are made mirrored too."""

    of: tuple[Name, ...] = ()


class Job(Entry):
    """A whole job as written down.

    Attributes:
        job: name and units.
        readings: what was measured.
        stock, bender, bar, leaf, fitting, twin: the tables of job.toml, by name.
    """

    job: JobTable = JobTable()
    default_plus_minus: FrozenMap[float] = FrozenMap()
    stock: FrozenMap[Stock] = FrozenMap()
    bender: FrozenMap[Bender] = FrozenMap()
    bar: FrozenMap[Bar] = FrozenMap()
    leaf: FrozenMap[Leaf] = FrozenMap()
    fitting: FrozenMap[FittingUse] = FrozenMap()
    twin: Twin = Twin()
    readings: tuple[Reading, ...] = ()


__all__ = [
    "Angle",
    "Axis",
    "Bar",
    "Bender",
    "Cope",
    "Entry",
    "FittingUse",
    "Job",
    "JobTable",
    "Kind",
    "Leaf",
    "Length",
    "Name",
    "Prebent",
    "Reading",
    "Stock",
    "Twin",
]
