"""What the open leaf leaves room for: a person through its opening, a cable over its hinge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from barwright.findings import Finding, Level
from barwright.geometry.pose import UNMOVED, Pose, mirrored
from barwright.geometry.vectors import Point, point, unit
from barwright.job.leaf_schema import CableRun
from barwright.job.leaf_schema import Opening as OpeningTable
from barwright.job.quantities import DIRECTIONS
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.swing.cable import Run, cable
from barwright.swing.motion import Motion
from barwright.swing.opening import CHEST_DEPTH_95, CLOTHING, opening
from barwright.swing.passing import Around
from barwright.swing.place import moved
from barwright.swing.room_findings import cable_finding, opening_finding


def rooms(
    job: Job, marks: Marks, motions: tuple[Motion, ...], around: Mapping[str, Around]
) -> tuple[Finding, ...]:
    """One finding for each opening and each cable that a leaf's table asks about, twins too.

    Args:
        job: its `leaf` tables are read.
        marks: where their marks are.
        motions: how the leaves move.
        around: by leaf, its bodies and those that stand.
    """
    return tuple(f for m in motions for f in _of_leaf(job, marks, m, around[m.leaf]))


def _of_leaf(job: Job, marks: Marks, motion: Motion, around: Around) -> Iterator[Finding]:
    leaf = job.leaf[motion.twin_of or motion.leaf]
    side = mirrored() if motion.twin_of else UNMOVED
    if leaf.opening is not None:
        yield _way_out(leaf.opening, marks, side, motion, around)
    if leaf.cable is not None:
        run = _run(leaf.cable, marks, side)
        needs = leaf.cable
        yield cable_finding(motion.leaf, cable(motion, run), bend=needs.bend, run=needs.length)


def _way_out(
    table: OpeningTable, marks: Marks, side: Pose, motion: Motion, around: Around
) -> Finding:
    """The opening with the leaf wide open: it stands in its own way where it still reaches in."""
    corners = [point(side.points(marks.at(name))) for name in table.corners]
    ajar = motion.pose(motion.opens)
    bodies = (*around.standing, *(moved(body, ajar) for body in around.movers))
    depth, clothing = table.depth or CHEST_DEPTH_95, CLOTHING[table.clothing]
    try:
        free = opening(corners, bodies, depth=depth, clothing=clothing)
    except ValueError as error:
        return _no_opening(motion.leaf, table.corners, str(error))
    return opening_finding(motion.leaf, free, circle=table.circle, rule=table.rule)


def _no_opening(leaf: str, corners: tuple[str, ...], why: str) -> Finding:
    return Finding(
        code="swing.opening",
        level=Level.MUST,
        subject=f"leaf.{leaf}",
        says=f"{', '.join(corners)} go round no opening: {why}.",
        remedy="name the marks in the order in which they go round it",
    )


def _run(table: CableRun, marks: Marks, side: Pose) -> Run:
    def at(place: Point | str) -> Point:
        return point(side.points(marks.at(place) if isinstance(place, str) else place))

    def way(direction: Point | str) -> Point:
        named = DIRECTIONS[direction] if isinstance(direction, str) else direction
        return point(unit(side.directions(named)))

    return Run(
        fixed=at(table.fixed), out=way(table.out), riding=at(table.riding), into=way(table.into)
    )
