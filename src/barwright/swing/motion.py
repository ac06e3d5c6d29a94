"""What the swing stage knows: how a leaf moves, and what it meets."""

from __future__ import annotations

from dataclasses import dataclass

from barwright.geometry.pose import Pose, turned
from barwright.geometry.vectors import Point


@dataclass(frozen=True, kw_only=True)
class Motion:
    """How a leaf moves.

    Attributes:
        leaf: its name.
        bars: the bars that swing together.
        through, along: the hinge axis: a point [mm] and a unit direction.
        opens: how far it opens [rad], right hand about `along`; negative the other way.
        twin_of: the leaf this one mirrors; empty for one written in the job.
    """

    leaf: str
    bars: tuple[str, ...]
    through: Point
    along: Point
    opens: float
    twin_of: str = ""

    def pose(self, angle: float) -> Pose:
        """Where the leaf stands once it has turned by an angle [rad] from closed."""
        return turned(self.through, self.along, angle)


@dataclass(frozen=True, kw_only=True)
class Swing:
    """What a leaf meets on its way from closed to open.

    Attributes:
        leaf: its name.
        first_contact: the angle [rad] from closed, in the sense of opening, at which it first
            touches something it should not; None when it opens freely.
        touches: (moving part, standing part) at first contact; None when it opens freely.
        where: the point of first contact [mm]; None when it opens freely.
        least_clearance: the smallest gap [mm] over the swing (up to first contact: then 0).
        at: the angle [rad] where that gap is found.
        least_pair: (moving part, standing part) of the smallest gap; None with nothing near.
        lying: (moving part, standing part, gap [mm]) of what lies near when closed on purpose.
        under_way: the same swing apart from what lies so; None where that was not looked at.
    """

    leaf: str
    first_contact: float | None
    touches: tuple[str, str] | None
    where: Point | None
    least_clearance: float
    at: float
    least_pair: tuple[str, str] | None
    lying: tuple[tuple[str, str, float], ...] = ()
    under_way: Swing | None = None
