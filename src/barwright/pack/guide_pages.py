"""The build guide on paper: a page a step, what is new in colour, what stands already in grey."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from barwright.geometry.pose import Pose
from barwright.geometry.vectors import Floats, Point
from barwright.pack.drawing import NOTE, Drawing, Loop, Primitive, Style, Text
from barwright.pack.guide import Step, steps
from barwright.pack.pages import Box, framed, paragraph
from barwright.pack.paper import Book, Sheet, sheet_for, wrapped
from barwright.pack.picture import Hull, Shape, Tube, View, picture, tube_of
from barwright.pack.plate_faces import faces_of
from barwright.pack.scene import THERE, body_shapes, leaf_of_bar, leaf_pose

if TYPE_CHECKING:
    from barwright.route import Build

APART = 120.0
"""Parts are drawn apart no further than this [mm]."""

NEW, NEW_PLATE = "#e08a2e", "#3f8f63"


def guide_pdf(build: Build, stage: str) -> bytes:
    """A page a step."""
    sheet = sheet_for(build.job.job.unit)
    book = Book(sheet, f"{build.job.job.name}: build guide")
    todo = steps(build, stage)
    everything = _things(build, 0.0)
    there = {bar.name for bar in build.bars.bars if bar.stands}
    for i, step in enumerate(todo):
        page = _page(build, step, (i + 1, len(todo)), sheet, (everything, there))
        book.page(page, mark=f"{i + 1} {step.title}")
        there |= set(step.adds)
    return book.close()


Things = dict[str, list[Shape]]


def _things(build: Build, share: float) -> Things:
    """Name -> shapes, in the colours of what is new; what stands on the vehicle is grey."""
    made: Things = {}
    for bar in build.bars.bars:
        pose = leaf_pose(build, leaf_of_bar(build, bar.name), share)
        colour = THERE if bar.stands else NEW
        made[bar.name] = [tube_of(bar.centreline, bar.radius, colour, pose)]
    for part in build.parts.parts:
        pose = leaf_pose(build, part.rides, share) or Pose()
        made[part.name] = list(faces_of(part, NEW_PLATE, pose))
    for item in build.parts.hardware:
        pose = leaf_pose(build, item.rides, share) or Pose()
        made[item.name] = body_shapes(item.body, NEW, pose)
    return made


def _page(
    build: Build, step: Step, number: tuple[int, int], sheet: Sheet, known: tuple[Things, set[str]]
) -> Drawing:
    everything, there = known
    frame, (x0, y0, x1, y1) = framed(
        sheet, f"Step {number[0]}", build.job.job.name, f"{number[0]} of {number[1]}"
    )
    title, y = paragraph(step.title, (x0, y1), x1 - x0, height=3.4, bold=True)
    items: list[Primitive] = [*frame, *title]
    y -= 2.0
    for line in step.says:
        rows, after = paragraph(line, (x0 + 6.0, y), x1 - x0 - 6.0, height=2.7)
        box = Text(text="☐", at=(x0, y - 1.75 * 2.7), height=3.2, style=Style())
        items += [box, *rows]
        y = after - 1.2
    signed, y0 = _signed(step, (x0, y0, x1))
    items += signed
    shown = _things(build, step.share) if step.share else everything
    shown = _apart(shown, step)
    picked = _picked(step, shown, there)
    if picked and y - y0 > 60.0:
        items += _drawn(step, picked, shown, (x0 + 4.0, y0 + 2.0, x1 - 4.0, y - 6.0))
    return tuple(items)


def _signed(step: Step, place: tuple[float, float, float]) -> tuple[list[Primitive], float]:
    """The hold point and what is ticked and signed, at the foot of the page; where it ends (y)."""
    x0, bottom, x1 = place
    rows = [f"HOLD: {step.hold}"] if step.hold else []
    rows += [f"☐ {check}" for check in step.checks]
    lines = [line for row in rows for line in wrapped(row, 2.5, x1 - x0 - 8.0)]
    if not lines:
        return [], bottom
    top = bottom + 4.6 * len(lines) + 13.0
    frame = ((x0, bottom, 0.0), (x1, bottom, 0.0), (x1, top, 0.0), (x0, top, 0.0))
    pen = Style(colour="#b3261e" if step.hold else "#555555", width=0.5)
    sign = "Checked by ______________________   date ______________   go on ☐   stop ☐"
    items: list[Primitive] = [
        Loop(vertices=frame, layer=NOTE, style=pen),
        *(
            Text(
                text=line,
                at=(x0 + 4.0, top - 5.4 - 4.6 * i),
                height=2.5,
                bold=bool(step.hold) and i == 0,
            )
            for i, line in enumerate(lines)
        ),
        Text(text=sign, at=(x0 + 4.0, bottom + 3.5), height=2.5),
    ]
    return items, top + 2.0


def _apart(shown: Things, step: Step) -> Things:
    """What is added, drawn apart the way it comes in, half as far as all of it reaches."""
    ways = {name: np.array(way) for name, way in step.explode if name in shown}
    points = [p for name in ways for s in shown[name] for p in _points(s)]
    if not points:
        return shown
    reach = np.ptp(np.array(points), axis=0)
    far = min(0.5 * float(np.linalg.norm(reach)), APART)
    return shown | {n: [_shifted(s, far * way) for s in shown[n]] for n, way in ways.items()}


def _shifted(shape: Shape, by: Floats) -> Shape:
    def put(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((x + by[0], y + by[1], z + by[2]) for x, y, z in points)

    if isinstance(shape, Tube):
        return replace(shape, points=put(shape.points))
    if isinstance(shape, Hull):
        return replace(shape, corners=put(shape.corners))
    return replace(shape, corners=put(shape.corners), holes=tuple(put(h) for h in shape.holes))


def _picked(step: Step, shown: Things, there: set[str]) -> list[Shape]:
    """What is there in grey, what is new or spoken of in colour; all of it where nothing is."""
    told = step.adds or step.shows
    if not told:
        return [s for name, shapes in shown.items() if name in there for s in shapes]
    rest = [shapes for name, shapes in shown.items() if name in there and name not in told]
    old = [_grey(s) for shapes in rest for s in shapes]
    return [*old, *(s for name in told for s in shown.get(name, []))]


def _grey(shape: Shape) -> Shape:
    return replace(shape, colour=THERE)


def _drawn(step: Step, picked: list[Shape], shown: Things, box: Box) -> Drawing:
    """The picture: the whole at one scale, or what is new from near with what is about it."""
    if not step.close:
        return picture(picked, box, reach=[s for shapes in shown.values() for s in shapes])
    fresh = [s for name in step.adds for s in shown.get(name, [])]
    points = np.array([p for s in fresh for p in _points(s)])
    low, high = points.min(axis=0), points.max(axis=0)
    middle, near = (low + high) / 2.0, 0.8 * float(np.linalg.norm(high - low))
    about = [s for shape in picked if (s := _clipped(shape, middle, near)) is not None]
    mine = [shape for shape in about if isinstance(shape, Tube)]
    return picture([*mine, *fresh], box, view=View(azimuth=math.copysign(38.0, middle[1])))


def _points(shape: Shape) -> tuple[Point, ...]:
    return shape.points if isinstance(shape, Tube) else shape.corners


def _clipped(shape: Shape, middle: Floats, near: float) -> Shape | None:
    """The stretch of a grey tube that lies about a place."""
    if not isinstance(shape, Tube) or shape.colour != THERE:
        return None
    points = np.array(shape.points)
    t = np.linspace(0.0, len(points) - 1.0, 20 * len(points))
    fine = np.column_stack([np.interp(t, np.arange(len(points)), c) for c in points.T])
    inside = fine[np.linalg.norm(fine - middle, axis=1) < near]
    kept = tuple((float(x), float(y), float(z)) for x, y, z in inside)
    return replace(shape, points=kept) if len(kept) > 1 else None
