"""Parts as they truly are where it counts: coped ends, bores, holes.

The bodies that the swing is checked on are never smaller than the part: a bar is a solid rod out
to its longest point, small holes are filled. Here a bar's coped ends are cut in staves, a bushing
is hollow and a plate has its holes, to within 0.1 mm at rounds (half of what a chord stands off).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike
from shapely import transform
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from barwright.buildup.hulls import (
    Hulls,
    Pieces,
    Run,
    chords,
    joined,
    made_of,
    owned,
    pieces_of,
)
from barwright.geometry.convex import Ints
from barwright.geometry.path import Arc
from barwright.geometry.pose import mirrored, pose_of
from barwright.geometry.solids import Rod
from barwright.geometry.vectors import Floats, cross_of, square_to
from barwright.plates.convex import convex_pieces
from barwright.plates.folded import Folded, Panel, Strip, folded_as, shape_of
from barwright.plates.outline import region
from barwright.plates.part import Hardware, Part
from barwright.plates.solids import BEND_STEP
from barwright.plates.twins import mirror_body, mirrored_shape, twin
from barwright.tubes.bars import BuiltBar, End

Made: TypeAlias = BuiltBar | Part | Hardware

SAG = 0.1
"""A tube's wall is cut in so many staves that chords lie within this of the arc [mm]."""
ROUGH = 0.05
"""A plate's arcs are drawn in chords within this [mm]."""
FLIP = pose_of(np.diag([1.0, -1.0, 1.0]))
"""What turns a drawing over about its own x."""


def fine_hulls(some: Sequence[Made], mirrors: Ints | None = None) -> Hulls:
    """Parts as they are, with copes, bores and holes; `owner` counts them, in order.

    Args:
        some: the parts.
        mirrors: what `mirrors_of` says of them; None works it out.
    """
    mirrors = mirrors_of(some) if mirrors is None else mirrors
    own = np.flatnonzero(mirrors < 0)
    there = [some[k] for k in own.tolist()]
    sleeves = [_sleeves(made) for made in there]
    walls = iter(staves([s for lot in sleeves for s in lot]))
    solid = [_solid(made) for made in there]
    for k, lot in enumerate(sleeves):
        if lot:
            solid[k] = replace(solid[k], staves=[next(walls) for _ in lot])
    return with_twins(made_of(solid), mirrors)


def with_twins(hulls: Hulls, mirrors: Ints) -> Hulls:
    """Hulls of all parts, by their owners, from those of the parts that mirror none.

    Args:
        hulls: of the parts that mirror none, sorted by `owner`, which counts these alone.
        mirrors: which part each one mirrors; -1 for none, shape (parts,).
    """
    at = np.cumsum(mirrors < 0) - 1
    rows = [hulls.take(slice(0))]
    for k, other in enumerate(mirrors.tolist()):
        there = hulls.of(int(at[k if other < 0 else other]))
        rows.append(owned(there if other < 0 else there.mirrored(), k))
    return joined(*rows)


def mirrors_of(some: Sequence[Made]) -> Ints:
    """Which of the parts each one mirrors to the last digit; -1 for none, shape (n,).

    A plate that was trimmed on one side only, for one, mirrors none.
    """
    at = {m.name: k for k, m in enumerate(some)}
    return np.array(
        [
            at[m.twin_of] if m.twin_of in at and _mirrors(some[at[m.twin_of]], m) else -1
            for m in some
        ],
        dtype=np.intp,
    )


def _mirrors(one: Made, other: Made) -> bool:
    if isinstance(one, Part) and isinstance(other, Part):
        return twin(one) == other
    if isinstance(one, Hardware) and isinstance(other, Hardware):
        return one.dims == other.dims and mirror_body(one.body, other.name) == other.body
    return False


def _solid(made: Made) -> Pieces:
    """All of a part but its tubes' open ends."""
    if isinstance(made, BuiltBar):
        return Pieces(runs=_runs(made))
    if isinstance(made, Hardware):
        return Pieces() if _bore(made) else pieces_of(made.body)
    return _plate(made)


