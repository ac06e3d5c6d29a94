"""What the build-up stage knows: what meets, what comes out, in what order it goes together."""

from __future__ import annotations

from dataclasses import dataclass

from barwright.findings import Finding
from barwright.geometry.vectors import Point
from barwright.plates.part import Flat


@dataclass(frozen=True, kw_only=True)
class Trim:
    """What to take off one part so that it clears another.

    Attributes:
        part: which part is trimmed.
        outline: what goes, in the plate's own flat frame [mm]; its largest piece.
        deep: how far in from the plate's old edge it goes, at most [mm].
        area: of all that goes [mm²].
        clears: whether the trimmed part was tried and found clear.
    """

    part: str
    outline: tuple[Flat, ...]
    deep: float
    area: float
    clears: bool


@dataclass(frozen=True, kw_only=True)
class Clash:
    """Two parts in one place.

    Attributes:
        first, second: their names; the first is the one that is better moved or trimmed.
        state: "closed", or the leaf that stands open.
        depth: the shortest shift found that parts them [mm].
        way: unit direction of that shift, of the first.
        volume: what they have in common, tubes taken as solid [mm³].
        where: a point in both [mm].
        welded: whether they are to be welded to one another.
        trim: what to take off; None where nothing is offered.
    """

    first: str
    second: str
    state: str
    depth: float
    way: Point
    volume: float
    where: Point
    welded: bool
    trim: Trim | None = None


@dataclass(frozen=True, kw_only=True)
class Move:
    """One move of a part.

    Attributes:
        turn: how far it turns [rad], right hand about `along` through `through`; 0 for a shift.
        along: unit direction of the shift, or of the axis.
        through: a point on the axis [mm]; the origin for a shift.
        far: how far it is shifted [mm]; inf once nothing more is in the way; 0 for a turn.
    """

    along: Point
    far: float = 0.0
    turn: float = 0.0
    through: Point = (0.0, 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Way:
    """How parts that are one piece come out, and so go in.

    Attributes:
        names: the parts.
        state: "closed", or the leaf that stands open.
        among: what was in place.
        moves: in order; empty where no way was found.
        free: every direction tried in which one straight move takes them right out.
        blocked_by: what is met along the most promising way; empty where it comes out.
        goes: how far the best way goes before that [mm].
        met: everything that is met first in one direction or another.
        held: of bought and turned parts that do not come out, how far they get at most by any
            shifts, with every other loose part away: proven [mm]; None where it is not proven.
        waits: whether it does come out with every other loose part away: it waits for another
            that does not.
    """

    names: tuple[str, ...]
    state: str
    among: tuple[str, ...]
    moves: tuple[Move, ...]
    free: tuple[Point, ...] = ()
    blocked_by: tuple[str, ...] = ()
    goes: float = 0.0
    met: tuple[str, ...] = ()
    held: float | None = None
    waits: bool = False

    @property
    def comes_out(self) -> bool:
        """Whether a way out was found."""
        return bool(self.moves)


@dataclass(frozen=True, kw_only=True)
class Freed:
    """What frees a trapped part, tried again and found to.

    Attributes:
        names: the trapped part or parts.
        trim: what to take off which part.
        way: how it then comes out.
    """

    names: tuple[str, ...]
    trim: Trim
    way: Way


@dataclass(frozen=True, kw_only=True)
class Reach:
    """Whether a tool gets at one end of a bolt.

    Attributes:
        bolt: its name.
        end: "head" or "nut": the two ends, whichever way round it is put in.
        socket: whether a socket goes on along the axis.
        spanner: how far an open-ended spanner can swing [rad].
        blocked_by: what is in the way; empty where either goes.
        state: "closed", or the leaf that has to stand open for it.
    """

    bolt: str
    end: str
    socket: bool
    spanner: float
    blocked_by: tuple[str, ...] = ()
    state: str = "closed"


@dataclass(frozen=True, kw_only=True)
class Freedom:
    """How much of a part's place is still open when it is put in.

    Attributes:
        name: the part.
        left: degrees of freedom left, 0..6.
        ways: in words: what it can still do.
        by: what holds it: names of the parts it bears on.
        fix: what to add or do.
    """

    name: str
    left: int
    ways: tuple[str, ...]
    by: tuple[str, ...]
    fix: str = ""


@dataclass(frozen=True, kw_only=True)
class Seam:
    """One weld.

    Attributes:
        parts: what it joins; the first is drawn to the second.
        at: its middle [mm].
        length: [mm].
        leg: of the fillet [mm].
        away: unit direction from the second to the first part at the seam.
        shrinks: how much it draws the first to the second [mm].
        tried: whether a torch was tried at it: at coped ends of bars only.
        reached: share of it that a torch gets at with everything in place, 0..1.
        before: what hides the rest of it, the most first, then in the order of the job's parts:
            weld it before these are in.
    """

    parts: tuple[str, str]
    at: Point
    length: float
    leg: float
    away: Point
    shrinks: float
    tried: bool = False
    reached: float = 1.0
    before: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Pull:
    """What welding does to a latch.

    Attributes:
        leaf: whose latch.
        closer: how much nearer hinge and latch come to one another [mm].
        gap: change of the gap at the latch along the way the leaf closes [mm].
        aside: change across it [mm].
        one_sided: how far the latch leans if one side of its seams is welded right out first [mm].
    """

    leaf: str
    closer: float
    gap: float
    aside: float
    one_sided: float


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of the build.

    Attributes:
        title: in a few words.
        says: what to do, one line each.
        adds: parts that come in with it.
        together: whether they have to go in at once, since none goes in by itself.
        explode: for each part added, the unit direction it is drawn apart in (it comes from).
        hold: what must be proven before going on; empty where there is no hold point.
        checks: what is ticked and signed.
        state: "loose", "tack", "prove" or "weld".
        seams: the seams welded in it, in order, by their parts.
        freedom: of the parts added.
    """

    title: str
    says: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()
    together: bool = False
    explode: tuple[tuple[str, Point], ...] = ()
    hold: str = ""
    checks: tuple[str, ...] = ()
    state: str = "tack"
    seams: tuple[tuple[str, str], ...] = ()
    freedom: tuple[Freedom, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Buildup:
    """How it goes together.

    Attributes:
        findings: what was checked.
        clashes: what is in one place and should not be.
        compared: how many pairs of parts were held against one another, closed and open.
        ways: how loose parts and leaves come out of the finished weldment, in the order they do.
        freed: what frees those that do not.
        reach: tool access to the bolts.
        freedom: what is left open when each part is put in.
        seams: every weld, in the order proposed.
        pulls: what welding does to the latches.
        steps: the build, in order.
    """

    findings: tuple[Finding, ...] = ()
    clashes: tuple[Clash, ...] = ()
    compared: int = 0
    ways: tuple[Way, ...] = ()
    freed: tuple[Freed, ...] = ()
    reach: tuple[Reach, ...] = ()
    freedom: tuple[Freedom, ...] = ()
    seams: tuple[Seam, ...] = ()
    pulls: tuple[Pull, ...] = ()
    steps: tuple[Step, ...] = ()
