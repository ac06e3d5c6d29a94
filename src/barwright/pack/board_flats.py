"""A folded part as flats of board: one a panel, run out to where the outside faces meet.

Board does not fold. Each panel is cut by itself and the flats are glued or taped: at a bend the
panel nearer the fixed one runs to the corner, the one beyond butts against it, so that the
outside faces and the hole centres are the metal part's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely import Polygon, unary_union

from barwright.geometry.pose import Pose, pose_of
from barwright.plates.folded import Folded, Panel, Strip, beyond, folded
from barwright.plates.part import Fold, Part

TOUCH = 1e-3
"""Pieces nearer than this [mm] hang together."""

SHARPEST = math.radians(150.0)
"""Folds past this have no corner that flats could meet in."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Flat:
    """A flat of board in the making.

    Attributes:
        name: of the flat: the part's own, with a letter where there are several.
        part: the metal part it stands for, as cut.
        shape: in the part's flat pattern's frame [mm].
        metal: the metal panel's shape and pose.
        shift: how far above the metal's far face the board begins [mm]; negative below.
        joints: (number, where) of each glued edge, for the etched marks.
        calls: what comes to each glued edge, and at which angle, in words.
    """

    name: str
    part: Part
    shape: Polygon
    metal: Panel
    shift: float
    joints: tuple[tuple[int, tuple[float, float]], ...] = ()
    calls: tuple[str, ...] = ()

    @property
    def placed(self) -> Pose:
        """Where the board stands: z = 0 its own far face."""
        return self.metal.pose.after(pose_of(np.eye(3), (0.0, 0.0, self.shift)))


def flats_of(part: Part, board: float) -> list[Flat]:
    """A part, which must not be placed by mirroring, as flats of board of a thickness [mm].

    A flat part keeps its middle plane; a folded one the face outside its bends (the face most of
    them have outside where they go both ways).
    """
    whole, shift = folded(part), _shift(part, board)
    shapes = [panel.shape for panel in whole.panels]
    joints: list[list[tuple[int, tuple[float, float]]]] = [[] for _ in shapes]
    calls: list[list[str]] = [[] for _ in shapes]
    several = len(shapes) > 1
    names = [
        f"{part.name}-{chr(ord('a') + i)}" if several else part.name for i in range(len(shapes))
    ]
    for number, strip in enumerate(whole.strips, start=1):
        if abs(strip.fold.angle) > SHARPEST:
            continue
        ends = _ends(whole, strip, _run_out(strip, board, shift))
        for i, reach, inner in ends:
            shapes[i] = _extended(shapes[i], strip, reach, inner=inner)
            joints[i].append((number, _beside(strip, reach, inner=inner)))
            others = ", ".join(names[j][len(part.name) :] for j, _, _ in ends if j != i)
            calls[i].append(f"edge {number} to flat {others}, {_angle(strip.fold)}")
    return [
        Flat(
            name=names[i],
            part=part,
            shape=shape,
            metal=whole.panels[i],
            shift=shift,
            joints=tuple(joints[i]),
            calls=tuple(calls[i]),
        )
        for i, shape in enumerate(shapes)
    ]


def _angle(fold: Fold) -> str:
    """How two flats stand to one another: how far the one is turned up or down from the other."""
    return f"{math.degrees(abs(fold.angle)):.1f}° {'UP' if fold.angle > 0.0 else 'DOWN'}"


def _shift(part: Part, board: float) -> float:
    if not part.folds:
        return (part.thickness - board) / 2.0
    up = sum(math.dist(f.start, f.end) * math.copysign(1.0, f.angle) for f in part.folds)
    return 0.0 if up >= 0.0 else part.thickness - board


def setback(fold: Fold, metal: float, board: float, shift: float) -> float:
    """From the metal's tangent line to the corner of the board's outside faces [mm].

    (r + t + e) tan(θ/2), e being how far the board's outside face lies outside the metal's.
    """
    proud = -shift if fold.angle > 0.0 else shift + board - metal
    return (fold.radius + metal + proud) * math.tan(abs(fold.angle) / 2.0)


def butt(angle: float, board: float) -> float:
    """How far short of the corner the butting flat stops [mm], its edge cut square.

    Up to 90° its end face comes to lie on the other's inner corner: b sin θ; beyond, its own
    inner corner on the other's inner face: b tan(θ/2). From the two flats' corners.

    >>> round(butt(math.pi / 2, 3.0), 9)
    3.0
    """
    theta = abs(angle)
    return board * (math.sin(theta) if theta < math.pi / 2.0 else math.tan(theta / 2.0))


def _run_out(strip: Strip, board: float, shift: float) -> tuple[float, float]:
    """How far the nearer and the further panel run out past their tangent lines [mm]."""
    reach = setback(strip.fold, strip.thickness, board, shift)
    return reach, reach - butt(strip.fold.angle, board)


def _ends(whole: Folded, strip: Strip, run: tuple[float, float]) -> list[tuple[int, float, bool]]:
    """The panels at a bend: index, run-out, and whether it is the nearer one."""
    far = beyond(strip.pose, strip.fold, strip.out, strip.thickness)
    found = []
    for i, panel in enumerate(whole.panels):
        if panel.shape.distance(strip.shape) > TOUCH:
            continue
        if _same(panel.pose, strip.pose):
            found.append((i, run[0], True))
        elif _same(panel.pose, far):
            found.append((i, run[1], False))
    return found


def _same(a: Pose, b: Pose) -> bool:
    return np.allclose(a.matrix, b.matrix, atol=1e-9) and np.allclose(a.shift, b.shift, atol=1e-6)


def _frame(strip: Strip) -> tuple[np.ndarray, np.ndarray, np.ndarray, float, float]:
    """Where the bend begins, along it, across it outward, and its reach along."""
    start, out = np.array(strip.fold.start), np.array(strip.out)
    along = np.subtract(strip.fold.end, strip.fold.start)
    along = along / np.hypot(*along)
    s = (np.array(strip.shape.exterior.coords) - start) @ along
    return start - out * strip.width / 2.0, along, out, float(s.min()), float(s.max())


def _extended(shape: Polygon, strip: Strip, reach: float, *, inner: bool) -> Polygon:
    """A panel run out past its tangent line, or cut back where the reach is negative."""
    begin, along, out, low, high = _frame(strip)
    edge, way = (begin, out) if inner else (begin + strip.width * out, -out)
    back = 10.0 * TOUCH if reach > 0.0 else 0.0
    far = edge + reach * way
    near = edge - back * way
    band = Polygon([near + low * along, near + high * along, far + high * along, far + low * along])
    made = unary_union([shape, band]) if reach > 0.0 else shape.difference(band)
    parts = [p for p in getattr(made, "geoms", [made]) if isinstance(p, Polygon)]
    return max(parts, key=lambda p: p.area)


def _beside(strip: Strip, reach: float, *, inner: bool) -> tuple[float, float]:
    """A place just inside a glued edge, for its number."""
    begin, along, out, low, high = _frame(strip)
    edge, way = (begin, out) if inner else (begin + strip.width * out, -out)
    x, y = edge + (reach - 6.0) * way + (low + high) / 2.0 * along
    return (float(x), float(y))
