"""Three views of the marks to read by: from above, from the left side, from the front.

Third angle: the side view has the front at its left, the view from above stands over it, the
view from the front beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from barwright.pack.drawing import NOTE, XY, Circle, Line, Primitive, Style, Text
from barwright.pack.paper import text_width

if TYPE_CHECKING:
    from barwright.geometry.vectors import Floats
    from barwright.job.schema import Job
    from barwright.pack.reading_form import FormRow
    from barwright.survey.marks import Marks

Box: TypeAlias = tuple[float, float, float, float]
"""Left, low, right, high [mm on paper]."""

BAR = Style(colour="#9aa4ad", width=0.9)
ASKED = Style(colour="#b3261e", width=0.35, dash=(2.0, 1.2))
LEADER = Style(colour="#707070", width=0.12)
DOT = Style(width=0.0, fill="#000000")
LABEL = 2.0
"""Height of a mark's letters [mm]."""

TOGETHER = 1.3
"""Marks closer than this on paper share a label [mm]."""

GAP = 14.0
"""Between views [mm]."""

VIEWS = {
    "from above": ((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
    "left side": ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "front": ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
}
"""Which way on the vehicle runs right and up on paper."""


@dataclass(frozen=True, kw_only=True)
class Flattened:
    """One view: names and where they lie, in millimetres of the vehicle."""

    name: str
    at: dict[str, tuple[float, float]]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height."""
        xy = np.array(list(self.at.values()))
        wide, high = np.ptp(xy, axis=0)
        return float(wide), float(high)


def sketch(job: Job, marks: Marks, rows: Iterable[FormRow], box: Box) -> tuple[Primitive, ...]:
    """The three views as large as they go into a box of the paper.

    Args:
        job: whose bars are drawn.
        marks: where the marks are, at least one.
        rows: of the form; those asked for are drawn.
        box: of the paper [mm].
    """
    views = [_flattened(name, marks) for name in VIEWS]
    scale, places = _laid_out(views, box)
    asked = [r for r in rows if r.asked]
    items: list[Primitive] = []
    for view, (x, y) in zip(views, places, strict=True):
        xy = np.array(list(view.at.values()))
        low = xy.min(axis=0)
        on = {
            n: (x + (a - low[0]) * scale, y + (b - low[1]) * scale) for n, (a, b) in view.at.items()
        }
        items += _view(view, on, job, asked)
    items.append(
        Text(text=f"about 1 : {1 / scale:.0f}", at=(box[2], box[1]), height=1.8, anchor="right")
    )
    return tuple(items)


def _flattened(name: str, marks: Marks) -> Flattened:
    axes: Floats = np.array(VIEWS[name])
    flat = marks.xyz @ axes.T
    return Flattened(
        name=name,
        at={n: (float(p[0]), float(p[1])) for n, p in zip(marks.names, flat, strict=True)},
    )


def _laid_out(views: list[Flattened], box: Box) -> tuple[float, list[XY]]:
    """The scale, and each view's lower left corner: beside or below, whichever is larger."""
    (tw, th), (sw, sh), (fw, fh) = (v.size for v in views)
    wide, high = box[2] - box[0] - 2 * GAP, box[3] - box[1] - 2 * GAP
    beside = min((wide - GAP) / max(sw + fw, 1.0), (high - GAP) / max(th + max(sh, fh), 1.0))
    below = min(wide / max(sw, tw, fw, 1.0), (high - 2 * GAP) / max(th + sh + fh, 1.0))
    scale = min(max(beside, below), 0.5)
    x, top = box[0] + GAP, box[3] - GAP
    if beside >= below:
        x += (wide - GAP - (sw + fw) * scale) / 2
        low = top - th * scale - GAP - max(sh, fh) * scale
        right = x + fw * scale + GAP
        return scale, [(right, top - th * scale), (right, low), (x, low)]
    a = top - th * scale
    b = a - GAP - sh * scale
    x += (wide - max(sw, tw, fw) * scale) / 2
    return scale, [(x, a), (x, b), (x, b - GAP - fh * scale)]


def _view(view: Flattened, on: dict[str, XY], job: Job, asked: list[FormRow]) -> list[Primitive]:
    low = min(p[1] for p in on.values())
    middle = (min(p[0] for p in on.values()) + max(p[0] for p in on.values())) / 2
    items: list[Primitive] = [
        Text(text=view.name, at=(middle, low - 7.5), height=2.2, anchor="middle", bold=True)
    ]
    runs = [bar.path for bar in job.bar.values() if bar.path]
    lines = [(on[a], on[b]) for path in runs for a, b in pairwise(path) if a in on and b in on]
    items += [Line(start=a, end=b, layer=NOTE, style=BAR) for a, b in lines]
    for row in asked:
        ends = [on[m] for m in row.marks if m in on]
        pairs = pairwise(ends)
        items += [Line(start=a, end=b, layer=NOTE, style=ASKED) for a, b in pairs]
    items += [Circle(centre=p, radius=0.55, layer=NOTE, style=DOT) for p in on.values()]
    return items + _labels(on, lines)


def _labels(on: dict[str, XY], lines: list[tuple[XY, XY]]) -> list[Primitive]:
    """Names beside their marks, clear of each other, of the marks and, if possible, the bars."""
    taken: list[Box] = [(x - 0.8, y - 0.8, x + 0.8, y + 0.8) for x, y in on.values()]
    ink = np.array([p for a, b in lines for p in _along(a, b)] or [(1e9, 1e9)])
    items: list[Primitive] = []
    for text, (x, y) in _together(on):
        wide = text_width(text, LABEL)
        box = min(_places(x, y, wide), key=lambda b: _crowding(b, taken, ink, (x, y)))
        taken.append(box)
        near = (min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3]))
        if math.dist(near, (x, y)) > 2.0:
            items.append(Line(start=(x, y), end=near, layer=NOTE, style=LEADER))
        items.append(Text(text=text, at=(box[0], box[1]), height=LABEL))
    return items


