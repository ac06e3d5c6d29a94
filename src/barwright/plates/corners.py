"""The numbered corners of a plate's outline, and what happens when they are trimmed.

Numbers run anticlockwise, as the plate is drawn, from the corner furthest to the lower left. A
twin's corners have the numbers of the part it mirrors. A corner is where the outline turns by
more than `TURN`, sharply or in one round between two straights.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from barwright.plates.outline import area, backwards, flipped
from barwright.plates.part import Flat, Loop, Part, Vertex

TURN = math.radians(20.0)
"""Less than this is taken for a stretch of a curve."""

SAME = 1e-6
"""Two points nearer than this [mm] are one."""

TANGENT = 1e-3
"""A round runs into its straights within this angle [rad]."""

FLAT = 0.1
"""Edges that lean less than this (sine) to one another are not slid along."""

_LOWER_LEFT = (1.0, 0.618)
"""Generic, so that no two corners of a rectangle tie."""


class CannotTrim(Exception):  # noqa: N818 - it says what it is
    """Why a trim cannot be made, and what to do."""

    def __init__(self, why: str, do: str) -> None:
        super().__init__(why)
        self.do = do


@dataclass(frozen=True, kw_only=True)
class Corner:
    """A corner, or a point between two pieces of a curve.

    Attributes:
        at: where the two edges meet; for a round or chamfer, where they would [mm].
        bulge: of the edge that leaves it.
        turn: how far the outline turns there, left positive [rad]; 0 between pieces of a curve.
        cut: how its tip is taken off.
        size: radius of a round, or leg of a chamfer [mm].
    """

    at: Flat
    bulge: float = 0.0
    turn: float = 0.0
    cut: Literal["sharp", "round", "chamfer"] = "sharp"
    size: float = 0.0

    @property
    def numbered(self) -> bool:
        """Whether it is a corner at all."""
        return abs(self.turn) > TURN

    @property
    def reach(self) -> float:
        """How much of each edge the cut takes [mm]."""
        return self.size * math.tan(abs(self.turn) / 2.0) if self.cut == "round" else self.size


Ring = tuple[Corner, ...]


def corners_of(part: Part) -> tuple[Flat, ...]:
    """Where the numbered corners are [mm]: corner 1 first; of a trimmed part, before trimming.

    >>> square = Loop(vertices=((9, 0, 0), (9, 5, 0), (0, 5, 0), (0, 0, 0)))
    >>> corners_of(Part(name="a", thickness=3, material="a36", outline=square))
    ((0, 0), (9, 0), (9, 5), (0, 5))
    """
    found = tuple(c.at for c in ring(generated(part)) if c.numbered)
    return tuple((x, -y) for x, y in found) if part.twin_of else found


def outward(part: Part) -> tuple[Flat, ...]:
    """At each numbered corner, the unit direction that points out of the plate between its edges.

    >>> square = Loop(vertices=((0, 0, 0), (9, 0, 0), (9, 9, 0), (0, 9, 0)))
    >>> [round(v, 3) for v in outward(Part(name="a", thickness=3, material="m", outline=square))[0]]
    [-0.707, -0.707]
    """
    made = ring(generated(part))
    ways = [_out(made, i) for i, c in enumerate(made) if c.numbered]
    return tuple((x, -y) if part.twin_of else (x, y) for x, y in ways)


def _out(made: Ring, i: int) -> Flat:
    """Square to the mean of the ways in and out, to the right of an anticlockwise outline."""
    a, at, b = made[i - 1].at, made[i].at, made[(i + 1) % len(made)].at
    p, q = math.dist(a, at), math.dist(at, b)
    x = (at[0] - a[0]) / p + (b[0] - at[0]) / q
    y = (at[1] - a[1]) / p + (b[1] - at[1]) / q
    far = math.hypot(x, y) or 1.0
    return (y / far, -x / far)


def generated(part: Part) -> Loop:
    """The outline a part's corners are numbered by: untrimmed, and of a twin, its original's."""
    if part.generated is not None:
        return part.generated
    return flipped(part.outline) if part.twin_of else part.outline


def ring(outline: Loop) -> Ring:
    """An outline's corners from corner 1 on, with the points of its curves between them."""
    nodes = tuple(_nodes(_clean(outline)))
    first = min(
        (i for i, c in enumerate(nodes) if c.numbered),
        key=lambda i: sum(a * b for a, b in zip(nodes[i].at, _LOWER_LEFT, strict=True)),
        default=0,
    )
    return nodes[first:] + nodes[:first]


