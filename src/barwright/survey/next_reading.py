"""What to measure next: which one reading would make the least known bar better known.

A new reading with gradient row j and plus/minus s takes Q jᵀ j Q / (s² + j Q jᵀ) from the
covariance Q. All candidates are weighed at once from what that does to the largest sd of any
bar's one end against its other (the root of the largest eigenvalue of the 3 × 3 covariance of
their difference); where no bar is to be made, of any mark. Where it is known as badly in several
directions no single reading shrinks that, and the root of the summed squares is weighed instead.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.vectors import Floats
from barwright.job.schema import Reading
from barwright.survey import equations
from barwright.survey.marks import Candidate

REACH = 5000.0
"""How far apart two marks may be for one tape [mm]."""
NEAREST = 150.0
"""Closer than this a tape says little and hooks badly [mm]."""
WORTH = 0.005
"""A reading that gains less than this share is not worth taking."""
USUAL: Mapping[str, float] = {
    "tape": 0.8,
    "height": 0.8,
    "station": 1.0,
    "offset": 1.0,
    "incline": np.radians(0.2),
}
"""Plus/minus of a kind not yet read in this survey [mm, rad]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Wishes:
    """Candidate readings: kinds, marks, gradient rows in whitened form.

    Attributes:
        kinds: one a candidate.
        marks: (m, 2) mark numbers; -1 for none.
        gradient: (m, 2, 3) by mark, divided by the plus/minus.
        sd: (m,) the plus/minus such a reading usually has.
    """

    kinds: tuple[str, ...]
    marks: NDArray[np.intp]
    gradient: Floats
    sd: Floats

    def some(self, which: NDArray[np.intp]) -> Wishes:
        """Only some of the candidates."""
        return Wishes(
            kinds=tuple(self.kinds[k] for k in which),
            marks=self.marks[which],
            gradient=self.gradient[which],
            sd=self.sd[which],
        )


def _usual(readings: Sequence[Reading], kind: str) -> float:
    found = [r.plus_minus for r in readings if r.kind == kind]
    return float(np.median(found)) if found else USUAL[kind]


def _taken(names: Sequence[str], readings: Sequence[Reading], kind: str) -> NDArray[np.bool_]:
    """(n, n) whether a kind was read between two marks; of one mark alone on the diagonal."""
    index = {name: i for i, name in enumerate(names)}
    same = {"tape": {"tape", "over", "between"}}.get(kind, {kind})
    taken = np.zeros((len(names), len(names)), dtype=bool)
    for r in readings:
        if r.kind in same:
            i, j = index[r.marks[0]], index[r.marks[-1]]
            taken[i, j] = taken[j, i] = True
    return taken


def _pairs(
    kind: str, form: equations.Form, x: Floats, pairs: NDArray[np.intp], sd: float
) -> Wishes:
    _, gradient = form(x[pairs])
    return Wishes(
        kinds=(kind,) * len(pairs),
        marks=pairs,
        gradient=gradient / sd,
        sd=np.full(len(pairs), sd),
    )


def measured(wished: Wishes, x: Floats) -> Floats:
    """What each candidate would read at positions x (n, 3) [mm or rad], (m,)."""
    kinds = np.array(wished.kinds)
    out = np.empty(len(kinds))
    for kind, form in (("tape", equations.distance), ("incline", equations.incline)):
        mine = kinds == kind
        out[mine] = form(x[wished.marks[mine]])[0]
    for kind, axis in equations.AXES.items():
        mine = kinds == kind
        out[mine] = x[wished.marks[mine, 0], axis]
    return out


