"""What a fitting is told: its name, its parameters as written, and the joint it is for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from operator import itemgetter
from typing import Any, TypeVar

import numpy as np
from pydantic import BaseModel, ValidationError

from barwright.findings import Finding
from barwright.geometry.path import Arc, Straight
from barwright.geometry.points import ahead, crossed, dot, run
from barwright.geometry.solids import Body, Elbow, Rod
from barwright.geometry.vectors import ORIGIN, Floats, Point
from barwright.job.errors import BadInput, Fault
from barwright.job.names import nearest
from barwright.job.plate_schema import FittingTable, Sheet
from barwright.job.schema import Job
from barwright.job.schema_faults import wording, written
from barwright.plates.blank import Plate
from barwright.plates.part import Hardware, Part
from barwright.plates.shadow import near
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar

P = TypeVar("P", bound=BaseModel)


class CannotMake(Exception):  # noqa: N818 - it is what the user is told, not a class of bug
    """A fitting that the joint leaves no room for: no part is made, and the finding says why."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.says)
        self.finding = finding


@dataclass(frozen=True, kw_only=True, eq=False)
class Joint:
    """A joint that a fitting is made for.

    Attributes:
        name: of the fitting: "side.hinge"; its parts are "side.hinge.cheek-upper" and so on.
        entry: its table in job.toml: "leaf.side.hinge".
        written: the parameters as written there.
        job, marks, bars: what is known by now.
        motion: how the leaf moves; None for a fitting that stands still.
        made: what the same leaf's fittings before this one made, by place: "striker".
    """

    name: str
    entry: str
    written: Mapping[str, Any]
    job: Job
    marks: Marks
    bars: Bars
    motion: Motion | None = None
    made: Mapping[str, Made] = field(default_factory=dict)

    def read(self, model: type[P]) -> P:
        """The parameters, checked.

        Raises:
            BadInput: what is written is not what the fitting takes; every fault is listed.
        """
        try:
            return model.model_validate(_thawed(self.written), context={"unit": self.job.job.unit})
        except ValidationError as error:
            raise BadInput(*_faults(error, self.entry, tuple(model.model_fields))) from None

    def plate(self, table: FittingTable) -> Plate:
        """What the fitting is cut from."""
        sheet = self._sheet(table)
        t = table.thickness or sheet.thickness
        return Plate(
            thickness=t,
            radius=table.radius or sheet.radius or t,
            material=table.material or sheet.material,
            k=sheet.k_factor,
            kerf=sheet.kerf,
            grain=sheet.grain,
        )

    def _sheet(self, table: FittingTable) -> Sheet:
        if table.sheet is not None and table.sheet not in self.job.sheet:
            raise self.bad("sheet", table.sheet, "a sheet of the job", tuple(self.job.sheet))
        if self.job.sheet:
            return self.job.sheet[table.sheet or next(iter(self.job.sheet))]
        return Sheet(thickness=3.175 if self.inches else 3.0)

    @property
    def inches(self) -> bool:
        """Whether bought sizes are chosen from the inch series."""
        return self.job.job.unit == "in"

    def gap(self, table: FittingTable) -> float:
        """The weld gap [mm] between an edge and the tube it follows."""
        return self.job.job.weld_gap if table.weld_gap is None else table.weld_gap

    def bad(
        self, field_: str, read: object, expected: str, known: tuple[str, ...] = (), do: str = ""
    ) -> BadInput:
        """The error for a parameter that cannot be used."""
        like = nearest(str(read), known)
        hint = do or (f"did you mean {like}?" if like else "")
        if known and not like:
            hint = f"known: {', '.join(known)}"
        entry = f"{self.entry}.{field_}" if field_ else self.entry
        return BadInput(
            Fault(file="job.toml", entry=entry, read=str(read), expected=expected, do=hint)
        )

    def place(self, field_: str, name: str | None) -> Point:
        """Where a mark stands that a parameter names.

        Raises:
            BadInput: no such mark.
        """
        if name is None or name not in self.marks:
            raise self.bad(field_, name or "", "a mark of the survey", self.marks.names)
        return self.marks.at(name)

    def covariance(self, mark: str) -> Floats:
        """A mark's covariance [mm²], shape (3, 3); nothing for a place that is no mark."""
        if mark not in self.marks:
            return np.zeros((3, 3))
        i = 3 * self.marks.names.index(mark)
        return np.asarray(self.marks.covariance[i : i + 3, i : i + 3])

    def still(self) -> tuple[BuiltBar, ...]:
        """The bars that swing with no leaf."""
        moving = {name for leaf in self.job.leaf.values() for name in leaf.bars}
        return tuple(b for b in self.bars.bars if b.name not in moving and not b.twin_of)

    def around(self, centre: Point, reach: float, *but: str) -> Body:
        """What of the other standing bars lies within a reach [mm] of a point, as one body.

        Args:
            centre: the point [mm].
            reach: how far is near.
            but: names of bars that are left out.
        """
        bodies = [line_body(b) for b in self.still() if b.name not in but]
        solids = [s for b in bodies for s in near(b, np.array(centre), reach).solids]
        return Body(name="around", solids=tuple(solids))

    def standing(
        self, on: str | None, to: Point, *, beside: Floats | None = None, field_: str = "on"
    ) -> BuiltBar:
        """The bar that is asked for, or the standing bar nearest to a point.

        With `beside`, a direction, bars that run within 60° of it there come first: what hangs on
        an axis is welded to a tube beside the axis, not to one that crosses it, unless that one
        is three times as near.

        Raises:
            BadInput: no such bar, or none stands still.
        """
        still = self.still()
        names = tuple(b.name for b in still)
        if on is not None:
            if on not in names:
                raise self.bad(field_, on, "a bar that stands still", names)
            return self.bars.named(on)
        if not still:
            raise self.bad("", "", "a standing bar to weld the fitting to", do="add the bar")

        def far(bar: BuiltBar) -> float:
            _, off, d = nearest_on(bar, to)
            return off if beside is None or abs(np.dot(d, beside)) >= 0.5 else 3.0 * off

        return min(still, key=far)


