"""What the survey found: the marks, their doubt, and how each reading fitted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from barwright.geometry.vectors import Floats, Point, point
from barwright.job.schema import Reading


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """How one reading fitted.

    Attributes:
        reading: the reading itself.
        residual: adjusted minus read [mm, or rad for angles]; for a kind with several equations
            (line, flat, plumb, middle, pair, fixed) the largest departure.
        suspect: whether it disagrees with the rest beyond chance.
        redundancy: 0..1, the share of a blunder that would show in its residual.
    """

    reading: Reading
    residual: float
    suspect: bool
    redundancy: float


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """A reading worth taking next: its kind, its marks, and the gain in per cent."""

    kind: str
    marks: tuple[str, ...]
    gain: float


@dataclass(frozen=True, kw_only=True)
class Mistake:
    """A likely mistake behind a suspect reading, found by trying it out.

    Attributes:
        line: the reading's line in readings.csv.
        says: the mistake in words, e.g. "an inch off".
        instead: what would fit [mm, or rad for angles]; None where it is not the value.
        marks: the marks it was probably taken to.
        left: how far from fitting it still is, in sd.
    """

    line: int
    says: str
    instead: float | None = None
    marks: tuple[str, ...] = ()
    left: float = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Rival:
    """A second answer that fits about equally well.

    Attributes:
        moved: the marks that stand elsewhere in it, the farthest first.
        xyz: shape (n, 3) [mm] all marks in the second answer, read-only.
        apart: how far the farthest stands from the first answer [mm].
        chi2_more: how much worse it fits: sum of squared whitened residuals above the first's.
        decides: the reading that would tell the two apart, and by how many of its sd.
    """

    moved: tuple[str, ...]
    xyz: Floats
    apart: float
    chi2_more: float
    decides: Candidate | None = None


@dataclass(frozen=True, kw_only=True)
class Report:
    """How the adjustment went.

    Attributes:
        start: how the start was found.
        tried: how many starts were tried.
        seed: of the random starts.
        steps: iterations of the last adjustment.
        last_step: its largest last change of a coordinate, in sd.
        converged: whether that is small enough.
        certain: False where no start fitted as well as the plus/minus promises, so that a
            better answer may exist.
        chi2: sum of squared whitened residuals of the readings used.
        chi2_allowed: its upper bound at 0.1 %.
        left_out: lines of the suspect readings, left out of the answer.
        scaled: the factor by which the sd were raised since the readings scatter more than
            their plus/minus says; 1.0 where they do not.
        others: how many other answers were met on the way that fit nearly as well.
    """

    start: str = ""
    tried: int = 0
    seed: int = 1
    steps: int = 0
    last_step: float = 0.0
    converged: bool = True
    certain: bool = True
    chi2: float = 0.0
    chi2_allowed: float = 0.0
    left_out: tuple[int, ...] = ()
    scaled: float = 1.0
    others: int = 0


@dataclass(frozen=True, kw_only=True, eq=False)
class Marks:
    """Adjusted marks. Compared by identity: a stage makes one, later stages read it.

    Attributes:
        names: the marks, n of them.
        xyz: shape (n, 3) [mm], read-only.
        covariance: shape (3n, 3n) [mm²], ordered x, y, z by mark, read-only.
        fitted: one a reading, in the order of readings.csv.
        sigma0: the factor by which residuals exceed what the plus/minus promised.
        freedom: readings' equations less unknowns found.
        next_reading: what to measure next, best first.
        rank_defect: what no reading says about the whole: "forward", "left", "up", "about x" …
        mirrored: the mirror image fits as well; the side was chosen by convention.
        rivals: second answers that fit about equally well.
        mistakes: likely mistakes behind the suspect readings.
        either: groups of readings' lines that cannot be told apart: one of each is wrong.
        report: how the adjustment went.
    """

    names: tuple[str, ...]
    xyz: Floats
    covariance: Floats
    fitted: tuple[Fitted, ...] = ()
    sigma0: float = 1.0
    freedom: int = 0
    next_reading: tuple[Candidate, ...] = ()
    rank_defect: tuple[str, ...] = ()
    mirrored: bool = False
    rivals: tuple[Rival, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    either: tuple[tuple[int, ...], ...] = ()
    report: Report = Report()

    @cached_property
    def _index(self) -> dict[str, int]:
        return {name: i for i, name in enumerate(self.names)}

    def __contains__(self, name: object) -> bool:
        return name in self._index

    def at(self, name: str) -> Point:
        """Where a mark is [mm].

        Raises:
            KeyError: no such mark.
        """
        return point(self.xyz[self._index[name]])

    def sd(self, name: str) -> Point:
        """One standard deviation of a mark's x, y and z [mm]."""
        i = 3 * self._index[name]
        return point(np.sqrt(np.maximum(np.diag(self.covariance)[i : i + 3], 0.0)))
