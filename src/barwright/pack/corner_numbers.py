"""The numbers of a plate's corners on paper, where trims look them up; they are never cut."""

from __future__ import annotations

import math

from barwright.pack.drawing import NOTE, Drawing, Style, Text
from barwright.plates.corners import corners_of, outward
from barwright.plates.part import Part

HEIGHT = 1.5
"""Of the numbers [mm of paper]."""

OFF = 2.0
"""How far outside the corner their middle stands [mm of paper]."""

APART = 2.4
"""Numbers nearer than this [mm of paper] are written together."""

_PEN = Style(colour="#7a4a9e")

XY = tuple[float, float]


def corner_numbers(part: Part, scale: float = 1.0, by: XY = (0.0, 0.0)) -> Drawing:
    """Each corner's number beside it.

    Args:
        part: as made, before `twins.as_cut`.
        scale: how its drawing is scaled.
        by: how it is then shifted [mm].
    """
    side = -1.0 if part.placed.mirrors else 1.0
    spots: list[tuple[XY, list[str]]] = []
    for i, at, out in numbered(part):
        x = side * (scale * at[0] + OFF * out[0]) + by[0]
        y = scale * at[1] + OFF * out[1] + by[1]
        near = next((s for s in spots if math.dist(s[0], (x, y)) < APART), None)
        if near is None:
            spots.append(((x, y), [str(i)]))
        else:
            near[1].append(str(i))
    return tuple(_number(at, ",".join(names)) for at, names in spots)


def numbered(part: Part) -> tuple[tuple[int, XY, XY], ...]:
    """Number, place [mm] and unit direction outward of each corner, before `twins.as_cut`.

    A stand-in of board has the numbers of the metal part, for trims are written down by them.
    """
    if part.called is not None:
        return part.called
    pairs = zip(corners_of(part), outward(part), strict=True)
    return tuple((i, at, out) for i, (at, out) in enumerate(pairs, start=1))


def _number(at: XY, text: str) -> Text:
    low = (at[0], at[1] - HEIGHT / 2.0)
    return Text(text=text, at=low, height=HEIGHT, anchor="middle", layer=NOTE, style=_PEN)
