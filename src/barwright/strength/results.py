"""What the strength stage knows: every case with what governs it, and the frame it was found on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.findings import Finding
from barwright.geometry.vectors import Floats
from barwright.strength.frame import Answer
from barwright.strength.loads import Case
from barwright.strength.model import Model
from barwright.strength.plastic import Pushover

CAUTIONS = (
    "Not a homologation and no rule's test: a bar model with public and remembered figures.",
    "The steel is taken at table values: what counts is the mill certificate of the tube used.",
    "Welds are taken as sound, full-size and made by qualified hands; nothing here sees a weld.",
    "The rule book, the scrutineer and a licensed engineer decide whether it may be used.",
)
"""What stands before every result."""


@dataclass(frozen=True, kw_only=True)
class Use:
    """The most used place of one kind.

    Attributes:
        share: of the strength used; 1 is all of it.
        where: the bar, weld or bolt.
        along: how far along the bar [mm]; 0 for a bolt.
    """

    share: float
    where: str
    along: float = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Held:
    """How the frame stands one case.

    Attributes:
        case: the case, its force with the job's safety factor on.
        yields: first yield of a tube, second order.
        column: a length of bar as a column, second order.
        weld: a seam.
        bolt: hinge bolt, its cheeks, or striker bolt; None where no hardware gives their sizes.
        buckling: load factor at which the whole frame buckles elastically; where
            `buckling_beyond`, one that it surely stands: ten times the load and more than all
            else allows.
        collapse: load factor it is sure to carry, plastic hinges allowed (lower bound).
        pushover: how it folds up; None where the elastic answer alone shows twice the load.
        shift: the largest shift [mm], second order, and the bar it is on.
        stable: whether the second-order answer exists.
        hinge, latch: the largest force on any leaf's hinge and latch [N]; 0 without a leaf.
    """

    case: Case
    yields: Use
    column: Use
    weld: Use
    bolt: Use | None
    buckling: float
    collapse: float
    pushover: Pushover | None
    shift: Use
    stable: bool
    hinge: float
    latch: float
    buckling_beyond: bool = False

    @property
    def factor(self) -> float:
        """The load factor it stands, everything counted: collapse, buckling, welds, bolts."""
        limits = [self.collapse, self.buckling, _over(self.weld)]
        if self.bolt is not None:
            limits.append(_over(self.bolt))
        return min(limits) if self.stable else min(*limits, self.buckling, 1.0 - 1e-9)

    @property
    def margin(self) -> float:
        """How much more than the case it stands, as a share of it; below 0 it falls short."""
        return self.factor - 1.0

    @property
    def governs(self) -> str:
        """Which of them is the least."""
        rows = [
            (self.collapse, "collapse of the frame"),
            (self.buckling, "buckling of the frame"),
            (_over(self.weld), f"the weld on {self.weld.where}"),
        ]
        if self.bolt is not None:
            rows.append((_over(self.bolt), self.bolt.where))
        return min(rows)[1]


def _over(use: Use) -> float:
    return 1.0 / use.share if use.share > 0.0 else float("inf")


@dataclass(frozen=True, kw_only=True, eq=False)
class Strength:
    """What is known about the strength of a job.

    Attributes:
        cautions: to be shown before anything else.
        held: one a case.
        model: the frame; None where there is none to be held.
        answer: second-order movements and forces of the cases, NaN where unstable.
        findings: what was checked.
    """

    cautions: tuple[str, ...] = CAUTIONS
    held: tuple[Held, ...] = ()
    model: Model | None = None
    answer: Answer | None = None
    findings: tuple[Finding, ...] = ()


def runs_of(strength: Strength) -> tuple[tuple[str, tuple[int, ...]], ...]:
    """For a picture of the frame: each bar's name, and the nodes of the model along it."""
    if strength.model is None:
        return ()
    mesh = strength.model.mesh
    return tuple(
        (bar.name, tuple(n for _, n in stations))
        for bar, stations in zip(mesh.bars, mesh.stations, strict=True)
    )


def moves_of(strength: Strength, case: int) -> Floats:
    """How a case moves the nodes on the bars, shape (n, 3) [mm]: not, where there is no answer."""
    if strength.model is None or strength.answer is None:
        return np.zeros((0, 3))
    moves = strength.answer.moves[case, : len(strength.model.mesh.nodes), :3]
    return np.asarray(np.where(np.isfinite(moves), moves, 0.0))
