"""What a person has to know about the survey before building on it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from barwright.findings import Finding, Level
from barwright.job.schema import Reading
from barwright.survey.equations import ANGLES
from barwright.survey.marks import Candidate, Fitted, Marks, Mistake, Rival
from barwright.survey.quality import least_found

BAARDA = "Baarda 1968, data snooping (from memory)"
CHI2 = "chi-square test of the unit weight at 0.1 %"
LOOSE = 3.0
"""Doubt in a mark beyond which a person should look [mm, one sd]."""
UNCHECKED = 0.1
"""Redundancy below which a wrong reading would hardly show."""
SEEN = 500.0
"""A slip beyond this anyone sees at the tape [mm]."""
BY_DESIGN = frozenset({"fixed"})
"""Kinds that are known rather than read: nothing is expected to check them."""


def _shown(value: float, *, angle: bool) -> str:
    return f"{math.degrees(value):.2f}°" if angle else f"{value:.1f} mm"


def _told(c: Candidate) -> str:
    return f"{c.kind} {' '.join(c.marks)}"


def _suspect(f: Fitted, mistakes: tuple[Mistake, ...], either: tuple[int, ...]) -> Finding:
    r, angle = f.reading, f.reading.kind in ANGLES
    off = _shown(abs(f.residual), angle=angle)
    likely = "; ".join(m.says for m in mistakes)
    others = ", ".join(str(i) for i in either[1:])
    says = (
        f"{r.kind} {' '.join(r.marks)} disagrees with all the others by {off}"
        f" and was left out of the answer"
        + (f"; a likely mistake: {likely}" if likely else "")
        + (f"; the fault may as well be in line {others}" if others else "")
    )
    return Finding(
        code="survey.suspect",
        level=Level.LOOK,
        subject=f"readings.csv line {r.line}",
        says=says + ".",
        measured=math.degrees(abs(f.residual)) if angle else abs(f.residual),
        allowed=3.29 * (math.degrees(r.plus_minus) if angle else r.plus_minus),
        unit="deg" if angle else "mm",
        source=BAARDA,
        remedy=f"Take {r.kind} {' '.join(r.marks)} again"
        + (f" and line {others}" if others else "")
        + ", and correct or delete the row.",
    )


def _contradiction(marks: Marks, group: tuple[int, ...]) -> Finding:
    lines = [f for f in marks.fitted if f.reading.line in group]
    worst = max(lines, key=lambda f: abs(f.residual) / f.reading.plus_minus)
    told = "; ".join(
        f"line {f.reading.line} {f.reading.kind} {' '.join(f.reading.marks)}" for f in lines[:6]
    )
    more = f"; and {len(lines) - 6} more" if len(lines) > 6 else ""
    return Finding(
        code="survey.contradiction",
        level=Level.MUST,
        subject=f"readings.csv line {lines[0].reading.line}",
        says="These readings contradict one another, and no other tells which is wrong: "
        f"{told}{more}.",
        measured=abs(worst.residual) / worst.reading.plus_minus,
        allowed=3.29,
        source=BAARDA,
        remedy="Take them again; the answer stands between them until then.",
    )


def _suspects(marks: Marks) -> Iterator[Finding]:
    left_out = set(marks.report.left_out)
    for group in marks.either:
        if group[0] not in left_out:
            yield _contradiction(marks, group)
    for f in marks.fitted:
        if f.suspect and f.reading.line in left_out:
            line = f.reading.line
            mine = tuple(m for m in marks.mistakes if m.line == line)
            either = next((g for g in marks.either if g[0] == line), ())
            yield _suspect(f, mine, either)


def _global(marks: Marks) -> Finding:
    report = marks.report
    if marks.freedom <= 0:
        return Finding(
            code="survey.unchecked",
            level=Level.LOOK,
            subject="readings.csv",
            says="No reading checks another: every mark rests on just enough readings, and a "
            "wrong one would not show.",
            measured=0.0,
            allowed=1.0,
            source="freedom of the adjustment",
            remedy=_next(marks),
        )
    good = report.chi2 <= report.chi2_allowed
    scaled = f" Every doubt was raised {report.scaled:.2f} times." if report.scaled > 1.0 else ""
    return Finding(
        code="survey.fit",
        level=Level.GOOD if good else Level.LOOK,
        subject="readings.csv",
        says=f"The readings fit {'as well as' if good else 'worse than'} their plus/minus says: "
        f"sigma0 {marks.sigma0:.2f}, {marks.freedom} readings to spare.{scaled}",
        measured=report.chi2,
        allowed=report.chi2_allowed,
        source=CHI2,
        remedy=""
        if good
        else f"Write plus/minuses {marks.sigma0:.1f} times as large, or take the readings with "
        "the largest residuals again.",
    )


def _next(marks: Marks) -> str:
    if not marks.next_reading:
        return "Take more readings to the marks that matter."
    return "Take " + "; ".join(_told(c) for c in marks.next_reading[:3]) + "."


def _rival(marks: Marks, rival: Rival) -> Finding:
    first = rival.moved[0]
    return Finding(
        code="survey.two-answers",
        level=Level.MUST,
        subject=f"mark {first}",
        says=f"A second answer fits about as well: {', '.join(rival.moved)} could stand "
        f"{rival.apart:.0f} mm away (chi-square {rival.chi2_more:+.1f}).",
        measured=rival.apart,
        allowed=3.0 * max(marks.sd(first)),
        unit="mm",
        source="both answers adjusted from their own start",
        remedy=f"Take {_told(rival.decides)}: it differs by {rival.decides.gain:.0f} times its "
        "plus/minus between the two."
        if rival.decides
        else f"Take readings to {first} from another side.",
    )


def _datum(marks: Marks) -> Iterator[Finding]:
    if marks.rank_defect:
        yield Finding(
            code="survey.datum",
            level=Level.GOOD,
            subject="readings.csv",
            says=f"No reading says where the whole stands ({', '.join(marks.rank_defect)} free, "
            f"rank defect {len(marks.rank_defect)}): {marks.names[0]} was put at zero and the "
            "next marks ahead of it and level with it; the doubts are those within the survey.",
            measured=float(len(marks.rank_defect)),
            source="least (inner) constraints",
            remedy="",
        )
    if marks.mirrored:
        yield Finding(
            code="survey.mirror",
            level=Level.LOOK,
            subject="readings.csv",
            says="The readings cannot tell left from right: the mirror image fits as well. The "
            "first mark off the plane was taken forward, to the left and up.",
            source="convention",
            remedy=f"Look whether the sides are right; an offset of {_far_side(marks)} with its "
            "sign settles it.",
        )


def _far_side(marks: Marks) -> str:
    return marks.names[int(abs(marks.xyz[:, 1] - marks.xyz[0, 1]).argmax())]


def _weak(marks: Marks) -> Finding:
    spread = [max(marks.sd(name)) for name in marks.names]
    worst = max(range(len(spread)), key=spread.__getitem__)
    good = spread[worst] <= LOOSE
    return Finding(
        code="survey.doubt",
        level=Level.GOOD if good else Level.LOOK,
        subject=f"mark {marks.names[worst]}",
        says=f"The least known mark is {marks.names[worst]}, to ±{spread[worst]:.1f} mm (one sd).",
        measured=spread[worst],
        allowed=LOOSE,
        unit="mm",
        source="covariance of the adjustment; the bound is common practice, no source",
        remedy="" if good else _next(marks),
    )


def _unchecked(marks: Marks) -> Iterator[Finding]:
    bare = [
        f.reading
        for f in marks.fitted
        if f.redundancy < UNCHECKED and not f.suspect and f.reading.kind not in BY_DESIGN
    ]
    if bare and marks.freedom > 0:
        lines = ", ".join(str(r.line) for r in bare[:12]) + (" …" if len(bare) > 12 else "")
        yield Finding(
            code="survey.unchecked",
            level=Level.LOOK,
            subject="readings.csv",
            says=f"{len(bare)} readings are hardly checked by any other (lines {lines}): a slip "
            f"{_unseen(marks, bare)} could go into the marks unseen.",
            measured=float(len(bare)),
            allowed=0.0,
            source="redundancy numbers below 0.1",
            remedy=f"Read them twice. {_next(marks)}",
        )


def _unseen(marks: Marks, bare: list[Reading]) -> str:
    """How large a slip in the least checked of some lengths may be before it shows."""
    lengths = [f for f in marks.fitted if f.reading in bare and f.reading.kind not in ANGLES]
    worst = max((least_found(f.reading.plus_minus, f.redundancy) for f in lengths), default=0.0)
    return f"of {worst:.0f} mm" if 0.0 < worst < SEEN else "of any size"


def _uncertain(marks: Marks) -> Iterator[Finding]:
    report = marks.report
    explained = bool(report.left_out) and report.chi2 <= report.chi2_allowed
    if not report.certain and not explained:
        yield Finding(
            code="survey.start",
            level=Level.LOOK,
            subject="readings.csv",
            says=f"None of {report.tried} starts (seed {report.seed}) led to an answer that fits "
            "as its plus/minus promises; a better one may exist.",
            source="global test of every start",
            remedy="Look at the suspect readings first; then give heights and offsets to more "
            "marks.",
        )
    if not report.converged:
        yield Finding(
            code="survey.converged",
            level=Level.MUST,
            subject="readings.csv",
            says=f"The adjustment had not come to rest after {report.steps} steps; the last one "
            f"moved a mark by {report.last_step:.2g} of its sd.",
            source="convergence of the adjustment",
            remedy="Take more readings to the marks with the largest sd.",
        )


def check(marks: Marks) -> tuple[Finding, ...]:
    """What the survey says about itself, gravest doubts first.

    Args:
        marks: as `survey.solve.solve` gives them.
    """
    found = (
        *(_rival(marks, rival) for rival in marks.rivals),
        *_suspects(marks),
        *_uncertain(marks),
        _global(marks),
        *_datum(marks),
        _weak(marks),
        *_unchecked(marks),
    )
    order = (Level.MUST, Level.LOOK, Level.GOOD)
    return tuple(sorted(found, key=lambda f: order.index(f.level)))
