"""Which readings could be taken once more, or anew, at the marks that the gaps hang on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from barwright.fits.chance_draw import Builds
from barwright.fits.gaps_swing import Built
from barwright.geometry.vectors import Floats
from barwright.survey.compile import network_of
from barwright.survey.equations import distance, linearise
from barwright.survey.motion import pushed
from barwright.survey.radii import radius_of

ONE_ROW = frozenset(
    {"tape", "over", "between", "height", "station", "offset", "incline", "corner", "level"}
)
"""The kinds of reading that say one number."""
NEAREST, FARTHEST = 150.0, 5000.0
"""How long a new tape may be [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Candidate:
    """A reading that could be taken.

    Attributes:
        kind, marks: what to read.
        line: of readings.csv where it was read before; None for a new one.
        gradient: (c,) by the builds' columns, divided by its plus/minus.
    """

    kind: str
    marks: tuple[str, ...]
    line: int | None
    gradient: Floats


def candidates(built: Built, builds: Builds) -> list[Candidate]:
    """Readings between the marks that matter: those taken, and tapes not taken yet."""
    used = {built.marks.names[n] for n in np.unique(builds.columns // 3)}
    return [*_taken(built, builds, used), *_new_tapes(built, builds, used)]


def _taken(built: Built, builds: Builds, used: set[str]) -> list[Candidate]:
    readings = [r for r in built.job.readings if r.kind in ONE_ROW and set(r.marks) <= used]
    if not readings:
        return []
    network = network_of(readings, radius_of(built.job), built.marks.names)
    at = linearise(network, np.array(built.marks.xyz))
    chosen = np.zeros((3 * len(built.marks.names), len(builds.columns)))
    chosen[builds.columns, np.arange(len(builds.columns))] = 1.0
    rows = pushed(at, chosen)
    return [
        Candidate(
            kind=readings[i].kind, marks=readings[i].marks, line=readings[i].line, gradient=row
        )
        for i, row in zip(network.reading_of_row, rows, strict=True)
    ]


def _new_tapes(built: Built, builds: Builds, used: set[str]) -> Iterator[Candidate]:
    taped = {
        frozenset(r.marks) for r in built.job.readings if r.kind in {"tape", "over", "between"}
    }
    sd = built.job.default_plus_minus.tape
    number = {name: i for i, name in enumerate(built.marks.names)}
    pairs = [p for p in combinations(sorted(used), 2) if frozenset(p) not in taped]
    if not pairs:
        return
    at = np.array([[number[a], number[b]] for a, b in pairs])
    lengths, gradients = distance(built.marks.xyz[at])
    for pair, ends, length, gradient in zip(pairs, at, lengths, gradients, strict=True):
        if NEAREST <= length <= FARTHEST:
            row = np.zeros(len(builds.columns))
            for n, part in zip(ends, gradient, strict=True):
                row[np.searchsorted(builds.columns, 3 * n + np.arange(3))] = part / sd
            yield Candidate(kind="tape", marks=pair, line=None, gradient=row)
