"""What changed between two versions of a job, by how much, and what must be made again."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from barwright.pack.drawing import CUT, Circle, Drawing, Loop, moved, points_along
from barwright.pack.units import number, signed, small
from barwright.pack.version import Facts, Version

if TYPE_CHECKING:
    from shapely.geometry import Polygon

CUTS_ALIKE = 0.1
"""A cut edge that moves less than this [mm] needs no new part: what a laser holds; common
practice, no source."""

SAWN_ALIKE, BENT_ALIKE = 0.5, 0.25
"""A bar that changes less than this [mm] and [deg] is left as it is; common practice, no source."""


LEAST_TOLD = {"in": 0.0254, "mm": 0.01}
"""The least that is told of an edge that moved [mm]: one in the last place of the unit."""

STEP = 0.5
"""Edges are held against each other every so far [mm]."""


@dataclass(frozen=True, kw_only=True)
class Change:
    """One bar or part that is not what it was.

    Attributes:
        kind: "bar" or "part".
        name: its name.
        what: "new", "gone" or "changed".
        says: what changed, with figures, lengths in the new version's unit.
        most: how far an outline or a cut end moved at most [mm]; None where that has no meaning.
        again: whether it must be ordered or made again.
        shift: the move (dx, dy) [mm] that lays the old outline best on the new one.
    """

    kind: str
    name: str
    what: str
    says: tuple[str, ...] = ()
    most: float | None = None
    again: bool = True
    shift: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Comparison:
    """Two versions and what is different.

    Attributes:
        old, new: the versions.
        changes: bars first, then parts, by name.
        same: how many bars and parts are as they were.
    """

    old: Version
    new: Version
    changes: tuple[Change, ...]
    same: int

    @property
    def again(self) -> tuple[Change, ...]:
        """What must be ordered or made again."""
        return tuple(c for c in self.changes if c.again and c.what != "gone")


def compare(old: Version, new: Version) -> Comparison:
    """What changed from one version to the next."""
    bars = [
        _bar(name, old.bars.get(name), new.bars.get(name), new.unit)
        for name in _names(old.bars, new.bars)
    ]
    parts = [_part(name, old, new) for name in _names(old.parts, new.parts)]
    found = [*bars, *parts]
    return Comparison(
        old=old,
        new=new,
        changes=tuple(c for c in found if c is not None),
        same=sum(c is None for c in found),
    )


def _names(old: Iterable[str], new: Iterable[str]) -> list[str]:
    return sorted({*old, *new})


def _bar(name: str, old: Facts | None, new: Facts | None, job: str) -> Change | None:
    """What changed on a bar; one that stood before and stands now is not made either way."""
    if old is None or new is None:
        what, again = ("new" if old is None else "gone"), new is not None and not _stands(new)
        return Change(kind="bar", name=name, what=what, again=again)
    if _stands(old) and _stands(new):
        return None
    says, large, most = list[str](), False, 0.0
    if _stands(old) != _stands(new):
        says.append(
            "stands already, and was to be made" if _stands(new) else "to be made, and stood"
        )
        large = not _stands(new)
    for key in ("stock", "od", "wall"):
        if old[key] != new[key]:
            says.append(f"{key} {old[key]} -> {new[key]}")
            large = True
    for key, unit, alike in _BAR_KEYS:
        text, by = _figures(old[key], new[key], job if unit == "mm" else unit)
        if text:
            says.append(f"{key.replace('_', ' ')} {text}")
            large |= by > alike
            most = max(most, by) if unit == "mm" and math.isfinite(by) else most
    if not says:
        return None
    again = large and not _stands(new)
    return Change(kind="bar", name=name, what="changed", says=tuple(says), most=most, again=again)


def _stands(bar: Facts) -> bool:
    """Whether a bar is on the vehicle already; packs of old did not say."""
    return bool(bar.get("stands", False))


_BAR_KEYS = (
    ("cut_length", "mm", SAWN_ALIKE),
    ("straights", "mm", SAWN_ALIKE),
    ("bends", "deg", BENT_ALIKE),
    ("turns", "deg", BENT_ALIKE),
    ("cope_from", "mm", SAWN_ALIKE),
    ("cope_to", "mm", SAWN_ALIKE),
)


def _figures(old: object, new: object, unit: str) -> tuple[str, float]:
    """What changed in a figure or a row of them, in words in a unit, and by how much at most.

    The figures themselves are in mm or degrees; so is the greatest change.
    """
    a = [float(v) for v in old] if isinstance(old, list) else [float(str(old))]
    b = [float(v) for v in new] if isinstance(new, list) else [float(str(new))]
    if len(a) != len(b):
        return f"{len(a)} -> {len(b)}", math.inf
    steps = [y - x for x, y in zip(a, b, strict=True)]
    most = max(steps, key=abs, default=0.0)
    if abs(most) < 0.01:
        return "", 0.0
    i = steps.index(most)
    where = f" (number {i + 1})" if len(a) > 1 and len(a) < 20 else ""
    figures = f" {small(a[i], unit)} -> {small(b[i], unit)}" if len(a) < 20 else ""
    return f"{signed(most, unit)}{where}:{figures}".rstrip(":"), abs(most)


def _part(name: str, old: Version, new: Version) -> Change | None:
    if name not in old.parts or name not in new.parts:
        return Change(kind="part", name=name, what="new" if name in new.parts else "gone")
    before, after = old.parts[name], new.parts[name]
    says = [
        f"{key}: {_words(before[key])} -> {_words(after[key])}"
        for key in ("thickness", "material", "bends")
        if before[key] != after[key]
    ]
    large = bool(says)
    most, shift, more = _outlines(old.drawings[name], new.drawings[name], new.unit)
    says += more
    if not says:
        return None
    return Change(
        kind="part",
        name=name,
        what="changed",
        says=tuple(says),
        most=most,
        again=large or most > CUTS_ALIKE,
        shift=shift,
    )


def _words(value: object) -> str:
    return "; ".join(map(str, value)) or "none" if isinstance(value, list) else str(value)


def _outlines(
    old: Drawing, new: Drawing, unit: str
) -> tuple[float, tuple[float, float], list[str]]:
    """How far the edges moved at most [mm], the shift that is no change, and it in words."""
    a, b = polygon_of(old), polygon_of(new)
    shift = (b.centroid.x - a.centroid.x, b.centroid.y - a.centroid.y)
    options = [(_apart(a, b), (0.0, 0.0)), (_apart(polygon_of(moved(old, shift)), b), shift)]
    most, shift = min(options)
    says = []
    if len(a.interiors) != len(b.interiors):
        says.append(f"holes {len(a.interiors)} -> {len(b.interiors)}")
    if most > 0.01:
        far = small(max(most, LEAST_TOLD[unit]), unit)
        says.append(f"edges move up to {far} {unit}{_area(b.area - a.area, unit)}")
    return most, shift, says


def _area(change: float, unit: str) -> str:
    """A change of area [mm²] with its sign, in the unit's square; nothing where it rounds to 0."""
    size = number(abs(change) / 25.4**2, 3) if unit == "in" else number(abs(change), 1)
    return f", area {'-' if change < 0.0 else '+'}{size} {unit}²" if float(size) else ""


