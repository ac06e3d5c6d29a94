"""What the mock-up taught, taken off the plates each time they are generated anew."""

from __future__ import annotations

import math
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace

from shapely.geometry import LineString, Point

from barwright.findings import Finding, Level
from barwright.job.names import nearest
from barwright.job.trim_schema import Trim
from barwright.plates.corners import (
    CannotTrim,
    Ring,
    cut_corner,
    edge_back,
    generated,
    index_of,
    outline_of,
    ring,
)
from barwright.plates.outline import flipped, region
from barwright.plates.part import Flat, Fold, Loop, Part

MOVED = 3.0
"""A corner further than this [mm] from where it was written may not be the one that was meant."""

SOURCE = "job.toml [[trim]], as the mock-up taught"


def trimmed(
    parts: tuple[Part, ...], trims: Iterable[Trim]
) -> tuple[tuple[Part, ...], tuple[Finding, ...]]:
    """The parts with what the mock-up taught taken off, and what is to be said about it.

    A trim that cannot be made leaves its part as it was, and a finding says why.

    Args:
        parts: as generated, before they are checked.
        trims: those of the job; the ones for bars or for parts not here are passed over.
    """
    todo = tuple(trims)
    made: list[Part] = []
    found: list[Finding] = []
    for part in parts:
        mine = [t for t in todo if t.part == part.name]
        before = [t for t in todo if t.part == part.twin_of] if mine and part.twin_of else []
        done, said = _one(part, before, mine) if mine else (part, ())
        made.append(done)
        found += said
    return tuple(made), tuple(found)


def _one(part: Part, before: list[Trim], mine: list[Trim]) -> tuple[Part, tuple[Finding, ...]]:
    """A part with its trims made one after another.

    Args:
        part: the part.
        before: the trims of the part it mirrors, which it has already.
        mine: its own.
    """
    corners = ring(generated(part))
    for trim in before:
        with suppress(CannotTrim):
            corners = _cut(corners, trim)
    found: list[Finding] = []
    for trim in mine:
        try:
            moved = _moved(corners, part, trim)
            after = _cut(corners, trim)
            part = _with(part, after)
            corners = after
            found.append(moved or _done(part, trim))
        except CannotTrim as error:
            found.append(_not_done(part.name, trim, error))
    return part, tuple(found)


def unknown(parts: tuple[Part, ...], trims: Iterable[Trim]) -> tuple[Finding, ...]:
    """A finding for each trim of a part that is not made any more.

    Args:
        parts: all of them, twins included.
        trims: of the job.
    """
    names = {part.name for part in parts}
    lost = [t for t in trims if t.part is not None and t.part not in names]
    return tuple(_not_done(str(t.part), t, _no_part(str(t.part), names)) for t in lost)


def _no_part(name: str, names: set[str]) -> CannotTrim:
    near = nearest(name, names)
    do = f"did you mean {near}? Or take this trim out" if near else "take this trim out"
    return CannotTrim("no part of this name is made", do)


def words(trim: Trim) -> str:
    """What a trim takes off, in words.

    >>> words(Trim(part="a", corner=3, chamfer=3.0))
    'corner 3 chamfered 3.0 mm'
    """
    if trim.chamfer is not None:
        return f"corner {trim.corner} chamfered {trim.chamfer:.1f} mm"
    if trim.round_ is not None:
        return f"corner {trim.corner} rounded to R{trim.round_:.1f} mm"
    if trim.back is not None:
        return f"edge {trim.edge} moved back {trim.back:.1f} mm"
    return f"end “{trim.end}” shortened by {trim.length or 0.0:.1f} mm"


def _cut(corners: Ring, trim: Trim) -> Ring:
    """The corners with one trim made. Raises CannotTrim."""
    if trim.edge is not None:
        return edge_back(corners, trim.edge, trim.back or 0.0)
    number = trim.corner or 0
    if trim.chamfer is not None:
        return cut_corner(corners, number, "chamfer", trim.chamfer)
    return cut_corner(corners, number, "round", trim.round_ or 0.0)


def _with(part: Part, corners: Ring) -> Part:
    """The part with these corners. Raises CannotTrim."""
    outline = outline_of(corners)
    outline = flipped(outline) if part.twin_of else outline
    _check(part, outline)
    folds = tuple(_clipped(f, outline) for f in part.folds)
    return replace(part, outline=outline, folds=folds, generated=generated(part))


