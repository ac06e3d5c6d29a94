"""What do a leaf's gaps hang on? Hinge to tube, latch to tube, striker, engagement, end float.

One free move: the leaf slid from hinge toward latch while it is tacked, so that the gap at the
hinge's tube and the room at the latch are shared. The carrier can follow the striker to the
mouth's clearance and sits on its tube; the striker's slot takes the rest crosswise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.fits.gaps import Doubt, GapOf, Model
from barwright.fits.gaps_fittings import Catch, Fittings
from barwright.fits.gaps_hang import Design, Hanging, Vehicle, hanging
from barwright.fits.gaps_made import doubt_of, warps
from barwright.fits.gaps_rows import Row, assembled
from barwright.fits.gaps_seat import seated
from barwright.fits.gaps_surface import carried
from barwright.geometry.vectors import Floats
from barwright.job.load_cases import FitTable
from barwright.job.schema import Axis, Job
from barwright.job.tolerance_schema import PRACTICE
from barwright.plates.hinge_box import Box
from barwright.plates.tolerances import iso_9013_limit
from barwright.survey.marks import Marks
from barwright.tubes.bars import BuiltBar

ROUND = np.radians(np.arange(-75.0, 76.0, 25.0))
"""Where round the tube a cheek's edge is looked at, from the side toward the axis [rad]."""
ENGAGED = 1.0
"""Least overlap of stop and carrier that is left when the leaf has drooped [mm]; as the plates'
own finding asks for: common practice, no source."""
STEEP = 0.02
"""A row that opens less than this with a millimetre of slide counts as not sliding at all."""
STEP = 0.05
"""Of the differences that give the derivatives [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Inputs:
    """The marks a leaf hangs on, in the order of a vehicle's points.

    Attributes:
        marks: (m,) their numbers: hinge, far, then the two of each tube (the same twice for no
            tube), then the axis' second.
        toward: whether the axis goes through a second mark.
    """

    marks: NDArray[np.intp]
    toward: bool


def leaf_model(job: Job, marks: Marks, found: Fittings) -> Model | None:
    """A leaf's gaps in linear form, as it is on the side it was drawn for.

    Returns:
        None where neither a known hinge nor a known latch says what has to fit.
    """
    if found.hinge is None and found.catch is None:
        return None
    leaf = found.near.motion.leaf
    rig = _Rig(job, marks, found)
    rows = seated([*rig.cheeks(), *rig.latch(), *rig.float_rows()])
    return assembled(leaf, found.far.bar.name, rows, found.unknown)


def cut_sd(job: Job, thickness: float, across: float) -> float:
    """One standard deviation [mm] of a cut edge: the job's, or ISO 9013's limit over three."""
    if job.tolerance.cut is not None:
        return job.tolerance.cut
    limit = iso_9013_limit(min(max(thickness, 1.01), 10.0), min(max(across, 10.0), 1000.0))
    return limit / 3.0


class _Rig:
    """A leaf set up at its design, and the derivatives of what it finds there."""

    def __init__(self, job: Job, marks: Marks, found: Fittings) -> None:
        self.job, self.marks, self.found = job, marks, found
        self.t = job.tolerance
        self.leaf = found.near.motion.leaf
        self.inputs = _inputs(job, marks, found)
        self.design = _design(found, self._at_hinge())
        self.here, self.slopes, self.made = self._derivatives()
        self.end_moves = _end_moves(job, found, self.design.axes)

    def _at_hinge(self) -> Floats:
        return np.array(self.marks.xyz[self.inputs.marks[0]])

    def _derivatives(self) -> tuple[Hanging, Hanging, Hanging]:
        """Where the tubes pass, and the slope of that by marks (3m) and by the made end (3)."""
        at = self.marks.xyz[self.inputs.marks].ravel()
        count = len(at)
        steps = np.vstack([np.zeros(count + 3), STEP * np.eye(count + 3)])
        steps = np.vstack([steps, -steps[1:]])
        found = hanging(self.design, self._vehicle(at + steps[:, :count], steps[:, count:]))

        def slope(values: Floats) -> Floats:
            return np.asarray((values[1 : count + 4] - values[count + 4 :]) / (2.0 * STEP))

        posts, catches = slope(found.post), slope(found.catch)
        return (
            Hanging(post=found.post[0], catch=found.catch[0]),
            Hanging(post=posts[:count], catch=catches[:count]),
            Hanging(post=posts[count:], catch=catches[count:]),
        )

    def _by_mark(self, slope: Floats) -> dict[int, Floats]:
        """A slope (3m,) by the marks' numbers."""
        out: dict[int, Floats] = {}
        for mark, part in zip(self.inputs.marks, slope.reshape(-1, 3), strict=True):
            out[int(mark)] = out.get(int(mark), np.zeros(3)) + part
        return out

    def _vehicle(self, at: Floats, longer: Floats) -> Vehicle:
        p = at.reshape(len(at), -1, 3).copy()
        for first, second in ((2, 3), (4, 5)):
            if self.inputs.marks[first] == self.inputs.marks[second]:  # no tube: the axis itself
                p[:, second] += self.design.axes[2]
        return Vehicle(
            hinge=p[:, 0],
            toward=p[:, 6] if self.inputs.toward else None,
            far=p[:, 1],
            post=(p[:, 2], p[:, 3]),
            catch=(p[:, 4], p[:, 5]),
            longer=longer,
        )

    def _aside(self, slope: Floats) -> float:
        """What setting the whole axis aside the way of opening does, by a slope (3m,)."""
        by_point = slope.reshape(-1, 3) @ self.design.axes[1]
        return float(by_point[0] + (by_point[6] if self.inputs.toward else 0.0))

    def _shape(self, slope: Floats) -> dict[Doubt, float]:
        """What the leaf bar's own errors do, by a slope (3,) on its end in the hinge's frame."""
        return {doubt: float(slope @ move) for doubt, move in self.end_moves}

    # ---- the hinge's cheeks against their tube

    def cheeks(self) -> list[Row]:
        """Each cheek's edge round the hinge's tube."""
        box = self.found.hinge
        if box is None:
            return []
        rows = []
        for c, (_, side) in enumerate(self.found.near.sides()):
            gap = GapOf(
                name=f"{self.leaf}'s {side} hinge cheek to {box.post.name}",
                subject=f"leaf.{self.leaf}.hinge",
                low=-self.t.file,
                high=self.t.weld_gap,
                source=self.t.source_of("weld_gap"),
                opens_by=f"leaf.{self.leaf}.hinge weld_gap",
            )
            rows += [self._edge(box, gap, c, side, turn) for turn in ROUND]
        return rows

    def _edge(self, box: Box, gap: GapOf, c: int, side: str, turn: float) -> Row:
        """One place of a cheek's edge: where the tube is off as drawn, it comes nearer or goes."""
        back = -np.array(box.at_post) / np.hypot(*box.at_post)
        way = np.array(
            [
                np.cos(turn) * back[0] - np.sin(turn) * back[1],
                np.sin(turn) * back[0] + np.cos(turn) * back[1],
            ]
        )
        what = f"{self.leaf}, {side} cheek"
        on = self._shape(-self.made.post[:, c] @ way)
        for kind in ("placing", "tack"):
            for k, word in enumerate(("outward", "opening")):
                on[doubt_of(kind, f"{what}, {word}", self.t)] = float(way[k]) * getattr(
                    self.t, kind
                )
        cut = cut_sd(self.job, box.plate.thickness, 2.0 * box.to_post)
        on[doubt_of("cut", what, self.t, cut)] = cut
        return Row(
            gap=gap,
            nominal=box.gap,
            low=gap.low,
            high=gap.high,
            slide=float(way[0]) if abs(way[0]) >= STEEP else 0.0,
            on_marks=self._by_mark(-self.slopes.post[:, c] @ way),
            on_doubts=on,
            aside=self._aside(-self.slopes.post[:, c] @ way),
            seats=True,
        )

    # ---- the latch

    def latch(self) -> list[Row]:
        """The carrier on its tube, the striker in its slot, the stop's overlap."""
        catch = self.found.catch
        if catch is None:
            return []
        along = self._slid()
        return [
            self._reach(catch, along[0]),
            self._crosswise(catch, along[1]),
            *self._overlap(catch),
        ]

    def _slid(self) -> Floats:
        """How the latch's tube moves, seen from the leaf's end, when the leaf is slid out."""
        turn = np.arctan2(self.design.far[1], self.design.far[0])
        return np.array([-np.cos(turn), np.sin(turn)])

    def _pulls(self, word: str) -> dict[Doubt, float]:
        """What placing, tacks and welds do at the latch, one way."""
        what = f"{self.leaf}, latch, {word}"
        kinds = ("placing", "tack", "weld")
        return {doubt_of(k, what, self.t): getattr(self.t, k) for k in kinds}

    def _reach(self, catch: Catch, slide: float) -> Row:
        t = self.t
        follows = max(catch.clearance - t.hinge_play, 0.0)
        gap = GapOf(
            name=f"{self.leaf}'s latch carrier to {catch.post.name}, its mouth on the striker",
            subject=f"leaf.{self.leaf}.latch",
            low=-t.file - follows,
            high=t.weld_gap + follows,
            source=t.source_of("weld_gap"),
            opens_by=f"leaf.{self.leaf}.latch clearance",
        )
        cut = cut_sd(self.job, catch.thickness, 2.0 * float(np.hypot(*catch.at)))
        on = self._shape(self.made.catch[:, 0]) | self._pulls("outward")
        on[doubt_of("cut", f"{self.leaf}, latch carrier", t, cut)] = cut
        return Row(
            gap=gap,
            nominal=catch.gap,
            low=gap.low,
            high=gap.high,
            slide=float(slide),
            on_marks=self._by_mark(self.slopes.catch[:, 0]),
            on_doubts=on,
            aside=self._aside(self.slopes.catch[:, 0]),
        )

    def _crosswise(self, catch: Catch, slide: float) -> Row:
        half = catch.striker.adjust / 2.0
        gap = GapOf(
            name=f"{self.leaf}'s striker within its slot",
            subject=f"leaf.{self.leaf}.striker",
            low=-half,
            high=half,
            source="the slot's own length",
            opens_by=f"leaf.{self.leaf}.striker adjust",
        )
        return Row(
            gap=gap,
            nominal=0.0,
            low=-half,
            high=half,
            slide=float(slide) if abs(slide) >= STEEP else 0.0,
            on_marks=self._by_mark(self.slopes.catch[:, 1]),
            on_doubts=self._shape(self.made.catch[:, 1]) | self._pulls("opening"),
            aside=self._aside(self.slopes.catch[:, 1]),
        )

    def _overlap(self, catch: Catch) -> list[Row]:
        """The stop's overlap up and down, once the leaf has drooped on its pin."""
        s, t, box = catch.striker, self.t, self.found.hinge
        beyond = s.flange + s.thickness - catch.thickness
        above = s.near_face - s.thickness / 2.0 - catch.radius
        arm = float(np.hypot(*self.design.far[:2])) + s.reach
        slack = 0.0
        on = self._pulls("along the axis")
        lean = t.weld_turn * arm
        on[doubt_of("weld_turn", f"{self.leaf}, hinge leaned over", t)] = lean
        if box is not None:
            slack = box.stack.gap - box.stack.bushing + t.hinge_play / box.stack.bushing * arm
            play = t.hinge_play / 3.0
            wear = doubt_of("hinge_play", f"{self.leaf}, pin in bushing", t, play)
            on[wear] = -play / box.stack.bushing * arm
        gap = GapOf(
            name=f"{self.leaf}'s stop on the carrier, overlap left after droop",
            subject=f"leaf.{self.leaf}.latch",
            low=ENGAGED,
            high=np.inf,
            source=PRACTICE,
            opens_by=f"leaf.{self.leaf}.striker flange",
        )
        worn = {d: v for d, v in on.items() if d.kind == "hinge_play"}
        moved = {d: v for d, v in on.items() if d.kind != "hinge_play"}
        return [
            Row(
                gap=gap,
                nominal=start - slack,
                low=ENGAGED,
                high=np.inf,
                slide=0.0,
                on_marks={},
                on_doubts={d: way * v for d, v in moved.items()} | worn,
            )
            for start, way in ((beyond, 1.0), (above, -1.0))
        ]

    # ---- the hinge's own stack

    def float_rows(self) -> list[Row]:
        """Two spacers against the bushing: the leaf must turn with the bolt tight."""
        box = self.found.hinge
        if box is None:
            return []
        each = (self.job.fit.get(self.leaf) or FitTable()).length_tolerance / 3.0
        gap = GapOf(
            name=f"{self.leaf}'s hinge, end float with the bolt tight",
            subject=f"leaf.{self.leaf}.hinge",
            low=0.0,
            high=np.inf,
            source="it must turn",
            opens_by=f"leaf.{self.leaf}.hinge end_float",
        )
        on = {
            Doubt(kind="turned length", what=f"{self.leaf}, {w}", sd=each, source=PRACTICE): v
            for w, v in (("bushing", -each), ("upper spacer", each), ("lower spacer", each))
        }
        return [
            Row(
                gap=gap,
                nominal=box.stack.gap - box.stack.bushing,
                low=0.0,
                high=np.inf,
                slide=0.0,
                on_marks={},
                on_doubts=on,
            )
        ]