def wishes(names: Sequence[str], x: Floats, readings: Sequence[Reading]) -> Wishes:
    """Every reading a person could really take and has not taken."""
    n = len(names)
    a, b = np.triu_indices(n, 1)
    apart = np.linalg.norm(x[a] - x[b], axis=1)
    near = (apart <= REACH) & (apart >= NEAREST)
    out = []
    for kind, form in (("tape", equations.distance), ("incline", equations.incline)):
        fresh = near & ~_taken(names, readings, kind)[a, b]
        pairs = np.column_stack((a[fresh], b[fresh])).astype(np.intp)
        if kind == "incline":
            rise = np.abs(x[pairs[:, 0], 2] - x[pairs[:, 1], 2])
            steep = rise > 0.97 * np.linalg.norm(x[pairs[:, 0]] - x[pairs[:, 1]], axis=1)
            pairs = pairs[~steep]
        out.append(_pairs(kind, form, x, pairs, _usual(readings, kind)))
    for kind, axis in equations.AXES.items():
        if not any(r.kind in {kind, "fixed"} for r in readings):
            continue
        fresh = np.flatnonzero(~np.diagonal(_taken(names, readings, kind)))
        gradient = np.zeros((len(fresh), 2, 3))
        sd = np.full(len(fresh), _usual(readings, kind))
        gradient[:, 0, axis] = 1.0 / sd
        marks = np.column_stack((fresh, np.full(len(fresh), -1))).astype(np.intp)
        out.append(Wishes(kinds=(kind,) * len(fresh), marks=marks, gradient=gradient, sd=sd))
    return Wishes(
        kinds=tuple(chain.from_iterable(w.kinds for w in out)),
        marks=np.concatenate([w.marks for w in out]),
        gradient=np.concatenate([w.gradient for w in out]),
        sd=np.concatenate([w.sd for w in out]),
    )


def _spread(blocks: Floats) -> Floats:
    """Largest sd in any direction, of 3 × 3 covariance blocks (..., 3, 3)."""
    return np.asarray(np.sqrt(np.maximum(np.linalg.eigvalsh(blocks)[..., -1], 0.0)))


def _targets(names: Sequence[str], spans: Sequence[tuple[str, str]]) -> NDArray[np.intp]:
    """(t, 2) mark numbers of what is to be known better: bars end to end, or marks (then -1)."""
    index = {name: i for i, name in enumerate(names)}
    known = [(index[a], index[b]) for a, b in spans if a in index and b in index and a != b]
    return np.array(known or [(i, -1) for i in range(len(names))], dtype=np.intp)


def _block(q: Floats, i: NDArray[np.intp], j: NDArray[np.intp]) -> Floats:
    """(t, 3, 3) covariance of mark i less mark j, of mark i alone where j is -1."""
    single = (j < 0)[:, None, None]
    apart = q[i, :, i] + q[j, :, j] - q[i, :, j] - q[j, :, i]
    return np.asarray(np.where(single, q[i, :, i], apart))


def _felt(q: Floats, wished: Wishes, i: int, j: int) -> Floats:
    """(m, 3) Q jᵀ of every candidate, at mark i less mark j."""
    rows = q[i] if j < 0 else q[i] - q[j]
    first, second = wished.marks[:, 0], np.maximum(wished.marks[:, 1], 0)
    felt = np.einsum("amb,mb->ma", rows[:, first], wished.gradient[:, 0])
    return np.asarray(felt + np.einsum("amb,mb->ma", rows[:, second], _second(wished)))


def _second(wished: Wishes) -> Floats:
    return np.where((wished.marks[:, 1] < 0)[:, None], 0.0, wished.gradient[:, 1])


def _own(q: Floats, wished: Wishes) -> Floats:
    """(m,) j Q jᵀ of every candidate."""
    i, j = wished.marks[:, 0], np.maximum(wished.marks[:, 1], 0)
    gi, gj = wished.gradient[:, 0], _second(wished)
    return np.asarray(
        np.einsum("ma,mab,mb->m", gi, q[i, :, i, :], gi)
        + np.einsum("ma,mab,mb->m", gj, q[j, :, j, :], gj)
        + 2.0 * np.einsum("ma,mab,mb->m", gi, q[i, :, j, :], gj)
    )


