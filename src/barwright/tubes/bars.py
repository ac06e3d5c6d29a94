"""What the tubes stage makes: every bar with its bends and its coped ends."""

from __future__ import annotations

from dataclasses import dataclass

from barwright.findings import Finding
from barwright.geometry.path import BendTable, Centreline
from barwright.geometry.vectors import Floats, Point


@dataclass(frozen=True, kw_only=True, eq=False)
class Bushing:
    """The round body on a leaf's hinge axis that a bar's end is coped to.

    Attributes:
        name: "side.hinge.bushing", as the hinge's hardware has it.
        radius: outside [mm].
        centreline: a stretch of the axis beside the end; how long the bushing is, the hinge says.
    """

    name: str
    radius: float
    centreline: Centreline


@dataclass(frozen=True, kw_only=True, eq=False)
class End:
    """One end of a bar.

    Attributes:
        mark: the mark it ends on.
        origin: that mark's place on the bar's centreline [mm].
        along: unit direction from this end into the bar.
        zero: unit vector square to `along`, where the angle round the tube is zero.
        against: the bars it is coped against, in the order they are met, and its bushing last.
        cope: shape (360,): position [mm] of the cut along `along` from `origin`, at each whole
            degree round `along` by the right hand from `zero`, cleared over the whole wall.
        bushing: what it is coped to on its leaf's hinge axis; None elsewhere.
        trim: how much of `cope` was taken off afterward, as the mock-up taught [mm].
    """

    mark: str
    origin: Point
    along: Point
    zero: Point
    against: tuple[str, ...]
    cope: Floats
    bushing: Bushing | None = None
    trim: float = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class BuiltBar:
    """A bar as built in.

    Attributes:
        name, stock: as in the job.
        radius, wall: outside radius and wall thickness [mm].
        centreline: from mark to mark.
        table: straights, bends, turns from mark to mark.
        start, finish: its two ends, `from` and `to`.
        cut_length: tube needed, longest point to longest point along the developed bar [mm].
        mass: of the developed tube, copes taken off [kg].
        twin_of: the bar this one mirrors; empty for one written in the job.
        stands: whether it is on the vehicle already, so that nothing of it is to be made.
    """

    name: str
    stock: str
    radius: float
    wall: float
    centreline: Centreline
    table: BendTable
    start: End
    finish: End
    cut_length: float
    mass: float
    twin_of: str = ""
    stands: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Bars:
    """Every bar of the job, and what was found about them."""

    bars: tuple[BuiltBar, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def to_make(self) -> tuple[BuiltBar, ...]:
        """The bars that are not on the vehicle yet."""
        return tuple(bar for bar in self.bars if not bar.stands)

    def named(self, name: str) -> BuiltBar:
        """The bar of that name.

        Raises:
            KeyError: there is none.
        """
        for bar in self.bars:
            if bar.name == name:
                return bar
        raise KeyError(name)