def _clean(loop: Loop) -> tuple[Vertex, ...]:
    """The outline's vertices anticlockwise, none twice, none amid a straight."""
    v = (loop if not loop.vertices or area(loop) >= 0.0 else backwards(loop)).vertices
    v = tuple(p for i, p in enumerate(v) if math.dist(p[:2], v[(i + 1) % len(v)][:2]) > SAME)
    amid = {i for i in range(len(v)) if not (v[i - 1][2] or v[i][2]) and _straight_on(v, i)}
    return tuple(p for i, p in enumerate(v) if i not in amid)


def _straight_on(v: tuple[Vertex, ...], i: int) -> bool:
    return abs(_between(_way(v, i - 1, last=True), _way(v, i, last=False))) < 1e-9


def _nodes(v: tuple[Vertex, ...]) -> Iterator[Corner]:
    """Every vertex as a corner; both ends of a round as one."""
    n = len(v)
    rounds = {i for i in range(n) if _is_round(v, i)}
    for i in range(n):
        if (i - 1) % n in rounds:
            continue
        x, y, bulge = v[i]
        if i in rounds:
            turn = 4.0 * math.atan(bulge)
            chord = math.dist(v[i][:2], v[(i + 1) % n][:2])
            radius = chord / (2.0 * math.sin(abs(turn) / 2.0))
            way = _way(v, i - 1, last=True)
            leg = radius * math.tan(abs(turn) / 2.0)
            tip = (x + leg * math.cos(way), y + leg * math.sin(way))
            yield Corner(at=tip, turn=turn, cut="round", size=radius)
        else:
            turn = _between(_way(v, i - 1, last=True), _way(v, i, last=False))
            yield Corner(at=(x, y), bulge=bulge, turn=turn if abs(turn) > TURN else 0.0)


def _is_round(v: tuple[Vertex, ...], i: int) -> bool:
    """Whether the edge from vertex i is an arc that rounds the corner of two straights."""
    n, turn = len(v), 4.0 * math.atan(v[i][2])
    if not TURN < abs(turn) < math.radians(170.0) or v[i - 1][2] or v[(i + 1) % n][2]:
        return False
    before = _between(_way(v, i - 1, last=True), _way(v, i, last=False))
    after = _between(_way(v, i, last=True), _way(v, i + 1, last=False))
    return abs(before) < TANGENT and abs(after) < TANGENT


def _way(v: tuple[Vertex, ...], i: int, *, last: bool) -> float:
    """Which way an edge goes at its beginning, or at its end [rad]."""
    n = len(v)
    (x, y, bulge), (x1, y1, _) = v[i % n], v[(i + 1) % n]
    half = 2.0 * math.atan(bulge)
    return math.atan2(y1 - y, x1 - x) + (half if last else -half)


def _between(a: float, b: float) -> float:
    return math.remainder(b - a, 2.0 * math.pi)


def outline_of(corners: Ring) -> Loop:
    """The outline with every corner cut as it says."""
    return Loop(vertices=tuple(v for i in range(len(corners)) for v in _cut(corners, i)))


def _cut(corners: Ring, i: int) -> tuple[Vertex, ...]:
    here = corners[i]
    if here.cut == "sharp":
        return ((*here.at, here.bulge),)
    before, after = corners[i - 1].at, corners[(i + 1) % len(corners)].at
    bulge = math.tan(here.turn / 4.0) if here.cut == "round" else 0.0
    return (
        (*_toward(here.at, before, here.reach), bulge),
        (*_toward(here.at, after, here.reach), 0.0),
    )


