"""Which readings cannot be used as they stand, each with what to do about it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from barwright.job.errors import Fault
from barwright.job.schema import Reading
from barwright.survey.equations import ANGLES, LENGTHS

FILE = "readings.csv"
MARKS_OF: Mapping[str, tuple[int, int | None]] = {
    "tape": (2, 2),
    "over": (2, 2),
    "between": (2, 2),
    "height": (1, 1),
    "station": (1, 1),
    "offset": (1, 1),
    "incline": (2, 2),
    "corner": (3, 3),
    "level": (2, 2),
    "plumb": (2, 2),
    "line": (3, None),
    "flat": (4, None),
    "middle": (3, 3),
    "pair": (2, 2),
    "fixed": (1, 1),
}
"""The fewest and the most marks of each kind."""
APART = frozenset({"tape", "over", "between"})


def fault(r: Reading, entry: str, *, read: str, expected: str, do: str) -> Fault:
    """A fault at a reading's line."""
    return Fault(file=FILE, entry=entry, line=r.line, read=read, expected=expected, do=do)


def _marks(r: Reading) -> Iterator[Fault]:
    least, most = MARKS_OF[r.kind]
    count = len(r.marks)
    if count < least or (most is not None and count > most):
        wanted = f"{least} marks" if most == least else f"{least} marks or more"
        yield fault(
            r,
            "marks",
            read=" ".join(r.marks) or "nothing",
            expected=f"{r.kind} wants {wanted.replace('1 marks', '1 mark')}, not {count}",
            do="name the marks, separated by blanks",
        )
    if len(set(r.marks)) < count:
        twice = sorted({m for m in r.marks if r.marks.count(m) > 1})
        yield fault(
            r,
            "marks",
            read=" ".join(r.marks),
            expected=f"different marks; {twice[0]} stands there twice",
            do="write the mark the reading was really taken to",
        )


def _spread(r: Reading) -> Iterator[Fault]:
    if not (math.isfinite(r.plus_minus) and r.plus_minus > 0.0):
        yield fault(
            r,
            "plus_minus",
            read=f"{r.plus_minus:g}",
            expected="above zero: no reading is perfect, and zero would outweigh all others",
            do="write one standard deviation, e.g. 1 mm for a tape, 0.01 mm for a jig",
        )


def _value(r: Reading) -> Iterator[Fault]:
    if r.kind == "fixed":
        if r.at is None or not all(math.isfinite(c) for c in r.at):
            yield fault(
                r, "value", read=str(r.at), expected="three coordinates x y z", do="write all three"
            )
        return
    if r.kind not in LENGTHS | ANGLES:
        return
    if r.value is None or not math.isfinite(r.value):
        kind = "an angle in degrees" if r.kind in ANGLES else "a length"
        yield fault(r, "value", read=str(r.value or ""), expected=kind, do="write what was read")
        return
    if r.kind in APART and r.value <= 0.0:
        yield fault(
            r,
            "value",
            read=f"{r.value:g} mm",
            expected="a length above zero",
            do="write the length read between the two marks",
        )
    limit = {"incline": (-90.0, 90.0), "corner": (0.0, 180.0)}.get(r.kind)
    degrees = math.degrees(r.value)
    if limit and not limit[0] - 1e-9 <= degrees <= limit[1] + 1e-9:
        yield fault(
            r,
            "value",
            read=f"{degrees:g}°",
            expected=f"an angle from {limit[0]:g}° to {limit[1]:g}°",
            do="check which side the angle was read on",
        )


def _radius(r: Reading, radius_of: Mapping[str, float]) -> Iterator[Fault]:
    if r.kind not in {"over", "between"}:
        return
    missing = [m for m in r.marks if m not in radius_of]
    for m in missing:
        yield fault(
            r,
            "marks",
            read=" ".join(r.marks),
            expected=f"{r.kind} needs the tube at mark {m}, and no bar's path names {m}",
            do=f"put {m} on a bar's path in job.toml, or tape between the centres instead",
        )
    radii = sum(radius_of.get(m, 0.0) for m in r.marks)
    if not missing and r.kind == "over" and r.value is not None and 0.0 < r.value <= radii:
        yield fault(
            r,
            "value",
            read=f"{r.value:g} mm",
            expected=f"more than the two tubes' radii together, {radii:g} mm",
            do="check the reading, or call it tape if it went from centre to centre",
        )


def _contradictions(readings: Sequence[Reading]) -> Iterator[Fault]:
    """A mark fixed at two places further apart than their plus/minus allows."""
    fixed: dict[str, list[Reading]] = defaultdict(list)
    for r in readings:
        if r.kind == "fixed" and r.at is not None and len(r.marks) == 1:
            fixed[r.marks[0]].append(r)
    for name, found in fixed.items():
        first = found[0]
        for other in found[1:]:
            assert first.at is not None  # noqa: S101 - gathered above
            assert other.at is not None  # noqa: S101 - gathered above
            apart = math.dist(first.at, other.at)
            if apart > 5.0 * math.hypot(first.plus_minus, other.plus_minus):
                yield fault(
                    other,
                    "value",
                    read=f"{name} fixed at {other.at}",
                    expected=f"the place line {first.line} gives, {first.at}: "
                    f"the two are {apart:.4g} mm apart",
                    do="keep the one that is right and delete the other",
                )


def faults_in(readings: Sequence[Reading], radius_of: Mapping[str, float]) -> tuple[Fault, ...]:
    """Everything wrong with the readings one by one; empty where all can be used."""
    if not readings:
        return (
            Fault(
                file=FILE,
                entry="",
                read="no readings",
                expected="at least one reading",
                do="write the readings down, one a row",
            ),
        )
    found = [
        f for r in readings for f in (*_marks(r), *_spread(r), *_value(r), *_radius(r, radius_of))
    ]
    return (*found, *_contradictions(readings))


def unclosed(readings: Sequence[Reading]) -> tuple[Fault, ...]:
    """Tapes longer than the way round by other tapes: no triangle can be made of them.

    Asked only where no answer was found; a survey with readings to spare leaves the wrong one
    out instead.
    """
    tapes = [r for r in readings if r.kind == "tape" and r.value is not None]
    found = []
    for r in tapes:
        way = _way_round(r, [t for t in tapes if t is not r])
        if way and (r.value or 0.0) > way[0] + 5.0 * r.plus_minus:
            found.append(
                fault(
                    r,
                    "value",
                    read=f"tape {' '.join(r.marks)}, {r.value:g} mm",
                    expected=f"no more than the way round by {', '.join(way[1])}, {way[0]:g} mm: "
                    "the tapes cannot close",
                    do="take the longer and the shorter ones again, and look at their units",
                )
            )
    return tuple(found)


def _way_round(r: Reading, tapes: Sequence[Reading]) -> tuple[float, tuple[str, ...]] | None:
    """The shortest way by tapes from one mark of a reading to the other: length, marks between."""
    start, end = r.marks
    best: dict[str, tuple[float, tuple[str, ...]]] = {start: (0.0, ())}
    for _ in range(len(tapes)):
        before = dict(best)
        for t in tapes:
            for a, b in (t.marks, t.marks[::-1]):
                if a not in best:
                    continue
                reach = best[a][0] + (t.value or 0.0)
                if reach < best.get(b, (math.inf, ()))[0]:
                    best[b] = (reach, (*best[a][1], a) if a != start else ())
        if best == before:
            break
    return best.get(end)
