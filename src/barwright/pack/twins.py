"""Left and right: is a mirrored part the same part, the same one turned over, or its own?"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from barwright.geometry.pose import pose_of
from barwright.pack.drawing import Circle, points_along
from barwright.pack.outlines import cut_of
from barwright.plates.gauge import as_cut as with_tabs
from barwright.plates.part import Etch, Fold, Loop, Part

if TYPE_CHECKING:
    from shapely.geometry import Polygon

SAME = 0.02
"""Two outlines that nowhere stand further apart than this [mm] are cut as one."""

ALONE, SAME_PART, FLIP = "", "same part", "same part: flip it"
FLIP_ETCHED = "same outline: flip it; etched on its own face"
OWN = "own left and right"


def as_cut(part: Part) -> Part:
    """A part placed by mirroring, as the flat pattern that is really cut: itself mirrored.

    The pattern is mirrored in its own y axis and the placing in step with it, so that the part
    stands where it stood and its placing no longer mirrors. Bends stay up or down as seen.
    """
    if not part.placed.mirrors:
        return part
    matrix = np.array(part.placed.matrix) @ np.diag([-1.0, 1.0, 1.0])
    return replace(over(part), placed=pose_of(matrix, part.placed.shift))


def for_cutting(part: Part) -> Part:
    """The flat pattern that is sent to be cut: `as_cut`, its break-off tabs joined on."""
    return with_tabs(as_cut(part))


def over(part: Part) -> Part:
    """The flat pattern mirrored in its y axis; bends keep their direction."""
    return replace(
        part,
        outline=_mirror_loop(part.outline),
        holes=tuple(_mirror_loop(hole) for hole in part.holes),
        folds=tuple(_mirror_fold(fold) for fold in part.folds),
        etch=tuple(_mirror_etch(etch) for etch in part.etch),
        gauge=tuple(_mirror_loop(tab) for tab in part.gauge),
    )


def _mirror_loop(loop: Loop) -> Loop:
    """Mirrored and run the other way, so that it still runs anticlockwise if it did."""
    v = loop.vertices[::-1]
    bulges = [b for _, _, b in v[1:] + v[:1]]
    return Loop(vertices=tuple((-x, y, b) for (x, y, _), b in zip(v, bulges, strict=True)))


def _mirror_fold(fold: Fold) -> Fold:
    return replace(fold, start=(-fold.start[0], fold.start[1]), end=(-fold.end[0], fold.end[1]))


def _mirror_etch(etch: Etch) -> Etch:
    """Lines are mirrored; letters stay readable and end where they began."""
    from barwright.pack.paper import text_width

    wide = text_width(etch.text, etch.height) if etch.text else 0.0
    path = tuple((-x, y) for x, y in etch.path)
    return replace(etch, path=path, at=(-etch.at[0] - wide, etch.at[1]))


def hand_of(part: Part, parts: Iterable[Part]) -> str:
    """How a part goes with its twin; empty for one without.

    Found from the geometry of the two patterns as cut, bend lines and directions with them, laid
    on each other by turning alone, or by turning over, which swaps up and down. Etching is on one
    face only, so an etched part turned over shows it on the wrong one.
    """
    twin = next((p for p in parts if part.name == p.twin_of or p.name == part.twin_of), None)
    if twin is None:
        return ALONE
    a, b = as_cut(part), as_cut(twin)
    if alike(a, b):
        return SAME_PART
    if not alike(a, turned_over(b)):
        return OWN
    return FLIP_ETCHED if part.etch else FLIP


def turned_over(part: Part) -> Part:
    """The part as it looks from its other face: mirrored, and every bend the other way."""
    flipped = over(part)
    return replace(flipped, folds=tuple(replace(f, angle=-f.angle) for f in flipped.folds))


def alike(a: Part, b: Part) -> bool:
    """Whether b, turned in its plane, is a: outline, holes, bends; etching is not looked at."""
    if (a.thickness, a.material) != (b.thickness, b.material):
        return False
    pa, pb = flat_polygon(a), flat_polygon(b)
    if abs(pa.area - pb.area) > SAME * pa.length:
        return False
    return any(_lies_on(a, pa, b, pb, turn) for turn in _turns(pa, pb))


def flat_polygon(part: Part) -> Polygon:
    """The flat pattern with its holes [mm], arcs as chords within 0.01 mm."""
    from shapely.geometry import Polygon

    return Polygon(ring(part.outline), [ring(hole) for hole in part.holes])


def can_be_cut(part: Part) -> bool:
    """Whether a part's outline closes round something, with its holes inside and apart."""
    loops = (part.outline, *part.holes)
    if any(len(loop.vertices) < 2 or len(ring(loop)) < 3 for loop in loops):
        return False
    flat = flat_polygon(part)
    return bool(flat.is_valid) and flat.area > 0.0


def ring(loop: Loop) -> list[tuple[float, float]]:
    """A loop as points, chords within 0.01 mm of its arcs."""
    cut = cut_of(loop)
    if not isinstance(cut, Circle):
        return points_along(cut)
    (x, y), r = cut.centre, cut.radius
    turns = [2.0 * math.pi * k / 180 for k in range(180)]
    return [(x + r * math.cos(t), y + r * math.sin(t)) for t in turns]


def _turns(a: Polygon, b: Polygon) -> Iterator[float]:
    """Turns [rad] that could lay b on a: the corner furthest from the middle onto its likes."""
    ca, cb = np.array(a.centroid.coords[0]), np.array(b.centroid.coords[0])
    va, vb = np.array(a.exterior.coords)[:-1] - ca, np.array(b.exterior.coords)[:-1] - cb
    ra, rb = np.hypot(*va.T), np.hypot(*vb.T)
    far = int(np.argmax(ra))
    at = math.atan2(va[far, 1], va[far, 0])
    for x, y in vb[np.abs(rb - ra[far]) < 5.0 * SAME]:
        yield at - math.atan2(y, x)


def _lies_on(a: Part, pa: Polygon, b: Part, pb: Polygon, turn: float) -> bool:
    from shapely.affinity import affine_transform

    c, s = math.cos(turn), math.sin(turn)
    (ax, ay), (bx, by) = pa.centroid.coords[0], pb.centroid.coords[0]
    shift = (ax - c * bx + s * by, ay - s * bx - c * by)
    laid = affine_transform(pb, [c, -s, s, c, *shift])
    if pa.symmetric_difference(laid).area > SAME * (pa.length + laid.length):
        return False
    moved = [_fold_key(f, c, s, shift) for f in b.folds]
    mine = [_fold_key(f, 1.0, 0.0, (0.0, 0.0)) for f in a.folds]
    return _same_folds(mine, moved)


def _fold_key(fold: Fold, c: float, s: float, shift: tuple[float, float]) -> tuple[float, ...]:
    """The middle, half-run without sense, angle and radius of a bend once turned and shifted."""
    (x0, y0), (x1, y1) = fold.start, fold.end
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    return (c * x - s * y + shift[0], s * x + c * y + shift[1], fold.angle, fold.radius)


def _same_folds(a: list[tuple[float, ...]], b: list[tuple[float, ...]]) -> bool:
    """Every bend of one has its own like in the other."""
    left = list(b)
    for fold in a:
        like = [o for o in left if np.allclose(fold, o, atol=SAME)]
        if not like:
            return False
        left.remove(like[0])
    return not left