def farthest(old: Drawing, new: Drawing) -> tuple[tuple[float, float], float]:
    """Where the new edges stand farthest from the old ones, and how far [mm]."""
    from shapely import get_coordinates
    from shapely.geometry import Point

    a, b = polygon_of(old).boundary, polygon_of(new).boundary
    found = [
        (one.distance(Point(x, y)), (float(x), float(y)))
        for one, other in ((a, b), (b, a))
        for x, y in get_coordinates(other.segmentize(STEP))
    ]
    far, at = max(found)
    return at, far


def _apart(a: Polygon, b: Polygon) -> float:
    """The greatest distance from a point of one's edges to the other's."""
    return float(a.boundary.hausdorff_distance(b.boundary))


def polygon_of(drawing: Drawing) -> Polygon:
    """The cut loops as one outline with holes; the largest is the outline [mm]."""
    from shapely.geometry import Polygon

    rings = [_ring(it) for it in drawing if it.layer == CUT and isinstance(it, Circle | Loop)]
    if not rings:
        raise ValueError("nothing is cut in this drawing")
    outer = max(rings, key=lambda r: abs(Polygon(r).area))
    return Polygon(outer, [r for r in rings if r is not outer])


def _ring(it: Circle | Loop) -> list[tuple[float, float]]:
    if isinstance(it, Loop):
        return points_along(it)
    (x, y), r = it.centre, it.radius
    return [
        (x + r * math.cos(math.tau * k / 180), y + r * math.sin(math.tau * k / 180))
        for k in range(180)
    ]
