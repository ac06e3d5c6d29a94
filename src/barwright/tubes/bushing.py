"""The bushing on a leaf's hinge end: the short tube across it that the leaf's bar is coped to.

A bar that ends on its leaf's hinge axis is welded to a bushing that turns on the pin. Its sizes
are the hinge fitting's, as written in the leaf's table or by the same default; the rest of the
hinge is worked out a few floors further up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.cope import cylinder_cope
from barwright.geometry.path import Centreline, Straight
from barwright.geometry.pose import mirrored
from barwright.geometry.vectors import Floats, Point, point
from barwright.job.lengths import parse_length
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.tubes.axis import axis_of
from barwright.tubes.bars import Bushing
from barwright.tubes.meeting import Site
from barwright.tubes.shape import TWIN, Shape

BOXED = "boxed-hinge"
"""The fitting whose bushing has a size even where none is written."""


def hinge_diameters(
    *,
    inches: bool,
    bolt: float | None = None,
    spacer_od: float | None = None,
    bushing_od: float | None = None,
) -> tuple[float, float, float]:
    """Of a hinge's bolt, sleeve and bushing [mm]: bought sizes where none is given.

    Args:
        inches: whether sizes are chosen from the inch series: 1/2 in, 1/4 in more, 3/8 in more.
        bolt: its diameter [mm].
        spacer_od: outside diameter of the sleeve on the bolt [mm].
        bushing_od: outside diameter of the bushing on the sleeve [mm].

    >>> hinge_diameters(inches=False), hinge_diameters(inches=False, bolt=16.0)
    ((12.0, 18.0, 27.0), (16.0, 22.0, 31.0))
    """
    pin = bolt or (12.7 if inches else 12.0)
    sleeve = spacer_od or pin + (6.35 if inches else 6.0)
    return pin, sleeve, bushing_od or sleeve + (9.525 if inches else 9.0)


def bushing_at(
    job: Job, marks: Marks, here: Site, everyone: tuple[Shape, ...]
) -> tuple[Bushing, Floats] | None:
    """The bushing an end is coped to, and where the end is clear of it, shape (360,) [mm].

    None where the leaf has no hinge fitting with a bushing, another end of the leaf is nearer
    its axis, the end stays short of the bushing by more than the bar's diameter, or the bar runs
    along the axis.
    """
    leaf = here.shape.leaf
    od = None if leaf not in job.leaf else _od(job, leaf)
    axis = None if od is None else axis_of(job.leaf[leaf], marks)
    if od is None or axis is None or not _is_nearest(here, axis, everyone):
        return None
    if _off(here.tip.origin, axis) > od / 2.0 + 2.0 * here.shape.radius:
        return None
    bushing = _bushing(f"{leaf}.hinge.bushing", here.tip.origin, axis, od)
    try:
        return bushing, cylinder_cope(here.tip, *axis, od / 2.0)
    except ValueError:
        return None


def bushing_finding(here: Site, bushing: Bushing) -> tuple[Finding, ...]:
    """What is to be said of a bushing thinner than the bar: the saddle stays open at its sides."""
    bar = here.shape
    if bushing.radius >= bar.radius - 0.1:
        return ()
    return (
        Finding(
            code="tubes.wider",
            level=Level.LOOK,
            subject=f"bar.{bar.name}",
            says=f"{bar.name} is {2.0 * bar.radius:.1f} mm wide, its bushing at {here.mark} "
            f"{2.0 * bushing.radius:.1f} mm: the wall runs past on both sides with a gap of "
            f"{bar.radius - bar.wall - bushing.radius:.1f} mm or more.",
            measured=2.0 * bushing.radius,
            allowed=2.0 * bar.radius,
            unit="mm",
            source="geometry",
            remedy=f"set bushing_od to {2.0 * bar.radius:.1f} mm in [leaf.{bar.leaf}.hinge], "
            "or cap the two open sides",
        ),
    )


def mirrored_bushing(bushing: Bushing) -> Bushing:
    """The same on the other side of the centre plane."""
    flip = mirrored()
    line = bushing.centreline.pieces[0]
    assert isinstance(line, Straight)  # noqa: S101 - as made below
    ends = Straight(start=point(flip.points(line.start)), end=point(flip.points(line.end)))
    return Bushing(
        name=bushing.name + TWIN, radius=bushing.radius, centreline=Centreline(pieces=(ends,))
    )


def _bushing(name: str, near: Point, axis: tuple[Point, Point], od: float) -> Bushing:
    """A stretch of the axis beside a point, one and a half diameters either way."""
    through, along = np.array(axis[0]), np.array(axis[1])
    foot = through + float((np.array(near) - through) @ along) * along
    line = Straight(start=point(foot - 1.5 * od * along), end=point(foot + 1.5 * od * along))
    return Bushing(name=name, radius=od / 2.0, centreline=Centreline(pieces=(line,)))


def _is_nearest(here: Site, axis: tuple[Point, Point], everyone: tuple[Shape, ...]) -> bool:
    """Whether no other end of the leaf's bars lies nearer the axis."""
    own = [end for s in everyone if s.leaf == here.shape.leaf for end in s.ends]
    return _off(here.tip.origin, axis) <= min(_off(end, axis) for end in own) + 1e-9


def _off(at: Point, axis: tuple[Point, Point]) -> float:
    """How far a point lies from the axis [mm]."""
    return float(np.linalg.norm(np.cross(np.subtract(at, axis[0]), axis[1])))


def _od(job: Job, leaf: str) -> float | None:
    """The bushing's outside diameter [mm]; None for a hinge without one.

    What cannot be read is left for the fitting, which reads the same table and says so.
    """
    hinge = job.leaf[leaf].hinge
    if hinge is None:
        return None
    written = dict(hinge.model_extra or {})
    if hinge.fitting != BOXED and "bushing_od" not in written:
        return None
    names = ("bolt", "spacer_od", "bushing_od")
    try:
        sizes = {n: _length(written, n, job.job.unit) for n in names if n in written}
    except ValueError:
        return None
    return hinge_diameters(inches=job.job.unit == "in", **sizes)[2]


def _length(written: Mapping[str, Any], name: str, unit: str) -> float:
    """A length above nothing as written. Raises ValueError."""
    size = parse_length(written[name], unit)
    if not 0.0 < size < math.inf:
        raise ValueError(f"{name} is no size")
    return size
