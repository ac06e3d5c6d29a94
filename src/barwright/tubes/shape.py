"""What each bar's centreline is, before its ends are coped.

By `path`: the inner marks are where the straights meet. By `prebent`: a bar that exists is
trimmed and placed between two marks (see `tubes.placing`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.bending import CannotBend, from_corners, straights_of, table_of
from barwright.geometry.cope import Tip
from barwright.geometry.path import (
    BendTable,
    Centreline,
    Piece,
    Straight,
    arc_radius,
    carried,
    ends,
    length,
    moved,
    place_at,
)
from barwright.geometry.pose import mirrored
from barwright.geometry.vectors import Floats, Point, point, square_to, unit
from barwright.job.schema import Bar, Job
from barwright.survey.marks import Marks
from barwright.tubes.placing import Misfit, placed

TWIN = "-twin"


@dataclass(frozen=True, kw_only=True, eq=False)
class Shape:
    """A bar without its copes. Compared by identity: one shape is one bar.

    Attributes:
        name, stock: as in the job.
        rank: its place in the order in which the job writes its bars.
        radius, wall: outside radius and wall [mm].
        start, finish: the marks it runs between.
        inner: the marks it bends at.
        centreline: from mark to mark.
        leaf: the leaf it swings with; empty when it stands still.
        twin_of: the bar it mirrors; empty for one written in the job.
    """

    name: str
    stock: str
    rank: int
    radius: float
    wall: float
    start: str
    finish: str
    inner: tuple[str, ...]
    centreline: Centreline
    leaf: str = ""
    twin_of: str = ""

    @cached_property
    def table(self) -> BendTable:
        """Straights, bends and turns from mark to mark."""
        return table_of(self.centreline)

    @cached_property
    def long(self) -> float:
        """Developed length from mark to mark [mm]."""
        return length(self.centreline)

    @cached_property
    def ends(self) -> tuple[Point, Point]:
        """Its first and last point [mm]."""
        return ends(self.centreline)

    @cached_property
    def tips(self) -> tuple[Tip, Tip]:
        """Its two ends with one line scribed along the whole bar as their zero.

        The line is on the outside of the first bend, or on top of a straight bar (to the front
        of a plumb one), and follows every bend without twisting.
        """
        ways = (place_at(self.centreline, s)[1] for s in (0.0, self.long))
        first_way, last_way = (np.array(way) for way in ways)
        zero = _zero_line(self, first_way)
        along = ((first_way, zero), (-last_way, carried(self.centreline, zero)))
        first, last = (
            Tip(
                origin=origin,
                along=point(way),
                zero=point(_square(line, way)),
                inner=max(self.radius - self.wall, 0.0),
                outer=self.radius,
            )
            for origin, (way, line) in zip(self.ends, along, strict=True)
        )
        return first, last

    @cached_property
    def box(self) -> tuple[Point, Point]:
        """Least and greatest coordinates [mm] of a box that holds the centreline."""
        low, high = zip(*(_box(piece) for piece in self.centreline.pieces), strict=True)
        (x, y, z), (u, v, w) = zip(*low, strict=True), zip(*high, strict=True)
        return (min(x), min(y), min(z)), (max(u), max(v), max(w))


def _box(piece: Piece) -> tuple[Point, Point]:
    """Least and greatest coordinates of a piece; of an arc, of the whole circle's ball."""
    if isinstance(piece, Straight):
        (ax, ay, az), (bx, by, bz) = piece.start, piece.end
        return (min(ax, bx), min(ay, by), min(az, bz)), (max(ax, bx), max(ay, by), max(az, bz))
    (x, y, z), r = piece.centre, arc_radius(piece)
    return (x - r, y - r, z - r), (x + r, y + r, z + r)


def shapes(job: Job, marks: Marks) -> tuple[tuple[Shape, ...], tuple[Finding, ...]]:
    """Every bar's centreline, mirrored twins included, and why any is missing."""
    found, findings = list[Shape](), list[Finding]()
    for rank, (name, bar) in enumerate(job.bar.items()):
        try:
            centreline = _centreline(job, name, bar, marks)
        except (Refused, Misfit) as refused:
            findings.append(refused.finding)
            continue
        found.append(_shape(job, name, rank, centreline))
    twins = [_twin(shape, len(job.bar)) for shape in found if shape.name in twinned(job)]
    return (*found, *twins), tuple(findings)


LEAST_BEND = 1e-6
"""A bend of less [rad] says nothing of the plane it lies in."""


def _zero_line(shape: Shape, way: Floats) -> Floats:
    """Where the scribed line begins: a unit vector square to the bar's first direction."""
    table = shape.table
    if not table.bends or table.bends[0] < LEAST_BEND:
        return square_to(way)
    into = table.straights[0] + table.clr * min(table.bends[0], 1.0)
    return -_square(np.array(place_at(shape.centreline, into)[1]), way)


def _square(vector: Floats, way: Floats) -> Floats:
    """A vector made square to a unit direction, of unit length."""
    return unit(vector - (vector @ way) * way)


class Refused(Exception):  # noqa: N818 - it says what it is
    """A bar that cannot be made as written; carries the finding that says so."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.says)
        self.finding = finding


def twinned(job: Job) -> frozenset[str]:
    """The bars that are made mirrored too, by their own names or their leaf's."""
    bars = {name for name in job.twin.of if name in job.bar}
    for name in job.twin.of:
        bars |= set(job.leaf[name].bars) if name in job.leaf else set()
    return frozenset(bars)


