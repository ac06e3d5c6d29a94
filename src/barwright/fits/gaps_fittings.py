"""What the leaf's own fittings say about its gaps: the hinge's box, the striker, the latch.

Read from the fittings as they are made; a fitting of another kind is not known here and is left
out, which the caller says.
"""

from __future__ import annotations

from dataclasses import dataclass

from barwright.job.schema import FittingUse, Job
from barwright.plates.fittings.latch_carrier import Table as LatchTable
from barwright.plates.fittings.striker_gusset import Table as StrikerTable
from barwright.plates.fittings.striker_gusset import placed, room
from barwright.plates.hinge_box import Box, HingeTable, box_of
from barwright.plates.hinged import Hung, hung
from barwright.plates.joint import CannotMake, Joint
from barwright.plates.striker import Striker
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion
from barwright.tubes.bars import Bars, BuiltBar

KNOWN = {"hinge": "boxed-hinge", "latch": "latch-carrier", "striker": "striker-gusset"}
"""The fittings whose gaps are known here, by their place on a leaf."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Catch:
    """The latch's side.

    Attributes:
        post: the tube the latch is on.
        at: where it passes the leaf's end, outward and the way of opening [mm].
        striker: where the striker and the stop come to be.
        clearance: of the mouth round the striker [mm].
        gap: weld gap of the carrier as drawn [mm].
        thickness, radius: of the carrier's plate and its fold [mm].
    """

    post: BuiltBar
    at: tuple[float, float]
    striker: Striker
    clearance: float
    gap: float
    thickness: float
    radius: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Fittings:
    """A leaf's fittings; None for one that is not there or not known.

    Attributes:
        near, far: the leaf's end at the axis and its far end.
        hinge: the hinge's box.
        catch: the latch's side.
        unknown: fittings that are left out, and why.
    """

    near: Hung
    far: Hung
    hinge: Box | None
    catch: Catch | None
    unknown: tuple[str, ...]


def fittings(job: Job, marks: Marks, bars: Bars, motion: Motion) -> Fittings:
    """The fittings of a leaf written in the job, not a twin.

    Raises:
        BadInput: a parameter cannot be used.
    """
    leaf = job.leaf[motion.leaf]
    uses = {place: getattr(leaf, place) for place in KNOWN}
    unknown = [
        f"{motion.leaf}'s {place} is a {use.fitting}, whose gaps are not known"
        for place, use in uses.items()
        if use is not None and use.fitting != KNOWN[place]
    ]
    known = {p: u for p, u in uses.items() if u is not None and u.fitting == KNOWN[p]}
    told = _Told(job, marks, bars, motion)
    near_end, far = (
        hung(told.joint("hinge", None), far=False),
        hung(told.joint("latch", None), far=True),
    )
    hinge = _hinge(told, known.get("hinge"), near_end)
    catch = None
    try:
        catch = _catch(told, known, far)
    except CannotMake as error:
        unknown.append(error.finding.says)
    return Fittings(near=near_end, far=far, hinge=hinge, catch=catch, unknown=tuple(unknown))


class _Told:
    """What every fitting of a leaf is told."""

    def __init__(self, job: Job, marks: Marks, bars: Bars, motion: Motion) -> None:
        self.job, self.marks, self.bars, self.motion = job, marks, bars, motion

    def joint(self, place: str, use: FittingUse | None) -> Joint:
        """A fitting's joint, with its parameters as written."""
        name = self.motion.leaf
        return Joint(
            name=f"{name}.{place}",
            entry=f"leaf.{name}.{place}",
            written=dict((use.model_extra if use else None) or {}),
            job=self.job,
            marks=self.marks,
            bars=self.bars,
            motion=self.motion,
        )


def _hinge(told: _Told, use: FittingUse | None, near_end: Hung) -> Box | None:
    if use is None:
        return None
    joint = told.joint("hinge", use)
    return box_of(joint, joint.read(HingeTable), near_end)


def _catch(told: _Told, known: dict[str, FittingUse], far: Hung) -> Catch | None:
    """The latch's side, where there is a latch.

    Raises:
        CannotMake: there is no room for it.
    """
    use = known.get("latch")
    if use is None:
        return None
    joint = told.joint("latch", use)
    table = joint.read(LatchTable)
    plate = joint.plate(table)
    if "striker" in known:
        on = told.joint("striker", known["striker"])
        striker = placed(on, on.read(StrikerTable), far)
    else:
        striker = placed(joint, StrikerTable(), far)
    post, _, at = room(joint, table.on, far)
    return Catch(
        post=post,
        at=at,
        striker=striker,
        clearance=table.clearance,
        gap=joint.gap(table),
        thickness=plate.thickness,
        radius=plate.radius,
    )