# ---- tubes ---------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True, eq=False)
class Sleeve:
    """A length of a tube's wall with one end cut square.

    Attributes:
        origin: a point on its axis [mm].
        along: the axis, unit, shape (3,).
        zero: the unit direction square to it that turns are counted from, shape (3,).
        begin: where each line along the wall begins, at every whole degree, shape (360,) [mm].
        stop: where all end [mm].
        radius: outside [mm].
        wall: [mm].
    """

    origin: ArrayLike
    along: Floats
    zero: Floats
    begin: Floats
    stop: float
    radius: float
    wall: float

    @property
    def count(self) -> int:
        """How many staves it takes: a multiple of four."""
        return 4 * math.ceil(0.25 * math.pi / math.acos(1.0 - min(SAG / self.radius, 0.5)))


def staves(sleeves: Sequence[Sleeve]) -> list[Floats]:
    """Tubes' walls as blocks, one a stave: corners (n, 8, 3) of each [mm], for `staved`."""
    found: dict[int, Floats] = {}
    counts = np.array([s.count for s in sleeves], dtype=np.intp)
    for n in np.unique(counts).tolist():
        rows = np.flatnonzero(counts == n)
        found |= zip(rows.tolist(), _staves([sleeves[k] for k in rows.tolist()], n), strict=True)
    return [found[k] for k in range(len(sleeves))]


def _staves(sleeves: Sequence[Sleeve], n: int) -> list[Floats]:
    """The same for those of n staves each, without the staves that have no length."""
    along, zero, origin = (
        np.array([getattr(s, name) for s in sleeves], dtype=float)
        for name in ("along", "zero", "origin")
    )
    cope = np.array([s.begin for s in sleeves])
    at = np.linspace(0.0, 360.0, n + 1)
    whole = at.astype(np.intp)
    rest = at - whole
    begin = (1.0 - rest) * cope[:, whole % 360] + rest * cope[:, (whole + 1) % 360]
    turn = np.radians(at)[:, None]
    ring = np.cos(turn) * zero[:, None] + np.sin(turn) * cross_of(along, zero)[:, None]
    stop = np.array([s.stop for s in sleeves])
    out = 0.5 * (1.0 + 1.0 / math.cos(math.pi / n))
    outer = out * np.array([s.radius for s in sleeves])
    inner = outer - out * np.array([s.wall for s in sleeves])
    low = origin[:, None] + begin[..., None] * along[:, None]
    high = (origin + stop[:, None] * along)[:, None]
    lines = [base + r[:, None, None] * ring for base in (low, high) for r in (inner, outer)]
    corners = np.stack(
        [c for a, b in (lines[:2], lines[2:]) for c in (a[:, :-1], a[:, 1:], b[:, 1:], b[:, :-1])],
        axis=2,
    )
    long = stop[:, None] - np.minimum(begin[:, :-1], begin[:, 1:]) > ROUGH
    return [c[some] for c, some in zip(corners, long, strict=True)]


def _sleeves(made: Made) -> list[Sleeve]:
    """The coped ends of a bar; hardware that is hollow right through."""
    if isinstance(made, BuiltBar):
        return [
            Sleeve(
                origin=e.origin,
                along=np.array(e.along),
                zero=np.array(e.zero),
                begin=e.cope,
                stop=float(np.max(e.cope)),
                radius=made.radius,
                wall=made.wall,
            )
            for e in _ends(made)
            if _open(e)
        ]
    if isinstance(made, Hardware) and (bore := _bore(made)):
        return [_hollow(s, bore) for s in made.body.solids if isinstance(s, Rod)]
    return []


def _ends(bar: BuiltBar) -> list[End]:
    """The ends at which a bar runs straight: only there it is coped."""
    pieces = bar.centreline.pieces
    ends = ((bar.start, pieces[0]), (bar.finish, pieces[-1])) if pieces else ()
    return [e for e, piece in ends if not isinstance(piece, Arc)]


def _open(end: End) -> bool:
    """Whether an end's cut goes so far up and down that it is told from a square one."""
    return float(np.ptp(end.cope)) >= ROUGH


def _runs(bar: BuiltBar) -> list[Run]:
    """A bar as solid rounds, as if plugged, from where the full round begins at either end."""
    pieces, coped = bar.centreline.pieces, _ends(bar)
    runs: list[Run] = []
    for k, piece in enumerate(pieces):
        if isinstance(piece, Arc):
            runs += [(a, b, bar.radius) for a, b in chords(piece)]
            continue
        start, end = np.array(piece.start), np.array(piece.end)
        if k == 0:
            start = _full(coped[0])
        if k == len(pieces) - 1:
            end = _full(coped[-1])
        if (end - start) @ np.subtract(piece.end, piece.start) > 0.0:
            runs.append((start, end, bar.radius))
    return runs