def clr_of(job: Job, bar: Bar) -> float | None:
    """The centreline radius [mm] a bar is bent to: its own, else its stock's bender's."""
    if bar.clr is not None:
        return bar.clr
    return job.bender[bar.stock].clr if bar.stock in job.bender else None


def _shape(job: Job, name: str, rank: int, centreline: Centreline) -> Shape:
    bar = job.bar[name]
    stock = job.stock[bar.stock]
    route = bar.path or (bar.from_ or "", bar.to or "")
    return Shape(
        name=name,
        stock=bar.stock,
        rank=rank,
        radius=stock.od / 2.0,
        wall=stock.wall,
        start=route[0],
        finish=route[-1],
        inner=route[1:-1],
        centreline=centreline,
        leaf=next((leaf for leaf, it in job.leaf.items() if name in it.bars), ""),
    )


def _twin(shape: Shape, count: int) -> Shape:
    return Shape(
        name=shape.name + TWIN,
        stock=shape.stock,
        rank=shape.rank + count,
        radius=shape.radius,
        wall=shape.wall,
        start=shape.start + TWIN,
        finish=shape.finish + TWIN,
        inner=tuple(mark + TWIN for mark in shape.inner),
        centreline=moved(shape.centreline, mirrored()),
        leaf=shape.leaf and shape.leaf + TWIN,
        twin_of=shape.name,
    )


def _centreline(job: Job, name: str, bar: Bar, marks: Marks) -> Centreline:
    """The centreline of one bar.

    Raises:
        Refused, Misfit: it cannot be made.
    """
    _check_stock(job, name, bar)
    route = bar.path or tuple(mark for mark in (bar.from_, bar.to) if mark)
    _check_route(name, route, marks)
    made = bar.prebent or bar.table
    if made is None:
        return _by_path(job, name, bar, marks)
    clr = clr_of(job, bar)
    if made.bends and clr is None:
        raise Refused(_no_clr(name, bar))
    return placed(name, bar, marks, clr or 0.0)


def _by_path(job: Job, name: str, bar: Bar, marks: Marks) -> Centreline:
    corners = [marks.at(mark) for mark in bar.path or (bar.from_ or "", bar.to or "")]
    clr = clr_of(job, bar)
    if clr is None and len(corners) > 2:
        raise Refused(_no_clr(name, bar))
    try:
        return from_corners(corners, clr or 0.0)
    except CannotBend as fault:
        raise Refused(_overlap(name, bar, corners, clr or 0.0, fault)) from None


def _overlap(
    name: str, bar: Bar, corners: list[tuple[float, float, float]], clr: float, fault: CannotBend
) -> Finding:
    """What to say when the corners leave no room for the bends."""
    path = bar.path or ()
    try:
        left = straights_of(corners, clr)
    except CannotBend:
        return Finding(
            code="tubes.path",
            level=Level.MUST,
            subject=f"bar.{name}",
            says=f"{name} cannot be bent along its path: {fault}.",
            source="geometry",
            remedy="leave out one of the two marks, or give the path a mark between them",
        )
    short = min(left)
    where = " to ".join(path[left.index(short) : left.index(short) + 2])
    return Finding(
        code="tubes.overlap",
        level=Level.MUST,
        subject=f"bar.{name}",
        says=f"{name}: the bends at CLR {clr:.1f} mm overlap; the straight {where} "
        f"is short by {-short:.1f} mm.",
        measured=short,
        allowed=0.0,
        unit="mm",
        source="geometry: setback = CLR tan(angle / 2)",
        remedy=f"move the marks apart by {-short:.1f} mm or bend to a smaller CLR",
    )


def _check_stock(job: Job, name: str, bar: Bar) -> None:
    stock = job.stock.get(bar.stock)
    if stock is None:
        raise Refused(_cannot(name, f"{name}: there is no [stock.{bar.stock}].", "write it"))
    if 2.0 * stock.wall > stock.od:
        says = f"{name}: a wall of {stock.wall:.2f} mm does not fit in {stock.od:.2f} mm tube."
        raise Refused(_cannot(name, says, "check od and wall of the stock"))


def _check_route(name: str, route: tuple[str, ...], marks: Marks) -> None:
    if len(route) < 2:
        says = f"{name} has neither a path of two marks or more nor `from` and `to`."
        raise Refused(_cannot(name, says, "give it a path, or prebent with from and to"))
    lost = [mark for mark in route if mark not in marks]
    if lost:
        says = f"{name}: no reading says where {', '.join(lost)} is."
        raise Refused(_cannot(name, says, f"add readings that tie {', '.join(lost)}"))


def _cannot(name: str, says: str, remedy: str) -> Finding:
    return Finding(
        code="tubes.path", level=Level.MUST, subject=f"bar.{name}", says=says, remedy=remedy
    )


def _no_clr(name: str, bar: Bar) -> Finding:
    return Finding(
        code="tubes.clr",
        level=Level.MUST,
        subject=f"bar.{name}",
        says=f"{name} is bent, but no centreline radius is known for stock {bar.stock}.",
        remedy=f"write [bender.{bar.stock}] with its clr, or clr in the bar",
    )
