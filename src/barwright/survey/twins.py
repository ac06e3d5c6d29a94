"""How symmetrical the frame really is, and whether a mirrored part fits the other side.

A `pair` reading pulls its marks into symmetry, so it proves nothing about it: the survey is
adjusted again without them. Where it does not hold together then, the symmetry was assumed and
not measured, and that is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from barwright.findings import Finding, Level
from barwright.geometry.vectors import Floats, Point, point
from barwright.job.schema import Reading
from barwright.survey.blunders import settle
from barwright.survey.compile import names_of, network_of
from barwright.survey.derived import covariance_among
from barwright.survey.floating import find_loose
from barwright.survey.marks import Marks
from barwright.survey.solve import NONE

MIRROR = np.array((1.0, -1.0, 1.0))
ASIDE = 20.0
"""Nearer to the centre plane a mark has no twin but itself [mm]."""
FACING = 60.0
"""Farther from the other's mirror image two marks are no pair [mm]."""
DRAWN = 400
"""Surveys drawn for the doubt of a twin's fit."""


@dataclass(frozen=True, kw_only=True)
class Departure:
    """How far a pair of marks is from being mirror images across the centre plane.

    Attributes:
        left: one mark; right: the other.
        off: left less the mirror image of right [mm].
        sd: one standard deviation of each.
        beyond: the chi-square of `off` over its 0.1 % bound; above 1 it is no chance.
    """

    left: str
    right: str
    off: Point
    sd: Point
    beyond: float


@dataclass(frozen=True, kw_only=True)
class Symmetry:
    """How symmetrical the frame is.

    Attributes:
        pairs: every pair, the farthest off first.
        rms: root mean square of all their departures [mm].
        measured: False where no pair's two marks hold without the pair readings.
    """

    pairs: tuple[Departure, ...]
    rms: float
    measured: bool


@dataclass(frozen=True, kw_only=True)
class TwinFit:
    """Whether the mirrored part fits the other side.

    Attributes:
        part: which.
        gap: what the part may be off at any mark [mm].
        off: how far the mirrored part's worst mark is off, once it is set in as well as it
            goes [mm]; sd: of that.
        fits: whether it is within the gap.
    """

    part: str
    gap: float
    off: float
    sd: float
    fits: bool


def pairs_of(
    readings: Sequence[Reading], marks: Marks | None = None
) -> tuple[tuple[str, str], ...]:
    """The pairs the readings speak of, then those that stand where pairs would, each once.

    Args:
        readings: as written down.
        marks: where they are; without it only pair readings count.
    """
    told = dict.fromkeys(r.marks for r in readings if r.kind == "pair")
    found = [(m[0], m[1]) for m in told]
    known = {name for pair in found for name in pair}
    return (*found, *(p for p in _facing(marks) if not known & set(p))) if marks else tuple(found)


def _facing(marks: Marks) -> Iterator[tuple[str, str]]:
    """Marks left and right of the centre plane, each the nearest to the other's mirror image."""
    left, right = (np.flatnonzero(s * marks.xyz[:, 1] > ASIDE) for s in (1.0, -1.0))
    if not (len(left) and len(right)):
        return
    apart = np.linalg.norm(marks.xyz[left][:, None] - (marks.xyz[right] * MIRROR)[None], axis=2)
    for i, j in enumerate(apart.argmin(axis=1)):
        if apart[:, j].argmin() == i and apart[i, j] <= FACING:
            yield marks.names[left[i]], marks.names[right[j]]


def departures(marks: Marks, pairs: Sequence[tuple[str, str]]) -> list[Departure]:
    """How far the two marks of each pair are from being mirror images, with its doubt.

    Raises:
        KeyError: no such mark.
    """
    if not pairs:
        return []
    index = {name: i for i, name in enumerate(marks.names)}
    both = np.array([[index[a], index[b]] for a, b in pairs])
    axes = (3 * both[:, :, None] + np.arange(3)).reshape(-1, 6)
    off = marks.xyz[both[:, 0]] - MIRROR * marks.xyz[both[:, 1]]
    g = np.hstack((np.eye(3), -np.diag(MIRROR)))
    q = g @ marks.covariance[axes[:, :, None], axes[:, None]] @ g.T
    chi2 = np.einsum("pa,pab,pb->p", off, np.linalg.pinv(q, hermitian=True), off)
    sd = np.sqrt(np.maximum(np.diagonal(q, axis1=1, axis2=2), 0.0))
    return [
        Departure(left=a, right=b, off=point(o), sd=point(s), beyond=c / 16.266)
        for (a, b), o, s, c in zip(pairs, off, sd, chi2.tolist(), strict=True)
    ]


def unforced(
    marks: Marks, readings: Sequence[Reading], radius_of: Mapping[str, float] = NONE
) -> Marks | None:
    """The survey adjusted again without its pair readings; None where it does not hold then.

    Marks that nothing but pair readings speak of are not in it.

    Args:
        marks: the survey with them: where to start, and which readings it left out.
        readings: as written down.
        radius_of: as given to `solve`.
    """
    out = set(marks.report.left_out)
    rest = [r for r in readings if r.kind != "pair" and r.line not in out]
    if len(rest) + len(out) == len(readings):
        return marks
    names = names_of(rest)
    x = np.array([marks.at(name) for name in names]).reshape(-1, 3)
    network = network_of(rest, radius_of, names)
    if not rest or find_loose(network, x) is not None:
        return None
    try:
        settled = settle(network, range(len(rest)), x)
    except np.linalg.LinAlgError:
        return None
    return replace(marks, names=names, xyz=settled.x, covariance=settled.covariance)