@dataclass(frozen=True, kw_only=True)
class Made:
    """What a fitting makes.

    Attributes:
        parts, hardware: plates, and bought parts that go with them.
        findings: what it checked.
        intended: (moving, standing) names that are meant to touch.
        rests: (moving, standing) names that lie close on purpose when closed.
        joins: (plate, plate or bar) names that are welded together.
        knows: figures that a later fitting of the same leaf goes by, by name.
    """

    parts: tuple[Part, ...] = ()
    hardware: tuple[Hardware, ...] = ()
    findings: tuple[Finding, ...] = ()
    intended: frozenset[tuple[str, str]] = frozenset()
    rests: frozenset[tuple[str, str]] = frozenset()
    joins: frozenset[tuple[str, str]] = frozenset()
    knows: Mapping[str, Any] = field(default_factory=dict, hash=False, compare=False)


def _thawed(value: Any) -> Any:  # noqa: ANN401 - whatever a TOML file can hold
    """Plain dicts and lists again."""
    if isinstance(value, Mapping):
        return {k: _thawed(v) for k, v in value.items()}
    return [_thawed(v) for v in value] if isinstance(value, tuple) else value


def _faults(error: ValidationError, entry: str, known: tuple[str, ...]) -> list[Fault]:
    return [_fault(e, entry, known) for e in error.errors()]


def _fault(e: Any, entry: str, known: tuple[str, ...]) -> Fault:  # noqa: ANN401 - pydantic's record
    loc = tuple(str(p) for p in e["loc"])
    if e["type"] == "extra_forbidden":
        like = nearest(loc[-1], known)
        expected = "a parameter of this fitting"
        do = f"did you mean {like}?" if like else f"known: {', '.join(known)}"
    else:
        expected, do = wording(e, loc or (entry,))
    return Fault(
        file="job.toml",
        entry=".".join((entry, *loc)),
        read=written(e["input"]),
        expected=expected,
        do=do,
    )


def nearest_on(bar: BuiltBar, to: Point) -> tuple[Point, float, Point]:
    """The point of a bar's centreline nearest to a point, its distance, and the direction there."""
    x, y, z = to
    at = (float(x), float(y), float(z))
    feet = ((math.dist(at, p := _foot(piece, at)), p, piece) for piece in bar.centreline.pieces)
    off, foot, piece = min(feet, key=itemgetter(0))
    return foot, off, _way(piece, foot)


def _foot(piece: Straight | Arc, to: Point) -> Point:
    """The point of a straight or an arc nearest to a point, or one of the arc's ends."""
    if isinstance(piece, Straight):
        d = run(piece.start, piece.end)
        long = dot(d, d)
        t = dot(run(piece.start, to), d) / long if long > 0.0 else 0.0
        return ahead(piece.start, d, min(max(t, 0.0), 1.0))
    return _on_arc(piece, to)


def _on_arc(arc: Arc, to: Point) -> Point:
    """As far round as the point itself stands, or at the nearer end."""
    out, off = run(arc.centre, arc.start), run(arc.centre, to)
    forth = crossed(arc.axis, out)
    turn = math.atan2(dot(off, forth), dot(off, out)) % (2.0 * math.pi)
    if turn > arc.angle:
        turn = arc.angle if turn - arc.angle < 2.0 * math.pi - turn else 0.0
    return ahead(ahead(arc.centre, out, math.cos(turn)), forth, math.sin(turn))


def _way(piece: Straight | Arc, at: Point) -> Point:
    """The unit direction of a straight, or of an arc at a point on it; zero for no length."""
    if isinstance(piece, Straight):
        way = run(piece.start, piece.end)
    else:
        way = crossed(piece.axis, run(piece.centre, at))
    long = math.hypot(*way)
    return ahead(ORIGIN, way, 1.0 / long if long > 0.0 else 0.0)


def line_body(bar: BuiltBar) -> Body:
    """A bar as round solids from mark to mark, its ends square and not yet coped."""
    return Body(
        name=bar.name,
        solids=tuple(
            Rod(start=p.start, end=p.end, radius=bar.radius)
            if isinstance(p, Straight)
            else Elbow(arc=p, radius=bar.radius)
            for p in bar.centreline.pieces
        ),
    )
