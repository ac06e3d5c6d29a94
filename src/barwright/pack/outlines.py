"""A plate part as the drawing a cutting service wants: holes first, outline last, no doubles."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from barwright.pack.drawing import (
    BEND,
    CUT,
    ETCH,
    Circle,
    Drawing,
    Line,
    Loop,
    Primitive,
    Text,
    bulge_arc,
    segments,
)
from barwright.pack.units import degrees, number, thick
from barwright.plates.part import Etch, Fold, Part
from barwright.plates.part import Loop as PartLoop

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SAME = 1e-6
"""Two points nearer than this [mm] are one."""

LETTER = 0.85
"""How wide a letter runs on average, in capital heights, whatever the letters."""

SMALLER = (1.0, 0.85, 0.7, 0.6, 0.5, 0.4, 0.32)
"""Sizes that etched letters are tried at."""


def flat_drawing(part: Part) -> Drawing:
    """The flat pattern: bend lines, etching, then cuts from the inside out.

    Bend lines run along the bend's centre on layer bend; each carries its direction and angle as
    etched letters. The cuts stand in the order they should be made: holes, from small to large,
    and the outline last, so that nothing shifts on a freed part.
    """
    holes = sorted((cut_of(hole) for hole in part.holes), key=_size)
    return (
        *(Line(start=f.start, end=f.end, layer=BEND) for f in part.folds),
        *(_bend_label(f) for f in part.folds),
        *(item for etch in part.etch for item in _etched(_clear(etch, part))),
        *_no_doubles(holes),
        cut_of(part.outline),
    )


def cut_of(loop: PartLoop) -> Circle | Loop:
    """A part's loop as it is cut; arcs that make one full circle are a circle."""
    vertices = _without_repeats(loop.vertices)
    run = Loop(vertices=vertices)
    arcs = [bulge_arc(a, b, bulge) for a, b, bulge in segments(run) if bulge]
    if len(arcs) != len(vertices) or not arcs:
        return run
    centre, radius, _, _ = arcs[0]
    alike = all(math.dist(c, centre) < SAME and abs(r - radius) < SAME for c, r, _, _ in arcs)
    full = abs(abs(sum(sweep for *_, sweep in arcs)) - 2.0 * math.pi) < 1e-9
    return Circle(centre=centre, radius=radius) if alike and full else run


def fold_words(fold: Fold) -> str:
    """A bend as it is called out: which way, how far, the inside radius.

    >>> fold_words(Fold(start=(0, 0), end=(9, 0), angle=math.pi / 2, radius=3.0))
    'UP 90.0° R3.00'
    """
    way = "UP" if fold.angle > 0.0 else "DOWN"
    return f"{way} {degrees(abs(fold.angle))} R{number(fold.radius, 2)}"


def bend_call(fold: Fold, unit: str) -> str:
    """A bend as it is called out on paper, its inside radius in the job's unit.

    >>> bend_call(Fold(start=(0, 0), end=(9, 0), angle=math.pi / 2, radius=3.18), "in")
    'UP 90.0°, inside radius 0.125 in (3.18 mm)'
    """
    way = "UP" if fold.angle > 0.0 else "DOWN"
    return f"{way} {degrees(abs(fold.angle))}, inside radius {thick(fold.radius, unit)}"


def _without_repeats(
    vertices: tuple[tuple[float, float, float], ...],
) -> tuple[tuple[float, float, float], ...]:
    """The vertices without those that stand where the next one stands."""
    following = vertices[1:] + vertices[:1]
    return tuple(
        v for v, n in zip(vertices, following, strict=True) if math.dist(v[:2], n[:2]) > SAME
    )


def _no_doubles(cuts: list[Circle | Loop]) -> list[Circle | Loop]:
    """Each cut once: the same hole asked for twice would be cut twice."""
    kept: dict[tuple[tuple[float, float, float], ...], Circle | Loop] = {}
    for cut in cuts:
        kept.setdefault(_key(cut), cut)
    return list(kept.values())


