"""What is there to say about a hinge's fits? One finding a gap, with the remedy in numbers."""

from __future__ import annotations

from barwright.findings import Finding, Level
from barwright.fits.hinge_stack import HingeFit, fit_limits

PRACTICE = "common practice, no source"
OFF = 0.25
"""How far the end float may be from the one wanted before a person should look [mm]."""
LOOSE_BOLT = 0.5
"""How much room a pivot bolt may have in the cheeks before the hinge shifts [mm]: practice."""
SOURCES = "ANSI B4.1 or ISO 286 limits; worst case"


def hinge_findings(
    fit: HingeFit, *, wanted: float, play: float, welded: bool
) -> tuple[Finding, ...]:
    """Everything about one hinge.

    Args:
        fit: as worked out.
        wanted: end float asked for [mm].
        play: what the latch takes up at the leaf's free end, each way [mm].
        welded: whether the bushing itself is welded, so that heat draws its bore.
    """
    found = [_end_float(fit, wanted), _running(fit), _cheeks(fit), _bolt(fit), _play(fit, play)]
    return (*found, _heat(fit)) if welded else tuple(found)


def _end_float(fit: HingeFit, wanted: float) -> Finding:
    worst, likely, drawn = fit.end_float, fit.end_float_likely, fit.end_float_drawn
    off = wanted - worst.nominal
    level = Level.GOOD
    if worst.least <= 0.0 or abs(off) > OFF:
        level = Level.LOOK
    if likely.least <= 0.0:
        level = Level.MUST
    half = 0.5 * off if abs(off) > 1e-6 else 0.5 * (1e-3 - worst.least)
    way = "longer" if half > 0.0 else "shorter"
    return Finding(
        code="fits.end-float",
        level=level,
        subject=f"leaf.{fit.stack.leaf}",
        says=f"With the bolt tight the bushing has {worst.nominal:.3f} mm of end float; turned to "
        f"±{fit.stack.length_tolerance:.3f} mm it is {worst.least:.3f} to {worst.most:.3f} mm at "
        f"worst, and it binds in {100.0 * (1.0 - drawn.chance):.1f} % of hinges.",
        measured=worst.least,
        allowed=0.0,
        unit="mm",
        source=f"{wanted:.3f} mm (0.020 in): {PRACTICE}",
        remedy="" if level is Level.GOOD else f"Make each spacer {abs(half):.3f} mm {way}.",
    )


def _running(fit: HingeFit) -> Finding:
    run, s = fit.running, fit.stack
    bad = run.least <= 0.0
    pressed = f", {fit.closes:.3f} mm of bore lost to the press taken off" if fit.closes else ""
    return Finding(
        code="fits.running",
        level=Level.MUST if bad else Level.GOOD,
        subject=f"leaf.{s.leaf}",
        says=f"Spacer in bushing, {s.running} at {s.spacer_od:.2f} mm: clearance {run.least:.3f} "
        f"to {run.most:.3f} mm on the diameter{pressed}.",
        measured=run.least,
        allowed=0.0,
        unit="mm",
        source=SOURCES,
        remedy=f"Ream the bore {0.01 - run.least:.3f} mm larger, or take a looser fit."
        if bad
        else "",
    )


def _cheeks(fit: HingeFit) -> Finding:
    gap, s = fit.cheeks, fit.stack
    off = abs(gap.nominal) > OFF
    open_ = "closer together" if gap.nominal > 0.0 else "further apart"
    return Finding(
        code="fits.cheeks",
        level=Level.LOOK if off else Level.GOOD,
        subject=f"leaf.{s.leaf}",
        says=f"The cheeks stand {s.gap:.2f} mm apart, the two spacers are {2 * s.spacer:.2f} mm; "
        f"tacked freehand they end {gap.least:+.2f} to {gap.most:+.2f} mm off. Tack them with the "
        "spacers bolted tight between them, and leave the bolt in until all is welded and cold.",
        measured=gap.nominal,
        allowed=OFF,
        unit="mm",
        source=PRACTICE,
        remedy=f"Set the cheeks {abs(gap.nominal):.2f} mm {open_}." if off else "",
    )


def _bolt(fit: HingeFit) -> Finding:
    room, s = fit.bolt_in_hole, fit.stack
    level = Level.MUST if room < 0.0 else Level.LOOK if room > LOOSE_BOLT else Level.GOOD
    return Finding(
        code="fits.bolt-hole",
        level=level,
        subject=f"leaf.{s.leaf}",
        says=f"The pivot bolt, {s.bolt:.2f} mm, has {room:.2f} mm of room in the cheeks' "
        f"{s.hole:.2f} mm holes.",
        measured=room,
        allowed=LOOSE_BOLT,
        unit="mm",
        source=PRACTICE,
        remedy="" if level is Level.GOOD else f"Make the holes {s.bolt + 0.25:.2f} mm.",
    )


def _play(fit: HingeFit, allowed: float) -> Finding:
    drawn, s = fit.play_drawn, fit.stack
    level = Level.GOOD
    if fit.play > allowed:
        level = Level.LOOK
    if drawn.high > allowed:
        level = Level.MUST
    name, share = drawn.shares[0]
    need = s.bushing * max(drawn.high, fit.play) / allowed
    return Finding(
        code="fits.play",
        level=level,
        subject=f"leaf.{s.leaf}",
        says=f"The leaf's free end, {s.reach:.0f} mm from the axis, can be lifted or dropped "
        f"{drawn.mean:.2f} mm from its middle ({drawn.high:.2f} mm in 1 of 740 hinges, "
        f"{fit.play:.2f} mm at worst); the latch takes up {allowed:.2f} mm. What decides it: the "
        f"{name} ({100.0 * share:.0f} % of the spread).",
        measured=fit.play,
        allowed=allowed,
        unit="mm",
        source=SOURCES,
        remedy=""
        if level is Level.GOOD
        else f"Make the bushing {need:.0f} mm long, or take a closer running fit.",
    )


def _heat(fit: HingeFit) -> Finding:
    s = fit.stack
    hole, _ = fit_limits(s.spacer_od, s.running)
    low, high = s.spacer_od + hole.lower, s.spacer_od + hole.upper
    return Finding(
        code="fits.weld-heat",
        level=Level.LOOK,
        subject=f"leaf.{s.leaf}",
        says="The bushing is welded to the bar: the heat draws its bore in and out of round, by "
        f"more than the {fit.running.most - fit.running.least:.3f} mm its running fit allows for.",
        measured=fit.running.least,
        unit="mm",
        source=PRACTICE,
        remedy=f"Weld a quarter at a time with a spare spacer inside, let it cool, then ream the "
        f"bore to {low:.3f} to {high:.3f} mm.",
    )
