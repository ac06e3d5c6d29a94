"""Where a leaf's hinge axis runs, by the marks or the direction the job gives it."""

from __future__ import annotations

import numpy as np

from barwright.geometry.vectors import Point, point, unit
from barwright.job.quantities import DIRECTIONS
from barwright.job.schema import Axis, Leaf
from barwright.survey.marks import Marks


def axis_marks(leaf: Leaf) -> tuple[str, str | None]:
    """The mark the axis goes through, and the mark it goes toward, if any."""
    if isinstance(leaf.axis, Axis):
        return leaf.axis.through, leaf.axis.toward
    return leaf.axis


def axis_of(leaf: Leaf, marks: Marks) -> tuple[Point, Point] | None:
    """A point of the axis [mm] and its unit direction; None where it has no place or direction.

    Args:
        leaf: its `axis` is read.
        marks: where the marks are.
    """
    through, toward = axis_marks(leaf)
    if through not in marks or (toward is not None and toward not in marks):
        return None
    along = _along(leaf, marks)
    if not any(along):
        return None
    return marks.at(through), point(unit(along))


def _along(leaf: Leaf, marks: Marks) -> Point:
    """The axis' direction, of any length; nothing where two marks are one place."""
    through, toward = axis_marks(leaf)
    if toward is not None:
        return point(np.subtract(marks.at(toward), marks.at(through)))
    along = leaf.axis.along if isinstance(leaf.axis, Axis) else None
    return DIRECTIONS[along] if isinstance(along, str) else along or (0.0, 0.0, 0.0)
