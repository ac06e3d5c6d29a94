"""Readings in, marks out: the floor's table of contents."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from barwright.geometry.vectors import Floats
from barwright.job.errors import BadInput, Fault
from barwright.job.schema import Reading
from barwright.survey.before import trusted
from barwright.survey.blunders import Settled, Snooped, fails, snoop
from barwright.survey.compile import names_of, network_of
from barwright.survey.equations import Network, departures, linearise
from barwright.survey.faults import FILE, faults_in, unclosed
from barwright.survey.floating import find_loose, floating_faults, general_position
from barwright.survey.marks import Fitted, Marks, Mistake, Report, Rival
from barwright.survey.mistakes import mistakes_in
from barwright.survey.motion import free_twists, pushed
from barwright.survey.next_reading import next_readings
from barwright.survey.quality import BAARDA, chi2_critical
from barwright.survey.rivals import rival_of, second_answers
from barwright.survey.search import Found, search
from barwright.survey.start import size_of

NONE: Mapping[str, float] = MappingProxyType({})


FEW = 3
"""Readings that contradict one another, none better than the other, are all called suspect
up to this many."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Told:
    """What is known beyond the adjustment itself."""

    rivals: tuple[Rival, ...]
    mistakes: tuple[Mistake, ...]


def solve(
    readings: Sequence[Reading],
    *,
    radius_of: Mapping[str, float] = NONE,
    spans: Sequence[tuple[str, str]] = (),
    sigma_known: bool = True,
    seed: int = 1,
    before: Marks | None = None,
) -> Marks:
    """Where the marks are, how well that is known, and which readings do not fit.

    Args:
        readings: as written down; no starting coordinates are asked for.
        radius_of: outside radius [mm] of the tube whose centreline a mark lies on.
        spans: the bars to be made, mark to mark: what is to be measured next is weighed by them.
        sigma_known: whether the plus/minus is believed when readings are judged (Baarda's w)
            or only their proportions (Pope's tau).
        seed: of the random starts.
        before: the marks found before a value was edited: they save work, and change the answer
            in nothing but its last digits.

    Raises:
        BadInput: readings that cannot be used, or marks that float.
    """
    readings = tuple(readings)
    faults = faults_in(readings, radius_of)
    if faults:
        raise BadInput(*faults)
    names = names_of(readings)
    whole = network_of(readings, radius_of, names)
    before = trusted(before, readings)
    freedom = before.freedom if before else _held_together(whole)
    found = search(whole, freedom, seed=seed, before=before)

    def pick(used: Sequence[int]) -> Network:
        if len(used) == len(readings):
            return whole
        return network_of([readings[i] for i in used], radius_of, names)

    try:
        snooped = snoop(pick, len(readings), found.x, sigma_known=sigma_known)
    except np.linalg.LinAlgError:
        raise _loose_here(whole, found.x) from None
    best, rivals = second_answers(snooped.settled, found.others)
    if best is not snooped.settled:
        snooped = snoop(pick, len(readings), best.x, sigma_known=sigma_known)
        best, rivals = second_answers(snooped.settled)
        snooped = replace(snooped, settled=best)
    suspects = [readings[i] for i in snooped.out]
    told = _Told(
        rivals=tuple(rival_of(snooped.settled, rival) for rival in rivals),
        mistakes=mistakes_in(suspects, snooped.settled, radius_of),
    )
    marks = _marks(whole, snooped, found, told=told, seed=seed)
    wanted = next_readings(names, marks.xyz, marks.covariance, readings, spans=spans)
    return replace(marks, next_reading=wanted)


def _held_together(network: Network) -> int:
    """The freedom of a network that holds together.

    Raises:
        BadInput: marks float.
    """
    x = general_position(network, size_of(network))
    loose = find_loose(network, x)
    if loose is not None:
        raise BadInput(*floating_faults(network, x, loose))
    at = linearise(network, x)
    return int(len(at.residual) - x.size + free_twists(at, x).shape[1])


