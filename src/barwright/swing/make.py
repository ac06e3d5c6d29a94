"""What moves: each leaf of the job, its bars and its hinge axis in space."""

from __future__ import annotations

import math

from barwright.geometry.pose import mirrored
from barwright.geometry.vectors import point
from barwright.job.errors import BadInput, Fault
from barwright.job.schema import Axis, Job, Leaf
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion
from barwright.tubes.axis import axis_marks, axis_of

FULL_TURN = 2.0 * math.pi


def motions(job: Job, marks: Marks) -> tuple[Motion, ...]:
    """How every leaf of the job moves, its twin after it where the job asks for one.

    Args:
        job: its `leaf`, `bar` and `twin` tables are read.
        marks: where the axis' marks are.

    Raises:
        BadInput: a leaf names a bar or a mark that is not there, has an axis without a
            direction, or opens by nothing or by a full turn; all such faults are listed.
    """
    faults = [f for name, leaf in job.leaf.items() for f in _faults(name, leaf, job, marks)]
    if faults:
        raise BadInput(*faults)
    made: list[Motion] = []
    for name, leaf in job.leaf.items():
        motion = _motion(name, leaf, marks)
        made += [motion, twin(motion)] if name in job.twin.of else [motion]
    return tuple(made)


def twin(motion: Motion) -> Motion:
    """The motion mirrored in the vehicle's centre plane (y -> -y).

    A turn mirrored is a turn the other way about the mirrored direction; so the direction is
    mirrored and reversed, and the twin opens by the same signed angle.

    >>> twin(Motion(leaf="side", bars=("upper",), through=(1.0, 2.0, 3.0),
    ...             along=(0.0, 0.0, 1.0), opens=1.7)).along
    (0.0, 0.0, -1.0)
    """
    mirror = mirrored()
    return Motion(
        leaf=f"{motion.leaf}-twin",
        bars=tuple(f"{bar}-twin" for bar in motion.bars),
        through=point(mirror.points(motion.through)),
        along=point(-mirror.directions(motion.along) + 0.0),
        opens=motion.opens,
        twin_of=motion.leaf,
    )


def _motion(name: str, leaf: Leaf, marks: Marks) -> Motion:
    axis = axis_of(leaf, marks)
    assert axis is not None  # noqa: S101 - its faults were told before
    return Motion(leaf=name, bars=leaf.bars, through=axis[0], along=axis[1], opens=leaf.opens)


def _faults(name: str, leaf: Leaf, job: Job, marks: Marks) -> list[Fault]:
    found = [_no_bar(name, bar, job) for bar in leaf.bars if bar not in job.bar]
    missing = [m for m in axis_marks(leaf) if m is not None and m not in marks]
    found += [_no_mark(name, mark) for mark in missing]
    if not missing:
        found += _axis_faults(name, leaf, marks)
    if not 0.0 < abs(leaf.opens) < FULL_TURN:
        found.append(
            Fault(
                file="job.toml",
                entry=f"leaf.{name}.opens",
                read=f"{math.degrees(leaf.opens):g} degrees",
                expected="an angle other than 0 and less than a full turn",
                do="say how far the leaf opens, negative for the left hand about the axis",
            )
        )
    return found


def _no_bar(name: str, bar: str, job: Job) -> Fault:
    known = ", ".join(job.bar) or "none"
    return Fault(
        file="job.toml",
        entry=f"leaf.{name}.bars",
        read=bar,
        expected=f"a bar of the job ({known})",
        do=f"add [bar.{bar}] or correct the name",
    )


def _no_mark(name: str, mark: str) -> Fault:
    return Fault(
        file="job.toml",
        entry=f"leaf.{name}.axis",
        read=mark,
        expected="a mark that readings.csv measures",
        do=f"measure mark {mark} or name another one",
    )


def _axis_faults(name: str, leaf: Leaf, marks: Marks) -> list[Fault]:
    axis, (_, toward) = leaf.axis, axis_marks(leaf)
    both = isinstance(axis, Axis) and axis.along is not None and toward is not None
    if not both and axis_of(leaf, marks) is not None:
        return []
    return [
        Fault(
            file="job.toml",
            entry=f"leaf.{name}.axis",
            read="both `along` and `toward`" if both else "no direction",
            expected="one direction: `along` or a second mark, not the first one again",
            do='write along = "up" or toward = "…", one of the two',
        )
    ]
