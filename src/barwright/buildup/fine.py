"""Parts as they truly are where it counts: coped ends, bores, holes.

The bodies that the swing is checked on are never smaller than the part: a bar is a solid rod out
to its longest point, small holes are filled. Here a bar's coped ends are cut in staves, a bushing
is hollow and a plate has its holes, to within 0.1 mm at rounds (half of what a chord stands off).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from shapely.geometry import Polygon

from barwright.buildup.hulls import (
    Hulls,
    Run,
    all_prisms,
    chords,
    hulls_of,
    joined,
    prisms,
    rods_of,
)
from barwright.geometry.path import Arc
from barwright.geometry.solids import Rod
from barwright.geometry.vectors import Floats, cross, square_to
from barwright.plates.folded import Panel, Strip, folded_as
from barwright.plates.outline import region
from barwright.plates.part import Hardware, Part
from barwright.plates.solids import BEND_STEP, convex_pieces
from barwright.tubes.bars import BuiltBar, End

SAG = 0.1
"""A tube's wall is cut in so many staves that chords lie within this of the arc [mm]."""
ROUGH = 0.05
"""A plate's arcs are drawn in chords within this [mm]."""


def _turn(radius: float) -> Floats:
    """Angles round a tube, closed: a multiple of four staves."""
    n = 4 * math.ceil(0.25 * math.pi / math.acos(1.0 - min(SAG / radius, 0.5)))
    return np.asarray(2.0 * math.pi * np.arange(n + 1) / n)


@lru_cache(512)
def fine_bar(bar: BuiltBar) -> Hulls:
    """A bar with its coped ends in staves; between them it is solid round, as if plugged."""
    pieces = bar.centreline.pieces
    runs: list[Run] = []
    ears: list[Hulls] = []
    for k, piece in enumerate(pieces):
        if isinstance(piece, Arc):
            runs += [(a, b, bar.radius) for a, b in chords(piece)]
            continue
        start, end = np.array(piece.start), np.array(piece.end)
        if k == 0:
            start, more = _eared(bar, bar.start)
            ears += more
        if k == len(pieces) - 1:
            end, more = _eared(bar, bar.finish)
            ears += more
        if (end - start) @ np.subtract(piece.end, piece.start) > 0.0:
            runs.append((start, end, bar.radius))
    return joined(rods_of(runs), *ears) if runs else joined(*ears)


def _eared(bar: BuiltBar, end: End) -> tuple[Floats, list[Hulls]]:
    """Where the full round begins at an end, and the staves that stand out beyond it."""
    along, origin = np.array(end.along), np.array(end.origin)
    deep = float(np.max(end.cope))
    if deep - float(np.min(end.cope)) < ROUGH:
        return origin + deep * along, []
    turn = _turn(bar.radius)
    at = np.interp(np.degrees(turn), np.arange(361), np.append(end.cope, end.cope[0]))
    zero = np.array(end.zero)
    ring = np.cos(turn)[:, None] * zero + np.sin(turn)[:, None] * cross(along, zero)
    return origin + deep * along, [staves(origin, along, ring, (at, deep), (bar.radius, bar.wall))]


def staves(
    origin: Floats,
    along: Floats,
    ring: Floats,
    ends: tuple[Floats, float],
    tube: tuple[float, float],
) -> Hulls:
    """A tube's wall as blocks, one a stave.

    Args:
        origin: a point on its axis [mm].
        along: the axis.
        ring: unit directions out from the axis, round once and closed, shape (m + 1, 3).
        ends: where each line along the wall begins, shape (m + 1,), and where all end [mm].
        tube: outside radius and wall thickness [mm].
    """
    out = 0.5 * (1.0 + 1.0 / math.cos(math.pi / (len(ring) - 1)))
    outer, inner = tube[0] * out, (tube[0] - tube[1]) * out
    begin, stop = origin + ends[0][:, None] * along, origin + ends[1] * along
    lo, hi = begin + inner * ring, begin + outer * ring
    lo_, hi_ = stop + inner * ring, stop + outer * ring
    quads = [(p[:-1], p[1:], q[1:], q[:-1]) for p, q in ((lo, hi), (lo_, hi_))]
    corners = np.stack([c for quad in quads for c in quad], axis=1)
    long = (np.maximum(ends[1] - ends[0][:-1], ends[1] - ends[0][1:])) > ROUGH
    return prisms(corners[long], straight=False)


@lru_cache(512)
def fine_plate(part: Part) -> Hulls:
    """A plate folded, with its holes."""
    f = folded_as(part, region(part.outline, part.holes, off=ROUGH))
    flat = [c for p in f.panels for c in panel_prisms(p, part.thickness)]
    bent = [c for s in f.strips for c in _strip_prisms(s)]
    return joined(*all_prisms(flat), *all_prisms(bent, straight=False))


def panel_prisms(panel: Panel, thickness: float) -> list[Floats]:
    """Corners of the prisms that make up a flat panel, in space."""
    out = []
    for piece in convex_pieces(panel.shape):
        low = np.column_stack([piece, np.zeros(len(piece))])
        out.append(panel.pose.points(np.vstack([low, low + np.array([0.0, 0.0, thickness])])))
    return out


def _strip_prisms(strip: Strip) -> list[Floats]:
    """A bend in slices, each between its chords inside and outside."""
    n = max(1, math.ceil(2.0 * abs(strip.fold.angle) / BEND_STEP))
    d = np.array(strip.fold.end) - strip.fold.start
    d = d / np.hypot(*d) * 1e4
    start = np.array(strip.fold.start) - np.array(strip.out) * strip.width / 2.0
    found = []
    for i in range(n):
        lo, hi = (start + np.array(strip.out) * strip.width * s / n for s in (i, i + 1))
        for piece in convex_pieces(strip.shape & Polygon([lo - d, lo + d, hi + d, hi - d])):
            depth = np.repeat([0.0, strip.thickness], len(piece))
            found.append(strip.space(np.vstack([piece, piece]), depth))
    return found


@lru_cache(512)
def fine_hardware(item: Hardware) -> Hulls:
    """Hardware hollow where it has a bore."""
    bore = dict(item.dims).get("bore", 0.0)
    rods = [s for s in item.body.solids if isinstance(s, Rod)]
    if bore <= 0.0 or len(rods) != len(item.body.solids):
        return hulls_of([item.body])
    return joined(*(_hollow(rod, bore) for rod in rods))


def _hollow(rod: Rod, bore: float) -> Hulls:
    start, run = np.array(rod.start), np.subtract(rod.end, rod.start)
    size = float(np.linalg.norm(run))
    along = run / size
    x = square_to(along)
    turn = _turn(rod.radius)
    ring = np.cos(turn)[:, None] * x + np.sin(turn)[:, None] * cross(along, x)
    wall = rod.radius - bore / 2.0
    return staves(start, along, ring, (np.zeros(len(turn)), size), (rod.radius, wall))
