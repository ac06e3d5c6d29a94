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
    """

    names: tuple[str, ...]
    xyz: Floats
    covariance: Floats
    fitted: tuple[Fitted, ...] = ()
    sigma0: float = 1.0
    freedom: int = 0
    next_reading: tuple[Candidate, ...] = ()

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
        return point(np.sqrt(np.diag(self.covariance)[i : i + 3]))
