"""A part as convex blocks, for distances and interference: never smaller than the part.

Small holes are filled. Mouths and notches belong to the outline and stay open: the outline is
split into triangles along its own edges, and triangles are joined again while they stay convex.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import numpy as np
from shapely.geometry import Polygon

from barwright.geometry.solids import Block, Body
from barwright.geometry.vectors import Floats
from barwright.plates.convex import convex_pieces
from barwright.plates.folded import Panel, Strip, folded_as, shape_of
from barwright.plates.outline import points, region
from barwright.plates.part import Part
from barwright.plates.twins import mirror_body, mirrored_shape

ROUGH = 0.15
"""How far a block may stand proud of an arc [mm]."""
BEND_STEP = math.radians(30.0)
"""A bend is taken in blocks of at most this turn; each holds its part of the bend."""
BIG_HOLE = 400.0
"""Holes above this area [mm²] stay open."""


@lru_cache(256)
def body_of(part: Part) -> Body:
    """The folded part as convex blocks where it stands, closed [mm].

    The blocks hold the part; they stand proud of it by at most 2 `ROUGH` at its edges, and by
    (r + t)(1/cos(15°) - 1) = 0.035 (r + t) outside a bend.

    >>> from barwright.plates.outline import rectangle
    >>> plate = Part(name="p", thickness=2.0, material="", outline=rectangle(0, 0, 3, 4))
    >>> len(body_of(plate).solids), len(body_of(plate).solids[0].corners)
    (1, 8)
    """
    if part.twin_of:
        original = Body(name="", solids=_blocks(shape_of(mirrored_shape(part))))
        return mirror_body(original, part.name)
    return Body(name=part.name, solids=_blocks(shape_of(part)))


@lru_cache(256)
def _blocks(part: Part) -> tuple[Block, ...]:
    """The blocks of a part, which its name and what is written on it do not change."""
    f = folded_as(part, _rough(part), ends=2.0 * ROUGH)
    blocks = [b for p in f.panels for b in _panel_blocks(p, part)]
    return (*blocks, *(b for s in f.strips for b in _strip_blocks(s)))


@lru_cache(256)
def exact_body(part: Part) -> Body:
    """The part's panels as convex prisms within chords of 0.02 mm, without its bends: for fits."""
    f = folded_as(part, region(part.outline, part.holes, off=0.02))
    blocks = [b for p in f.panels for b in _panel_blocks(p, part)]
    return Body(name=part.name, solids=tuple(blocks))


def panel_body(panel: Panel, part: Part) -> Body:
    """One panel of a part as convex prisms."""
    return Body(name=part.name, solids=tuple(_panel_blocks(panel, part)))


def _rough(part: Part) -> Polygon:
    """The flat outline drawn outside its arcs, small holes filled, small steps smoothed over."""
    big = [points(h, off=ROUGH) for h in part.holes if Polygon(points(h)).area > BIG_HOLE]
    whole = Polygon(points(part.outline, off=ROUGH, outside=True), big)
    if not whole.is_valid:
        whole = Polygon(points(part.outline), big)
    smooth = whole.simplify(ROUGH / 3.0).buffer(ROUGH / 3.0, join_style="mitre")
    return smooth if isinstance(smooth, Polygon) else whole


def _panel_blocks(panel: Panel, part: Part) -> list[Block]:
    """Prisms over the convex pieces of a panel, in space."""
    pieces = convex_pieces(panel.shape)
    if not pieces:
        return []
    flat = np.vstack(pieces)
    faces = [np.column_stack([flat, np.full(len(flat), z)]) for z in (0.0, part.thickness)]
    low, high = (list(map(tuple, panel.pose.points(face).tolist())) for face in faces)
    ends = np.cumsum([0, *map(len, pieces)]).tolist()
    return [Block(corners=(*low[a:b], *high[a:b])) for a, b in pairwise(ends)]


def _strip_blocks(strip: Strip) -> list[Block]:
    """Wedges over the convex pieces of each slice of a bend."""
    n = max(1, math.ceil(abs(strip.fold.angle) / BEND_STEP))
    d = np.array(strip.fold.end) - strip.fold.start
    d = d / np.hypot(*d) * 1e4
    start = np.array(strip.fold.start) - np.array(strip.out) * strip.width / 2.0
    blocks = []
    for i in range(n):
        lo, hi = (start + np.array(strip.out) * strip.width * s / n for s in (i, i + 1))
        piece = strip.shape & Polygon([lo - d, lo + d, hi + d, hi - d])
        blocks += [_wedge(c, strip, n) for c in convex_pieces(piece)]
    return blocks


def _wedge(piece: Floats, strip: Strip, n: int) -> Block:
    """A block that holds a slice of a bend: inner corners on the arc, outer ones on tangents."""
    half = abs(strip.fold.angle) / n / 2.0
    proud = (strip.fold.radius + strip.thickness) * (1.0 / math.cos(half) - 1.0)
    outside = -proud if strip.fold.angle > 0.0 else strip.thickness + proud
    inside = strip.thickness if strip.fold.angle > 0.0 else 0.0
    depths = np.repeat([inside, outside], len(piece))
    corners = strip.space(np.vstack([piece, piece]), depths).tolist()
    return Block(corners=tuple((x, y, z) for x, y, z in corners))