def _loose_here(network: Network, x: Floats) -> BadInput:
    """What to say where the shape at the solution leaves something loose."""
    open_ = unclosed(network.readings)
    if open_:
        return BadInput(*open_)
    for least in (1e-6, 1e-5, 1e-4, 1e-3):
        loose = find_loose(network, x, least=least)
        if loose is not None:
            return BadInput(*floating_faults(network, x, loose))
    names = ", ".join(network.names[:8]) + (" …" if len(network.names) > 8 else "")
    return BadInput(
        Fault(
            file=FILE,
            entry="marks",
            read=f"{len(network.readings)} readings of {names}, all on one line or nearly so",
            expected="marks that do not all lie on one line: their turn about it stays open",
            do="measure a mark off that line from at least three others, or give heights, "
            "stations and offsets",
        )
    )


def _scale(settled: Settled, out: Sequence[int]) -> tuple[float, float]:
    """sigma0, and the factor on the sd: raised only where no single reading is to blame."""
    if settled.freedom <= 0:
        return 1.0, 1.0
    sigma0 = float(np.sqrt(settled.adjusted.cost / settled.freedom))
    return sigma0, sigma0 if fails(settled) and not out else 1.0


def _residuals(network: Network, x: Floats, rows: Floats) -> list[float]:
    """Adjusted minus read [mm or rad] of every reading; for several rows the largest departure."""
    worst = np.zeros(len(network.readings))
    rising = np.argsort(np.abs(rows), kind="stable")
    worst[network.reading_of_row[rising]] = rows[rising]  # the last, which is the largest, stays
    told = worst * np.array([r.plus_minus for r in network.readings])
    found: list[float] = told.tolist()
    for s in network.straights:
        found[s.reading] = float(departures(x[s.marks], s.rank).max())
    return found


def _fitted(whole: Network, snooped: Snooped) -> tuple[Fitted, ...]:
    settled = snooped.settled
    open_ = [g for g in snooped.either if g[0] not in snooped.out and len(g) <= FEW]
    doubted = {*snooped.out, *(i for group in open_ for i in group)}
    at = settled.at if settled.network is whole else linearise(whole, settled.x)
    owner = whole.reading_of_row
    residual = _residuals(whole, settled.x, at.residual)
    redundancy = dict(zip(settled.used, settled.quality.redundancy, strict=True))
    for i in snooped.out:
        j = _rows_of(whole, at_rows=np.flatnonzero(owner == i), x=settled.x)
        h = np.einsum("ru,uv,rv->r", j, settled.covariance, j)
        redundancy[i] = float(np.mean(1.0 / (1.0 + h)))
    return tuple(
        Fitted(
            reading=r,
            residual=residual[i],
            suspect=i in doubted,
            redundancy=float(redundancy[i]),
        )
        for i, r in enumerate(whole.readings)
    )


def _rows_of(network: Network, *, at_rows: np.ndarray, x: Floats) -> Floats:
    at = linearise(network, x)
    return np.asarray(pushed(at, np.eye(x.size))[at_rows])


def _read_only(values: Floats) -> Floats:
    out = np.array(values, dtype=float)
    out.setflags(write=False)
    return out


def _marks(whole: Network, snooped: Snooped, found: Found, *, told: _Told, seed: int) -> Marks:
    settled = snooped.settled
    sigma0, scaled = _scale(settled, snooped.out)
    covariance = settled.covariance * scaled**2
    line = [r.line for r in whole.readings]
    return Marks(
        names=whole.names,
        xyz=_read_only(settled.x),
        covariance=_read_only(covariance),
        fitted=_fitted(whole, snooped),
        sigma0=sigma0,
        freedom=settled.freedom,
        rank_defect=settled.datum.missing,
        mirrored=settled.datum.mirrored,
        rivals=told.rivals,
        mistakes=told.mistakes,
        either=tuple(tuple(line[i] for i in group) for group in snooped.either),
        report=Report(
            start=found.how,
            tried=found.tried,
            seed=seed,
            steps=settled.adjusted.steps,
            last_step=settled.adjusted.last_step,
            converged=settled.adjusted.converged,
            certain=found.certain,
            chi2=settled.adjusted.cost,
            chi2_allowed=chi2_critical(max(settled.freedom, 1), BAARDA),
            left_out=tuple(line[i] for i in snooped.out),
            scaled=scaled,
            others=max(len(found.others) - 1, 0),
        ),
    )
