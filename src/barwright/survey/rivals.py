"""Whether a second answer fits about as well, and the reading that would tell them apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.survey.adjust import Linearised
from barwright.survey.adjust_many import adjust_many
from barwright.survey.blunders import Settled, settle
from barwright.survey.equations import AXES, linearise
from barwright.survey.flips import other_starts
from barwright.survey.marks import Candidate, Rival
from barwright.survey.next_reading import measured, wishes

CLOSE = 10.83
"""Chi-square difference up to which two answers fit about equally well (0.1 %, one degree)."""
ELSEWHERE = 6.0
"""A mark stands elsewhere when the answers are this far apart at least [mm], and 3 sd."""
BACK = 1.0
"""A start that comes this near the answer at hand leads back to it [mm]."""
ROOM = 4e6
"""So many entries of normal matrices are held at once."""


def _answers_from(settled: Settled, starts: Sequence[Floats]) -> Iterator[Floats]:
    """The answers (n, 3) that starts lead to and that fit about as well as the one at hand.

    A start is given up early where it will hardly come below the bound, or is back at the
    answer at hand.
    """
    bound = settled.adjusted.cost + CLOSE
    n = len(settled.x)

    def readings(v: Floats) -> Linearised:
        return linearise(settled.network, v.reshape(-1, n, 3))

    def back(v: Floats) -> NDArray[np.bool_]:
        return _apart(settled, v.reshape(-1, n, 3)) < BACK

    at_once = max(1, int(ROOM / (3 * n) ** 2))
    for k in range(0, len(starts), at_once):
        x = np.array(starts[k : k + at_once]).reshape(-1, 3 * n)
        x, cost = adjust_many(readings, x, most=6, tolerance=1e-3, damping=1e-6, enough=back)
        x = x[(cost <= 20.0 * bound + 1000.0) & ~back(x)]
        if not len(x):
            continue
        x, cost = adjust_many(readings, x, most=30, tolerance=1e-3, damping=1e-7, enough=back)
        yield from x[(cost <= bound) & ~back(x)].reshape(-1, n, 3)


def second_answers(
    settled: Settled, more: Sequence[Floats] = ()
) -> tuple[Settled, tuple[Settled, ...]]:
    """The best answer, and others that fit about equally well.

    Args:
        settled: the answer at hand.
        more: starts (n, 3) known from the search.

    Returns:
        The better answer where one was found, and the rivals, the closest in fit first.
    """
    for _ in range(4):
        rivals: list[Settled] = []
        better: Settled | None = None
        starts = (*more, *other_starts(settled.network, settled.x, settled.covariance))
        for x in _answers_from(settled, starts):
            if _apart(settled, x[None])[0] < ELSEWHERE / 2.0:
                continue
            try:
                other = settle(settled.network, settled.used, x)
            except np.linalg.LinAlgError:
                continue
            if not _elsewhere(settled, other) or any(not _elsewhere(r, other) for r in rivals):
                continue
            if other.adjusted.cost < settled.adjusted.cost - 1e-6:
                better = other if better is None else min(better, other, key=_cost)
            rivals.append(other)
        if better is None:
            break
        settled = better
    rivals.sort(key=_cost)
    return settled, tuple(rivals)


def _apart(settled: Settled, others: Floats) -> Floats:
    """How far other answers (s, n, 3) are from one, at the worst mark [mm], (s,).

    Where the whole is free to move it is how far their distances between marks are.
    """
    if not settled.datum.defect:
        return np.asarray(np.abs(others - settled.x).max(axis=(1, 2)))
    home = np.linalg.norm(settled.x[:, None] - settled.x, axis=2)
    return np.array(
        [np.abs(np.linalg.norm(x[:, None] - x, axis=2) - home).max() for x in others], dtype=float
    )


def _cost(settled: Settled) -> float:
    return settled.adjusted.cost


def _elsewhere(one: Settled, other: Settled) -> tuple[int, ...]:
    """The marks that stand elsewhere, the farthest first."""
    apart = np.linalg.norm(one.x - other.x, axis=1)
    n = len(apart)
    q = one.covariance.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n), :]
    p = other.covariance.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n), :]
    least = np.minimum(np.trace(q, axis1=1, axis2=2), np.trace(p, axis1=1, axis2=2))
    moved = apart > np.maximum(ELSEWHERE, 3.0 * np.sqrt(least))
    return tuple(int(i) for i in np.argsort(-apart, kind="stable") if moved[i])


def _decides(one: Settled, other: Settled) -> Candidate | None:
    """The reading whose value differs most between two answers, in its own sd."""
    names = one.network.names
    free = {AXES[kind] for kind in AXES if _names_axis(kind) in one.datum.missing}
    wished = wishes(names, one.x, one.network.readings)
    keep = [k for k, kind in enumerate(wished.kinds) if AXES.get(kind, -1) not in free]
    if not keep:
        return None
    first, second = measured(wished, one.x), measured(wished, other.x)
    sd = wished.sd
    ratio = np.abs(first - second) / sd
    k = max(keep, key=lambda i: (round(float(ratio[i]), 6), -i))
    if ratio[k] < 1.0:
        return None
    return Candidate(
        kind=wished.kinds[k],
        marks=tuple(names[m] for m in wished.marks[k] if m >= 0),
        gain=round(float(ratio[k]), 2),
    )


def _names_axis(kind: str) -> str:
    return {"station": "forward", "offset": "left", "height": "up"}[kind]


def rival_of(settled: Settled, other: Settled) -> Rival:
    """A second answer as it is told to people."""
    moved = _elsewhere(settled, other)
    xyz = np.array(other.x)
    xyz.setflags(write=False)
    return Rival(
        moved=tuple(settled.network.names[i] for i in moved),
        xyz=xyz,
        apart=float(np.linalg.norm(settled.x[moved[0]] - other.x[moved[0]])),
        chi2_more=other.adjusted.cost - settled.adjusted.cost,
        decides=_decides(settled, other),
    )