def symmetry(
    marks: Marks,
    readings: Sequence[Reading],
    *,
    free: Marks | None = None,
    pairs: Sequence[tuple[str, str]] | None = None,
) -> Symmetry:
    """How symmetrical the frame is.

    Args:
        marks: the survey with all its readings.
        readings: as written down.
        free: the survey without the pair readings (`unforced`), where it holds.
        pairs: left and right; None takes those of the pair readings.
    """
    told = free or marks
    pairs = pairs_of(readings) if pairs is None else pairs
    found = departures(told, [(a, b) for a, b in pairs if a in told and b in told])
    found.sort(key=lambda d: -math.hypot(*d.off))
    square = [c * c for d in found for c in d.off]
    return Symmetry(
        pairs=tuple(found),
        rms=math.sqrt(sum(square) / max(len(square), 1)),
        measured=free is not None and (bool(found) or not pairs),
    )


def _set_in(part: Floats, seat: Floats) -> Floats:
    """Parts (…, m, 3) turned and slid, never mirrored, to lie on their seats as well as they go.

    Source: Kabsch 1976 (from memory).
    """
    a, b = part.mean(axis=-2, keepdims=True), seat.mean(axis=-2, keepdims=True)
    u, _, vt = np.linalg.svd(np.swapaxes(part - a, -1, -2) @ (seat - b))
    side = np.ones(u.shape[:-1])
    side[..., 2] = np.sign(np.linalg.det(u @ vt))
    return np.asarray((part - a) @ ((u * side[..., None, :]) @ vt) + b)


@lru_cache(maxsize=8)
def _draws(count: int) -> Floats:
    """(DRAWN, count) of the standard normal distribution, the same every time."""
    return np.random.default_rng(7).normal(size=(DRAWN, count))


def twin_fit(
    marks: Marks, part: str, lefts: Sequence[str], rights: Sequence[str], gap: float
) -> TwinFit:
    """Whether a part made to the left marks and mirrored fits the right marks.

    Args:
        marks: a survey whose symmetry was not forced.
        part: its name.
        lefts: the marks it is made to.
        rights: their twins, in the same order.
        gap: what it may be off at a mark [mm], e.g. the fit-up gap for welding.

    Raises:
        KeyError: no such mark.
    """
    names = (*lefts, *rights)
    count = len(lefts)

    def worst(p: Floats) -> Floats:
        set_in = _set_in(p[..., :count, :] * MIRROR, p[..., count:, :])
        return np.asarray(np.linalg.norm(set_in - p[..., count:, :], axis=-1).max(axis=-1))

    at = np.array([marks.at(name) for name in names])
    off = float(worst(at))
    q = covariance_among(marks, names)
    values, vectors = np.linalg.eigh(q)
    spread = vectors * np.sqrt(np.maximum(values, 0.0))
    drawn = worst(at + (_draws(len(q)) @ spread.T).reshape(DRAWN, -1, 3))
    return TwinFit(part=part, gap=gap, off=off, sd=float(np.std(drawn)), fits=off <= gap)


_NONE = Departure(left="", right="", off=(0.0, 0.0, 0.0), sd=(0.0, 0.0, 0.0), beyond=0.0)


def check_twins(found: Symmetry, fits: Sequence[TwinFit] = ()) -> tuple[Finding, ...]:
    """What a person has to know about left and right."""
    if not found.pairs and found.measured:
        return ()
    worst = found.pairs[0] if found.pairs else _NONE
    out = math.hypot(*worst.off)
    sure = any(d.beyond > 1.0 for d in found.pairs)
    said = (
        f"Left and right differ by {found.rms:.1f} mm (rms), most at {worst.left}/{worst.right}: "
        f"{out:.1f} mm"
        if found.measured
        else "The symmetry was assumed by the pair readings and not measured"
    )
    frame = Finding(
        code="survey.symmetry",
        level=Level.LOOK if sure or not found.measured else Level.GOOD,
        subject="readings.csv",
        says=f"{said}{', more than the readings’ doubt explains' if sure else ''}.",
        measured=out if found.measured else None,
        allowed=3.3 * max(worst.sd) if found.measured else None,
        unit="mm",
        source="pairs adjusted without their pair readings; chi-square at 0.1 %",
        remedy=""
        if found.measured and not sure
        else "Make the parts at these marks to each side's own readings."
        if found.measured
        else "Measure both sides, each to three marks, before mirroring a part.",
    )
    return (frame, *(_twin_finding(fit) for fit in fits))


def _twin_finding(fit: TwinFit) -> Finding:
    return Finding(
        code="survey.twin",
        level=Level.GOOD if fit.fits else Level.LOOK,
        subject=fit.part,
        says=f"Mirrored, {fit.part} is off by {fit.off:.1f} ± {fit.sd:.1f} mm at its worst mark; "
        f"the gap allows {fit.gap:.1f} mm.",
        measured=fit.off,
        allowed=fit.gap,
        unit="mm",
        source="mirrored part set in by least squares",
        remedy="" if fit.fits else f"Make {fit.part}'s twin to the other side's own marks.",
    )
