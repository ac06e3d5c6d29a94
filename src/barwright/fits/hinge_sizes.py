"""Which sizes does a leaf's hinge have? From its generated hardware, and what the job says."""

from __future__ import annotations

import math
from typing import Protocol

import numpy as np

from barwright.fits.hinge_stack import Stack, fit_limits
from barwright.job.errors import BadInput, Fault
from barwright.job.load_cases import FitTable
from barwright.job.schema import Job
from barwright.plates.part import Hardware, Part
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion

ROUND_HOLE = 0.25
"""What a pivot hole is drilled over its bolt [mm] where nothing says so: common practice."""


class HasParts(Protocol):
    """What the plates stage hands on, as far as it is read here."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """The plates."""

    @property
    def hardware(self) -> tuple[Hardware, ...]:
        """The bought and turned parts."""


def stack_of(job: Job, parts: HasParts, motion: Motion, marks: Marks) -> Stack | None:
    """The hinge stack of a leaf; None when neither hardware nor a [fit] table gives its sizes.

    Raises:
        BadInput: a [fit] table gives some sizes but not all, or a fit that is not held.
    """
    table = job.fit.get(motion.leaf)
    made = _hardware(parts, motion.leaf)
    t = table or FitTable()
    sizes = {
        "bushing": t.bushing or made.get("bushing.length"),
        "bushing_od": t.bushing_od or made.get("bushing.od"),
        "spacer": t.spacer or made.get("spacer-upper.length"),
        "spacer_od": t.spacer_od or made.get("spacer-upper.od"),
        "bolt": t.bolt or made.get("bolt.od"),
    }
    missing = [name for name, size in sizes.items() if size is None]
    if missing and table is None:
        return None
    if missing:
        raise BadInput(*(_missing(motion.leaf, name) for name in missing))
    known = {name: float(size) for name, size in sizes.items() if size is not None}
    stack = Stack(
        leaf=motion.leaf,
        **known,
        hole=t.hole or _hole(parts, motion.leaf, known["bolt"]),
        gap=t.gap or 2.0 * known["spacer"],
        running=t.running or ("RC4" if job.job.unit == "in" else "H8/f7"),
        length_tolerance=t.length_tolerance,
        gap_tolerance=t.gap_tolerance,
        bolt_slack=t.bolt_slack,
        reach=_reach(job, motion, marks),
        housing_od=t.housing_od or 0.0,
        press=t.press or "",
    )
    _checked(stack)
    return stack


def _hardware(parts: HasParts, leaf: str) -> dict[str, float]:
    """Sizes of the leaf's hinge hardware by "part.dimension"."""
    head = f"{leaf}.hinge."
    return {
        f"{h.name.removeprefix(head)}.{name}": size
        for h in parts.hardware
        if h.name.startswith(head)
        for name, size in h.dims
    }


def _hole(parts: HasParts, leaf: str, bolt: float) -> float:
    """The pivot hole in the cheeks: the smallest round one the bolt goes through."""
    found = [
        math.dist(a[:2], b[:2])
        for p in parts.parts
        if p.name.startswith(f"{leaf}.hinge.cheek")
        for hole in p.holes
        if len(hole.vertices) == 2
        for a, b in [hole.vertices]
    ]
    return min((d for d in found if d >= bolt), default=bolt + ROUND_HOLE)


def _reach(job: Job, motion: Motion, marks: Marks) -> float:
    """From the axis to the farthest mark of the leaf's bars [mm]."""
    bars = [job.bar[b] for b in motion.bars if b in job.bar]
    names = {m for b in bars for m in (*(b.path or ()), b.from_, b.to) if m and m in marks}
    axis, through = np.array(motion.along), np.array(motion.through)
    arms = [np.cross(np.array(marks.at(n)) - through, axis) for n in names]
    return max((float(np.linalg.norm(a)) for a in arms), default=0.0)


def _missing(leaf: str, name: str) -> Fault:
    return Fault(
        file="job.toml",
        entry=f"fit.{leaf}.{name}",
        expected="a length: no fitting of the leaf gives this size",
        do=f"add {name} to [fit.{leaf}], or a hinge fitting to [leaf.{leaf}]",
    )


def _checked(stack: Stack) -> None:
    """Every fit must be one the tables hold, and a pressed bushing needs its housing.

    Raises:
        BadInput: it does not.
    """
    faults = []
    for field, size, code in (
        ("running", stack.spacer_od, stack.running),
        ("press", stack.bushing_od, stack.press),
    ):
        try:
            if code:
                fit_limits(size, code)
        except ValueError as error:
            faults.append(_refused(stack.leaf, field, code, str(error)))
    if stack.press and stack.housing_od <= stack.bushing_od:
        what = f"more than the bushing's {stack.bushing_od:g} mm"
        faults.append(_refused(stack.leaf, "housing_od", f"{stack.housing_od:g} mm", what))
    if stack.spacer_od >= stack.bushing_od:
        what = f"more than the spacer's {stack.spacer_od:g} mm"
        faults.append(_refused(stack.leaf, "bushing_od", f"{stack.bushing_od:g} mm", what))
    if stack.bolt >= stack.spacer_od:
        what = f"less than the spacer's {stack.spacer_od:g} mm"
        faults.append(_refused(stack.leaf, "bolt", f"{stack.bolt:g} mm", what))
    if faults:
        raise BadInput(*faults)


def _refused(leaf: str, field: str, read: str, expected: str) -> Fault:
    return Fault(
        file="job.toml",
        entry=f"fit.{leaf}.{field}",
        read=read,
        expected=expected,
        do=f"correct {field} in [fit.{leaf}]",
    )