def _moved(corners: Ring, part: Part, trim: Trim) -> Finding | None:
    """What to say where a corner or edge is not where it was when the trim was written.

    Raises:
        CannotTrim: another corner is there now, so that the number means another one.
    """
    if trim.at is None:
        return None
    x, y = trim.at
    at = (x, -y) if part.twin_of else (x, y)
    what, number = "edge" if trim.edge else "corner", trim.edge or trim.corner or 0
    index_of(corners, number, what)
    gaps = _gaps(corners, at, what)
    gap = gaps[number]
    if gap <= MOVED:
        return None
    nearest_one = min(gaps, key=gaps.__getitem__)
    if gaps[nearest_one] <= MOVED:
        raise CannotTrim(
            f"{what} {number} is {gap:.1f} mm from where this was written; "
            f"{what} {nearest_one} is there now",
            f"write {what} = {nearest_one} if that is the one that was meant; else correct at",
        )
    return _has_moved(part.name, trim, gap, _where(corners, part, number))


def _gaps(corners: Ring, at: Flat, what: str) -> dict[int, float]:
    """Number -> how far a point is from each corner, or from each edge [mm]."""
    spot = [c.at for c in corners if c.numbered]
    if what == "corner":
        return {k: math.dist(p, at) for k, p in enumerate(spot, start=1)}
    ends = zip(spot, spot[1:] + spot[:1], strict=True)
    return {k: LineString(pair).distance(Point(at)) for k, pair in enumerate(ends, start=1)}


def _where(corners: Ring, part: Part, number: int) -> Flat:
    x, y = corners[index_of(corners, number, "corner")].at
    return (x, -y) if part.twin_of else (x, y)


def _check(part: Part, outline: Loop) -> None:
    """Whether what is left is a part: something taken, nothing added, no hole broken open."""
    old, new = region(part.outline), region(outline)
    if not new.is_valid or new.difference(old).area > 1e-3:
        raise CannotTrim("what is left would cross itself", "trim less")
    for hole in part.holes:
        inside = region(hole)
        if old.contains(inside) and not new.contains(inside):
            raise CannotTrim("it would break a hole open", "trim less, or move the hole")


def _clipped(fold: Fold, outline: Loop) -> Fold:
    """A bend line that ends at the edge as trimmed."""
    kept = LineString([fold.start, fold.end]).intersection(region(outline).buffer(1e-6))
    if kept.geom_type != "LineString" or kept.length > math.dist(fold.start, fold.end) - 1e-3:
        return fold
    a, b = kept.coords[0], kept.coords[-1]
    return replace(fold, start=(a[0], a[1]), end=(b[0], b[1]))


def _done(part: Part, trim: Trim) -> Finding:
    x, y = _where(ring(generated(part)), part, trim.corner or trim.edge or 1)
    return Finding(
        code="plates.trim",
        level=Level.GOOD,
        subject=f"part {part.name}",
        says=f"Trimmed as the mock-up taught: {words(trim)}"
        + (f", at {x:.1f}, {y:.1f} mm on its template." if trim.corner else "."),
        source=SOURCE,
    )


def _has_moved(name: str, trim: Trim, gap: float, now: Flat) -> Finding:
    return Finding(
        code="plates.trim",
        level=Level.LOOK,
        subject=f"part {name}",
        says=f"The trim is made ({words(trim)}), but the part has changed: that place is "
        f"{gap:.1f} mm from where it was when the trim was written.",
        measured=round(gap, 2),
        allowed=MOVED,
        unit="mm",
        source=SOURCE,
        remedy="Look at the template: if it is still right, write "
        f'at = ["{now[0]:.1f} mm", "{now[1]:.1f} mm"]; else take it out.',
    )


def _not_done(name: str, trim: Trim, error: CannotTrim) -> Finding:
    return Finding(
        code="plates.trim",
        level=Level.MUST,
        subject=f"part {name}",
        says=f"What the mock-up taught is not done ({words(trim)}): {error}.",
        source=SOURCE,
        remedy=f"{error.do[0].upper()}{error.do[1:]}.",
    )
