"""What the chance of first-time fit says to a fabricator: never a must, look below nine in ten."""

from __future__ import annotations

from barwright.findings import Finding, Level
from barwright.fits.chance_result import FirstFit, PartChance, Trim

GOOD = 0.90
"""From here on a chance is called good; common practice, no source."""
SOURCE = (
    "Monte Carlo over the survey's covariance and [tolerance]; 90 %: common practice, no source"
)


def findings(first: FirstFit) -> tuple[Finding, ...]:
    """The whole, each of its parts that is below, and the other parts in one line.

    A chance is never a `must`: it is a forecast, and trimming in place mends what does not fit.
    """
    if first.chance is None:
        return ()
    inside = [p for p in first.parts if p.counts and p.chance < GOOD]
    several = sum(p.counts for p in first.parts) > 1
    return (
        _whole(first),
        *((_part(first, p) for p in inside) if several else ()),
        *_others(first),
    )


def _whole(first: FirstFit) -> Finding:
    chance = first.chance or 0.0
    good = chance >= GOOD
    lead = ", ".join(f"{d.name} ({d.gain:+.0%})" for d in first.decides[:3])
    return Finding(
        code="fits.first-time",
        level=Level.GOOD if good else Level.LOOK,
        subject=first.about,
        says=f"Made as drawn, {first.about} fits the first time with a chance of {chance:.0%} "
        f"(drawn {first.samples} times, give or take {first.sampling_error:.1%})."
        + first.trimmed_last
        + (f" What decides it, and what it would bring without error: {lead}." if lead else "")
        + f" Not in it: {'; '.join(first.leaves_out)}.",
        measured=100.0 * chance,
        allowed=100.0 * GOOD,
        unit="%",
        source=SOURCE,
        remedy="" if good else _remedy(first),
    )


def _remedy(first: FirstFit) -> str:
    """The best of each kind of advice, in numbers; trimming last comes first, it costs least."""
    said = [
        f"{_trimming(t)} ({t.before:.0%} to {t.after:.0%} for that part)"
        for t in first.trim_to_leave[:2]
    ]
    said += [f"open {o.what} by {o.by:.1f} mm ({o.gain:+.0%})" for o in first.open_gap[:2]]
    said += [
        f"read {a.kind} {' '.join(a.marks)} {'once more' if a.line else 'too'} ({a.gain:+.0%})"
        for a in first.measure_again[:2]
    ]
    text = "; ".join(said) or "fit it up with tacks only, and trim what binds"
    return f"{text[0].upper()}{text[1:]}."


def _part(first: FirstFit, part: PartChance) -> Finding:
    gaps = [g for g in first.gaps if g.part == part.name]
    worst = min(gaps, key=lambda g: g.chance)
    return Finding(
        code="fits.first-time-part",
        level=Level.LOOK,
        subject=worst.subject,
        says=f"{part.name} fits the first time with a chance of {part.chance:.0%}; the doubtful "
        f"gap is {worst.name}: {worst.nominal:.1f} mm, one sd {worst.sd:.1f} mm, "
        f"{worst.chance:.0%} within its limits.",
        measured=100.0 * part.chance,
        allowed=100.0 * GOOD,
        unit="%",
        source=SOURCE,
        remedy=_part_remedy(first, part),
    )


def _part_remedy(first: FirstFit, part: PartChance) -> str:
    for trim in first.trim_to_leave:
        if trim.part == part.name:
            text = _trimming(trim)
            return f"{text[0].upper()}{text[1:]}."
    return "Tack it lightly and check before welding."


def _trimming(trim: Trim) -> str:
    """What to do about a bar's length; where nothing is to be left it is long enough as drawn."""
    off = f"up to {trim.takes:.1f} mm will come off"
    if trim.amount < 0.05:
        return f"trim {trim.bar} last, in place, long enough as drawn: {off}"
    return f"leave {trim.amount:.1f} mm on {trim.bar} and trim it last, in place: {off}"


def _others(first: FirstFit) -> tuple[Finding, ...]:
    """Coped bars beside the whole: one finding for all, since they may stand already."""
    bars = [p for p in first.parts if not p.counts]
    if not bars:
        return ()
    low = sorted((p for p in bars if p.chance < GOOD), key=lambda p: p.chance)
    named = ", ".join(f"{p.name} {p.chance:.0%}" for p in low[:5])
    return (
        Finding(
            code="fits.first-time-bars",
            level=Level.LOOK if low else Level.GOOD,
            subject="bars",
            says=f"{len(bars) - len(low)} of {len(bars)} coped bars, were they made now, fit the "
            f"first time with a chance of {GOOD:.0%} or more"
            + (f"; the least: {named}." if low else "."),
            measured=100.0 * min(p.chance for p in bars),
            allowed=100.0 * GOOD,
            unit="%",
            source=SOURCE,
            remedy="Leave these bars long at one end and cope them in place." if low else "",
        ),
    )