def _together(on: dict[str, XY]) -> list[tuple[str, XY]]:
    """Marks that fall on one spot as one label."""
    groups: list[tuple[list[str], XY]] = []
    for name, p in on.items():
        near = next((g for g in groups if math.dist(g[1], p) < TOGETHER), None)
        if near:
            near[0].append(name)
        else:
            groups.append(([name], p))
    return [(_joined(names), p) for names, p in groups]


def _joined(names: list[str]) -> str:
    short = [n if len(n) <= 14 else n[:13] + "…" for n in names]
    return " ".join(short[:4]) + (" …" if len(short) > 4 else "")


def _places(x: float, y: float, wide: float) -> list[Box]:
    """Where a label may stand round a mark, nearest first."""
    found = []
    for far in (1.1, 3.2, 6.0, 9.5):
        for k in range(12):
            a = math.tau * (k + 0.5) / 12
            cx = x + math.cos(a) * (far + wide / 2)
            cy = y + math.sin(a) * (far + LABEL / 2)
            found.append((cx - wide / 2, cy - LABEL / 2, cx + wide / 2, cy + LABEL / 2))
    return found


def _crowding(box: Box, taken: list[Box], ink: Floats, home: XY) -> float:
    """What a place costs: what it covers, and how far off it is."""
    hits = sum(_overlap(box, t) for t in taken)
    on_ink = np.sum(
        (ink[:, 0] > box[0] - 0.3)
        & (ink[:, 0] < box[2] + 0.3)
        & (ink[:, 1] > box[1] - 0.3)
        & (ink[:, 1] < box[3] + 0.3)
    )
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    return 20.0 * hits + 0.6 * float(on_ink) + 0.3 * math.dist(middle, home)


def _overlap(a: Box, b: Box) -> float:
    wide = min(a[2], b[2]) - max(a[0], b[0]) + 0.6
    high = min(a[3], b[3]) - max(a[1], b[1]) + 0.4
    return max(wide, 0.0) * max(high, 0.0)


def _along(a: XY, b: XY) -> list[XY]:
    count = max(2, int(math.dist(a, b) / 0.8))
    return [
        (a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count)
        for i in range(count + 1)
    ]