def _size(blocks: Floats) -> Floats:
    """Root of the summed squares of the sd along the three axes, of blocks (..., 3, 3)."""
    return np.asarray(np.sqrt(np.maximum(np.trace(blocks, axis1=-2, axis2=-1), 0.0)))


def gains(
    covariance: Floats,
    wished: Wishes,
    *,
    targets: NDArray[np.intp] | None = None,
    watch: int = 6,
    worth: float = 0.0,
    spread_of: Callable[[Floats], Floats] = _spread,
) -> Floats:
    """By what share each candidate would shrink the largest sd among the targets, (m,).

    Exact for the targets watched (the least known ones); the others only get better, so the
    gain is never overstated.

    Args:
        covariance: (3n, 3n) of the marks [mm²].
        wished: the candidates.
        targets: (t, 2) mark numbers: one mark less another, or one alone (-1); None for every
            mark.
        watch: how many targets are followed.
        worth: what is found to gain less than this share is followed no further.
        spread_of: (..., 3, 3) covariances to the figure that is to shrink.
    """
    n = len(covariance) // 3
    q = covariance.reshape(n, 3, n, 3)
    if targets is None:
        targets = np.column_stack((np.arange(n), np.full(n, -1)))
    spread = spread_of(_block(q, targets[:, 0], targets[:, 1]))
    worst = np.argsort(-spread)[:watch]
    own = 1.0 + _own(q, wished)[:, None, None]
    least = float(np.delete(spread, worst).max(initial=0.0))
    after = np.full(len(wished.kinds), least)
    hopeless = max(least, (1.0 - worth) * float(spread[worst[0]]))
    for i, j in targets[worst]:
        on = np.flatnonzero(after <= hopeless)
        some = wished.some(on) if len(on) < len(after) else wished
        felt = _felt(q, some, int(i), int(j))
        taken = felt[:, :, None] * felt[:, None, :] / own[on]
        left = _block(q, np.array([i]), np.array([j])) - taken
        after[on] = np.maximum(after[on], spread_of(left))
    return np.asarray(1.0 - after / max(float(spread[worst[0]]), 1e-300))


def next_readings(
    names: Sequence[str],
    x: Floats,
    covariance: Floats,
    readings: Sequence[Reading],
    *,
    spans: Sequence[tuple[str, str]] = (),
    most: int = 5,
) -> tuple[Candidate, ...]:
    """The readings most worth taking next, best first, with the gain in per cent.

    Args:
        names: the marks, n of them.
        x: (n, 3) where they are [mm].
        covariance: (3n, 3n) [mm²].
        readings: those taken.
        spans: the bars to be made, end mark to end mark: the gain is on the least known of
            them; without any, on the least known mark.
        most: how many to name.
    """
    wished, targets = wishes(names, x, readings), _targets(names, spans)
    if not wished.kinds:
        return ()
    order, gain = _best(covariance, wished, targets, _spread, most)
    if not len(order):  # as badly known in several directions: one reading mends one of them
        order, gain = _best(covariance, wished, targets, _size, most)
    return tuple(
        Candidate(
            kind=wished.kinds[k],
            marks=tuple(names[m] for m in wished.marks[k] if m >= 0),
            gain=round(100.0 * float(gain[k]), 2),
        )
        for k in order
    )


def _best(
    covariance: Floats,
    wished: Wishes,
    targets: NDArray[np.intp],
    spread_of: Callable[[Floats], Floats],
    most: int,
) -> tuple[NDArray[np.intp], Floats]:
    """Numbers of the candidates worth taking, best first, and the gain of every candidate."""
    gain = gains(covariance, wished, targets=targets, worth=WORTH, spread_of=spread_of)
    likely = np.argsort(-np.round(gain, 6), kind="stable")[: 6 * most]
    gain[likely] = gains(
        covariance,
        wished.some(likely),
        targets=targets,
        watch=len(targets),
        spread_of=spread_of,
    )
    order = likely[np.argsort(-np.round(gain[likely], 6), kind="stable")][:most]
    return order[gain[order] > WORTH], gain
