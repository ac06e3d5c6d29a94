"""What fits, and by how much? Every hinge of the job, one stage of the route."""

from __future__ import annotations

from dataclasses import dataclass

from barwright.findings import Finding
from barwright.fits.hinge_findings import hinge_findings
from barwright.fits.hinge_sizes import HasParts, stack_of
from barwright.fits.hinge_stack import HingeFit, hinge_fit
from barwright.job.errors import BadInput, Fault
from barwright.job.load_cases import FitTable
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.swing.motion import Motion


@dataclass(frozen=True, kw_only=True)
class Fits:
    """What is known about the fits.

    Attributes:
        hinges: one a leaf whose hinge sizes are known; a twin is the same and not repeated.
        findings: what was checked.
    """

    hinges: tuple[HingeFit, ...] = ()
    findings: tuple[Finding, ...] = ()


def fits(job: Job, parts: HasParts, motions: tuple[Motion, ...], marks: Marks) -> Fits:
    """The fits of every leaf's hinge.

    Args:
        job: its [fit] tables say what the hardware does not.
        parts: plates and hardware, as made.
        motions: how the leaves move.
        marks: where the marks are.

    Raises:
        BadInput: a [fit] table for no leaf, with sizes missing, or a fit that is not held.
    """
    _known(job)
    stacks = [stack_of(job, parts, m, marks) for m in motions if not m.twin_of]
    hinges = tuple(hinge_fit(s) for s in stacks if s is not None)
    return Fits(hinges=hinges, findings=tuple(f for h in hinges for f in _findings(job, h)))


def _findings(job: Job, hinge: HingeFit) -> tuple[Finding, ...]:
    table = job.fit.get(hinge.stack.leaf) or FitTable()
    near = table.weld_near
    welded = not table.press and (near is None or near < hinge.stack.bushing_od)
    return hinge_findings(hinge, wanted=table.end_float, play=table.play, welded=welded)


def _known(job: Job) -> None:
    """Every [fit] table must be about a leaf.

    Raises:
        BadInput: one is not.
    """
    lost = [name for name in job.fit if name not in job.leaf]
    if lost:
        leaves = ", ".join(job.leaf) or "none"
        raise BadInput(
            *(
                Fault(
                    file="job.toml",
                    entry=f"fit.{name}",
                    read=name,
                    expected=f"the name of a leaf; the job has {leaves}",
                    do=f"rename [fit.{name}] to the leaf it is about, or take it out",
                )
                for name in lost
            )
        )