def _full(end: End) -> Floats:
    """Where on its axis a bar is full round, all round, at an end [mm]."""
    return np.asarray(end.origin + float(np.max(end.cope)) * np.array(end.along))


def _bore(item: Hardware) -> float:
    """The bore of hardware that is round and hollow [mm]; 0 of what is not."""
    round_ = all(isinstance(s, Rod) for s in item.body.solids)
    return max(dict(item.dims).get("bore", 0.0), 0.0) if round_ else 0.0


def _hollow(rod: Rod, bore: float) -> Sleeve:
    run = np.subtract(rod.end, rod.start)
    size = float(np.linalg.norm(run))
    return Sleeve(
        origin=rod.start,
        along=run / size,
        zero=square_to(run),
        begin=np.zeros(360),
        stop=size,
        radius=rod.radius,
        wall=rod.radius - bore / 2.0,
    )


# ---- plates --------------------------------------------------------------------------------------


@lru_cache(256)
def fine_region(part: Part) -> Polygon:
    """A plate's flat shape with its holes, arcs in chords."""
    return region(part.outline, part.holes, off=ROUGH)


@lru_cache(256)
def fine_panels(part: Part) -> tuple[Panel, ...]:
    """Its flat panels with their holes, folded; a twin's from what it mirrors."""
    if not part.twin_of:
        return _folded(shape_of(part)).panels
    return tuple(_across(p) for p in _folded(shape_of(mirrored_shape(part))).panels)


@lru_cache(256)
def _folded(part: Part) -> Folded:
    return folded_as(part, fine_region(part))


def _across(panel: Panel) -> Panel:
    """The panel on the other side, in its twin's own drawing: see `plates.twins`."""
    pose = mirrored().after(panel.pose).after(FLIP)
    return Panel(shape=orient(transform(panel.shape, lambda xy: xy * (1.0, -1.0))), pose=pose)


def _plate(part: Part) -> Pieces:
    """A plate folded, with its holes."""
    f = _folded(shape_of(part))
    return Pieces(
        straight=[c for p in f.panels for c in panel_prisms(p, part.thickness)],
        askew=[c for s in f.strips for c in _strip_prisms(s)],
    )


def panel_prisms(panel: Panel, thickness: float) -> list[Floats]:
    """Corners of the prisms that make up a flat panel, in space, shape (1, 2m, 3) each."""
    flat = convex_pieces(panel.shape)
    if not flat:
        return []
    corners = np.concatenate(flat)
    low = panel.pose.points(np.column_stack([corners, np.zeros(len(corners))]))
    return _over(flat, low, low + panel.pose.directions((0.0, 0.0, thickness)))


def _over(flat: Sequence[Floats], low: Floats, high: Floats) -> list[Floats]:
    """Prisms on flat pieces, from the lower and the upper corners of all, shape (1, 2m, 3) each."""
    cuts = np.cumsum([len(p) for p in flat])[:-1]
    pairs = zip(np.split(low, cuts), np.split(high, cuts), strict=True)
    return [np.concatenate(pair)[None] for pair in pairs]


def _strip_prisms(strip: Strip) -> list[Floats]:
    """A bend in slices, each between its chords inside and outside, shape (1, 2m, 3) each."""
    n = max(1, math.ceil(2.0 * abs(strip.fold.angle) / BEND_STEP))
    d = np.array(strip.fold.end) - strip.fold.start
    d = d / np.hypot(*d) * 1e4
    across = (np.arange(n + 1) / n - 0.5)[:, None] * strip.width * np.array(strip.out)
    slices = [Polygon([a - d, a + d, b + d, b - d]) for a, b in pairwise(strip.fold.start + across)]
    flat = [piece for s in slices for piece in convex_pieces(strip.shape & s)]
    if not flat:
        return []
    corners = np.concatenate(flat)
    low, high = (strip.space(corners, np.full(len(corners), z)) for z in (0.0, strip.thickness))
    return _over(flat, low, high)