def _toward(a: Flat, b: Flat, far: float) -> Flat:
    share = far / math.dist(a, b)
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def index_of(corners: Ring, number: int, what: str) -> int:
    """Where a corner or edge of this number stands in the ring.

    Raises:
        CannotTrim: there is none of this number.
    """
    numbered = [i for i, c in enumerate(corners) if c.numbered]
    if number > len(numbered):
        raise CannotTrim(
            f"it has no {what} {number} any more: its outline has {len(numbered)}",
            f"look up the {what}'s number on the new template, or take this trim out",
        )
    return numbered[number - 1]


def cut_corner(corners: Ring, number: int, cut: Literal["round", "chamfer"], size: float) -> Ring:
    """The corners with one chamfered (leg) or rounded (radius) [mm].

    Raises:
        CannotTrim: no such corner, an inside one, cut further already, or not enough edge.
    """
    i = index_of(corners, number, "corner")
    here = corners[i]
    if here.turn < 0.0:
        raise CannotTrim(
            f"corner {number} is an inside corner: nothing stands out there",
            "move one of its edges back instead: edge and back",
        )
    if here.bulge or corners[i - 1].bulge:
        raise CannotTrim(
            f"corner {number} lies between curves, not straights", "move it with a reading instead"
        )
    there = replace(here, cut=cut, size=size)
    if here.cut != "sharp" and (there.reach < here.reach or here.cut == "chamfer" != cut):
        raise CannotTrim(
            f"corner {number} already has a {here.cut} of {here.size:.2f} mm",
            f"ask for a {cut} that reaches more than {here.reach:.2f} mm along its edges",
        )
    _room(corners, i, there)
    return (*corners[:i], there, *corners[i + 1 :])


def _room(corners: Ring, i: int, there: Corner) -> None:
    """Whether both edges are long enough for a cut. Raises CannotTrim."""
    for other in (corners[i - 1], corners[(i + 1) % len(corners)]):
        left = math.dist(there.at, other.at) - (other.reach if other.cut != "sharp" else 0.0)
        if there.reach > left - 1e-6:
            raise CannotTrim(
                f"it would take {there.reach:.1f} mm of an edge of which {left:.1f} mm are there",
                f"make it smaller than {left:.1f} mm along the edge",
            )


def edge_back(corners: Ring, number: int, back: float) -> Ring:
    """The corners with one straight edge moved in by so much [mm].

    Raises:
        CannotTrim: no such edge, a curved one, or one whose neighbours are curved.
    """
    i = index_of(corners, number, "edge")
    n = len(corners)
    j = (i + 1) % n
    edges = (corners[i - 1], corners[i], corners[j])
    if not corners[j].numbered or any(c.bulge for c in edges):
        raise CannotTrim(
            f"edge {number} or the edge beside it is a curve",
            "only a straight edge between straights can be moved back",
        )
    a, b = corners[i].at, corners[j].at
    length = math.dist(a, b)
    inward = (-(b[1] - a[1]) / length * back, (b[0] - a[0]) / length * back)
    moved = {
        i: _slid(corners[i - 1].at, a, inward, back, number),
        j: _slid(corners[(j + 1) % n].at, b, inward, back, number),
    }
    if sum(p * q for p, q in zip(_minus(moved[j], moved[i]), _minus(b, a), strict=True)) <= 0.0:
        raise CannotTrim(f"nothing of edge {number} is left", "move it back less")
    made = tuple(replace(c, at=moved[k]) if k in moved else c for k, c in enumerate(corners))
    for k in (i, j):
        _room(made, k, made[k])
    return made


def _slid(far: Flat, tip: Flat, inward: Flat, back: float, number: int) -> Flat:
    """A tip slid along its other edge until it lies `back` further in.

    Raises:
        CannotTrim: the other edge is too short, or runs off outward.
    """
    run = _minus(far, tip)
    depth = (run[0] * inward[0] + run[1] * inward[1]) / back
    if 0.0 <= depth <= back or abs(depth) < FLAT * math.hypot(*run):
        raise CannotTrim(
            f"the edge beside edge {number} reaches {max(depth, 0.0):.1f} mm in, not {back:.1f} mm",
            "move it back less",
        )
    return (tip[0] + run[0] * back / depth, tip[1] + run[1] * back / depth)


def _minus(a: Flat, b: Flat) -> Flat:
    return (a[0] - b[0], a[1] - b[1])
