"""What a picture of the build shows: bars, plates and leaves, in our colours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barwright.geometry.pose import Pose
from barwright.geometry.solids import Block, Body, Elbow, Rod
from barwright.pack.picture import Hull, Label, Shape, Tube, tube_of
from barwright.pack.plate_faces import faces_of
from barwright.tubes.bars import BuiltBar

if TYPE_CHECKING:
    from barwright.route import Build

STANDING, SWINGING, PLATE, HARDWARE = "#8fa3b5", "#e08a2e", "#5b9a74", "#b9b3a6"
"""Bars that stand still, bars that swing, plates, and bought things."""
THERE = "#c3ccd4"
"""Bars that are on the vehicle already."""


def colour_of_bar(build: Build, name: str) -> str:
    """Orange for a bar that swings, blue-grey for another, pale for one that stands already."""
    if any(name in motion.bars for motion in build.motions):
        return SWINGING
    return THERE if build.bars.named(name).stands else STANDING


def leaf_pose(build: Build, leaf: str, share: float) -> Pose | None:
    """Where a leaf stands when opened by a share of its way; None for what stands still."""
    motion = next((m for m in build.motions if m.leaf == leaf), None)
    return motion.pose(share * motion.opens) if motion and share else None


def leaf_of_bar(build: Build, name: str) -> str:
    """The leaf a bar swings with; empty when it stands still."""
    return next((m.leaf for m in build.motions if name in m.bars), "")


def shapes(build: Build, share: float = 0.0) -> list[Shape]:
    """Everything, with the leaves opened by a share of their way (0 closed, 1 open)."""
    drawn: list[Shape] = [_bar(build, bar, share) for bar in build.bars.bars]
    for part in build.parts.parts:
        drawn += faces_of(part, PLATE, leaf_pose(build, part.rides, share) or Pose())
    for item in build.parts.hardware:
        drawn += body_shapes(item.body, HARDWARE, leaf_pose(build, item.rides, share) or Pose())
    return drawn


def _bar(build: Build, bar: BuiltBar, share: float) -> Shape:
    pose = leaf_pose(build, leaf_of_bar(build, bar.name), share)
    return tube_of(bar.centreline, bar.radius, colour_of_bar(build, bar.name), pose)


def body_shapes(body: Body, colour: str, pose: Pose) -> list[Shape]:
    """A body's solids as shapes to draw."""
    drawn: list[Shape] = []
    for solid in body.solids:
        match solid:
            case Block():
                rows = pose.points(solid.corners)
                corners = tuple((float(x), float(y), float(z)) for x, y, z in rows)
                drawn.append(Hull(corners=corners, colour=colour))
            case Rod():
                ends = pose.points([solid.start, solid.end])
                pair = tuple((float(x), float(y), float(z)) for x, y, z in ends)
                drawn.append(Tube(points=pair, radius=solid.radius, colour=colour))
            case Elbow():
                from barwright.geometry.path import Centreline

                drawn.append(tube_of(Centreline(pieces=(solid.arc,)), solid.radius, colour, pose))
    return drawn


def mark_labels(build: Build) -> list[Label]:
    """Every mark that a bar ends or bends on, by name; a mirrored pair's left one alone."""
    used = {end.mark for bar in build.bars.bars for end in (bar.start, bar.finish)}
    names = [n for n in build.marks.names if n in used]
    return [Label(text=n, at=build.marks.at(n)) for n in names if build.marks.at(n)[1] > -1.0]