def _inputs(job: Job, marks: Marks, found: Fittings) -> Inputs:
    """Which marks a leaf hangs on."""
    axis = job.leaf[found.near.motion.leaf].axis
    through, second = (axis.through, axis.toward) if isinstance(axis, Axis) else axis
    number = marks.names.index
    hinge, far = number(through), number(found.far.end.mark)
    post, catch = (hinge, hinge), (far, far)
    if found.hinge is not None:
        post = _tube(job, marks, found.hinge.post, np.array(found.near.frame.shift))
    if found.catch is not None:
        catch = _tube(job, marks, found.catch.post, np.array(found.far.end.origin))
    more = () if second is None else (number(second),)
    return Inputs(marks=np.array([hinge, far, *post, *catch, *more]), toward=second is not None)


def _tube(job: Job, marks: Marks, bar: BuiltBar, at: Floats) -> tuple[int, int]:
    """The two marks that carry a tube near a point."""
    carriers, _ = carried(job.bar[bar.name], marks, at[None])
    return int(carriers[0, 0]), int(carriers[0, 1])


def _design(found: Fittings, hinge: Floats) -> Design:
    frame = found.near.frame
    axes = np.array(frame.matrix).T
    middle = np.array(frame.shift)
    half = 0.5 * found.hinge.stack.gap if found.hinge else 0.0
    signs = np.array([sign for sign, _ in found.near.sides()])
    return Design(
        axes=axes,
        rise=float((middle - hinge) @ axes[2]),
        far=axes @ (np.array(found.far.end.origin) - middle),
        cheeks=signs * half,
    )


def _end_moves(job: Job, found: Fittings, axes: Floats) -> list[tuple[Doubt, Floats]]:
    """What each error of the leaf's bar does to its far end, in the hinge's frame (3,)."""
    near, far, t = found.near, found.far, job.tolerance
    end = np.array(far.end.origin)
    saw = doubt_of("saw", f"{far.bar.name} at {far.end.mark}", t)
    moves = [(saw, axes @ np.array(far.end.along) * t.saw)]
    if near.bar is far.bar:
        way = 1.0 if near.end is near.bar.start else -1.0
        moves += [(w.doubt, way * (axes @ w.moves(end))) for w in warps(near.bar, t)]
    return moves