def _key(cut: Circle | Loop) -> tuple[tuple[float, float, float], ...]:
    """The same for two cuts that run over the same points, wherever they start."""
    if isinstance(cut, Circle):
        x, y = cut.centre
        return ((round(x, 4), round(y, 4), round(cut.radius, 4)),)
    return tuple(sorted((round(x, 4), round(y, 4), 0.0) for x, y, _ in cut.vertices))


def _size(cut: Circle | Loop) -> float:
    """Half the reach, for ordering."""
    if isinstance(cut, Circle):
        return cut.radius
    xs, ys = [v[0] for v in cut.vertices], [v[1] for v in cut.vertices]
    return max(max(xs) - min(xs), max(ys) - min(ys)) / 2.0


def _bend_label(fold: Fold) -> Text:
    (x0, y0), (x1, y1) = fold.start, fold.end
    angle = math.atan2(y1 - y0, x1 - x0)
    if not -math.pi / 2 < angle <= math.pi / 2:
        angle -= math.copysign(math.pi, angle)
    words, length = fold_words(fold), math.dist(fold.start, fold.end)
    height = min(4.0, 0.9 * length / (0.75 * len(words)))
    off = 0.35 * height
    at = ((x0 + x1) / 2 - off * math.sin(angle), (y0 + y1) / 2 + off * math.cos(angle))
    return Text(text=words, at=at, height=height, angle=angle, anchor="middle", layer=ETCH)


def _clear(etch: Etch, part: Part) -> Etch:
    """Letters made small enough to stand on the plate, off its holes and its bends' calls.

    Their middle stays where it is; where nothing fits, the smallest is taken.
    """
    if not etch.text.strip():
        return etch
    from shapely.geometry import box

    room = _room(part)
    wide = LETTER * len(etch.text) * etch.height
    x, y = etch.at[0] + wide / 2.0, etch.at[1] + etch.height / 2.0
    made = etch
    for share in SMALLER:
        w, h = share * wide / 2.0, share * etch.height / 2.0
        made = replace(etch, at=(x - w, y - h), height=share * etch.height)
        if room.contains(box(x - w, y - h, x + w, y + h)):
            return made
    return made


def _room(part: Part) -> BaseGeometry:
    """Where letters may stand: the outline less its holes and the bends' calls."""
    from shapely import union_all
    from shapely.affinity import rotate
    from shapely.geometry import Polygon, box

    taken = []
    for call in map(_bend_label, part.folds):
        w = LETTER * len(call.text) * call.height / 2.0
        x, y = call.at
        flat = box(x - w, y - call.height, x + w, y + 1.5 * call.height)
        taken.append(rotate(flat, call.angle, origin=call.at, use_radians=True))
    whole = Polygon([v[:2] for v in part.outline.vertices]).buffer(-0.5)
    holes = [Polygon(_corners(cut_of(h))).buffer(0.5) for h in part.holes]
    return whole.difference(union_all([*holes, *taken]))


def _corners(cut: Circle | Loop) -> list[tuple[float, float]]:
    if isinstance(cut, Circle):
        (x, y), r = cut.centre, cut.radius
        return [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)]
    return [v[:2] for v in cut.vertices]


def _etched(etch: Etch) -> list[Primitive]:
    """Lines and letters to mark; a path of one point and empty letters draw nothing."""
    items: list[Primitive] = []
    if len(etch.path) > 1:
        vertices = tuple((x, y, 0.0) for x, y in etch.path)
        items.append(Loop(vertices=vertices, closed=False, layer=ETCH))
    if etch.text.strip():
        items.append(Text(text=etch.text, at=etch.at, height=etch.height, layer=ETCH))
    return items


__all__ = ["BEND", "CUT", "ETCH", "bend_call", "cut_of", "flat_drawing", "fold_words"]
