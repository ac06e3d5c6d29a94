"""The user's own plates: [plate.NAME] of job.toml."""

from __future__ import annotations

import math

import numpy as np
from shapely import unary_union
from shapely.geometry import Polygon

from barwright.findings import Finding, Level
from barwright.geometry.pose import Pose, frame, pose_of
from barwright.geometry.vectors import Floats
from barwright.job.errors import BadInput, Fault
from barwright.job.names import nearest
from barwright.job.plate_schema import Flange, Hole, PlateTable
from barwright.job.schema import Job
from barwright.plates.against import cut, following
from barwright.plates.bends import setback
from barwright.plates.blank import Blank, Plate, blank, bored, flange, part_of
from barwright.plates.joint import Made, line_body
from barwright.plates.outline import circle, points, rounded, slot
from barwright.plates.part import Fold, Loop, Part
from barwright.plates.template import Laid, laid
from barwright.survey.marks import Marks
from barwright.tubes.bars import Bars


def user_plates(job: Job, marks: Marks, bars: Bars) -> Made:
    """Every [plate.NAME] as a part.

    Raises:
        BadInput: marks, sheets or bars that are not there, or outlines that cannot be; all of
            them together.
    """
    made: list[Part] = []
    found: list[Finding] = []
    faults: list[Fault] = []
    for name, table in job.plate.items():
        if table.template is not None and job.drawing(table.template) is None:
            found.append(_not_read(name, table.template))
            continue
        try:
            part, said = _part(name, table, job, marks, bars)
            made.append(part)
            found += said
        except BadInput as error:
            faults += error.faults
    if faults:
        raise BadInput(*faults)
    joins = {(p.name, bar) for p in made for bar in job.plate[p.name].against}
    return Made(parts=tuple(made), joins=frozenset(joins), findings=tuple(found))


def _part(
    name: str, table: PlateTable, job: Job, marks: Marks, bars: Bars
) -> tuple[Part, tuple[Finding, ...]]:
    entry = f"plate.{name}"
    plate = _plate(entry, table, job)
    traced = _traced(name, table, job, marks)
    placed, corners = _plane(entry, table, marks, traced)
    placed = placed.after(pose_of(np.eye(3), (0.0, 0.0, table.offset)))
    loop = traced.outline if traced else rounded(corners, table.corner)
    base = Polygon(points(loop))
    if not base.is_valid or base.area < 1.0:
        raise _bad(
            f"{entry}.outline", "", "an outline that does not cross itself", "reorder its corners"
        )
    b = blank(plate, base, placed)
    for row in _apart(table.flanges, len(corners), plate):
        if row.edge < len(corners) and traced and loop.vertices[row.edge][2]:
            raise _bad(f"{entry}.flanges.edge", str(row.edge), "a straight edge", "name another")
        b = _flanged(entry, b, corners, row)
    if _overlap(b) > 1.0:
        raise _bad(
            f"{entry}.flanges",
            f"{_overlap(b):.0f} mm² twice",
            "flanges that lie side by side when flat",
            "shorten them, or set them in from the corner",
        )
    for bar in _against(entry, table, bars):
        gap = job.job.weld_gap if table.gap is None else table.gap
        b = cut(b, following(line_body(bars.named(bar)), gap))
    b = bored(b, *(traced.holes if traced else ()), *(_hole(h) for h in table.holes))
    centre = base.representative_point()
    try:
        etch = traced.etch if traced else ()
        part = part_of(b, name, keep=(centre.x, centre.y), rides=table.rides, etch=etch)
    except ValueError as error:
        raise _bad(entry, "", str(error), "move the outline off the tubes it follows") from None
    return _with_folds(part, table, plate), traced.findings if traced else ()


def _traced(name: str, table: PlateTable, job: Job, marks: Marks) -> Laid | None:
    """The plate's template in its own plane; None for a plate without one.

    Raises:
        BadInput: it is not placed by `at`, has an outline besides, or has no such line.
    """
    drawing = None if table.template is None else job.drawing(table.template)
    if drawing is None:
        return None
    if table.at is None or table.outline is not None or table.marks is not None:
        raise _bad(
            f"plate.{name}.template",
            table.template or "",
            "a template placed by `at`, and no `outline` or `marks` besides",
            "add at = { origin, along, toward }, and take the other out",
        )
    for key in ("origin", "along"):
        _at(f"plate.{name}.at.{key}", getattr(table.at, key), marks)
    return laid(name, table, drawing, marks)


def _not_read(name: str, file: str) -> Finding:
    return Finding(
        code="plates.template",
        level=Level.LOOK,
        subject=f"plate.{name}",
        says=f"{file} was not read here, and the plate is left out.",
        remedy="check the job from its folder",
    )


def _with_folds(part: Part, table: PlateTable, plate: Plate) -> Part:
    from dataclasses import replace

    lines = tuple(
        Fold(start=f.start, end=f.end, angle=f.angle, radius=f.radius or plate.radius, k=plate.k)
        for f in table.folds
    )
    return replace(part, folds=(*part.folds, *lines))


def _plate(entry: str, table: PlateTable, job: Job) -> Plate:
    if table.sheet is not None:
        if table.sheet not in job.sheet:
            raise _unknown(f"{entry}.sheet", table.sheet, "a sheet of the job", tuple(job.sheet))
        s = job.sheet[table.sheet]
        t = table.thickness or s.thickness
        return Plate(
            thickness=t,
            radius=s.radius or t,
            material=s.material,
            k=s.k_factor,
            kerf=s.kerf,
            grain=s.grain,
        )
    if table.thickness is None:
        raise _bad(
            f"{entry}.sheet", "", "a sheet, or a thickness", 'add sheet = "…" or thickness = …'
        )
    return Plate(thickness=table.thickness, radius=table.thickness, material=table.material)


def _plane(
    entry: str, table: PlateTable, marks: Marks, traced: Laid | None = None
) -> tuple[Pose, Floats]:
    """Where the plate's plane stands, and the outline's corners in it, anticlockwise."""
    if table.marks is not None:
        return _through(entry, table.marks, marks)
    outline = table.outline
    if traced is not None:
        outline = tuple((x, y) for x, y, _ in traced.outline.vertices)
    if table.at is None or outline is None or len(outline) < (2 if traced else 3):
        raise _bad(entry, "", "an outline of three corners or more with `at`, or `marks`", "")
    a, b, c = (
        np.array(_at(f"{entry}.at.{k}", getattr(table.at, k), marks))
        for k in ("origin", "along", "toward")
    )
    try:
        pose = frame(a, b - a, c - a)
    except ValueError:
        raise _bad(f"{entry}.at", "", "three marks not in line", "name another mark") from None
    corners = np.array(outline)
    return pose, corners if traced else _anticlockwise(corners)


def _through(entry: str, names: tuple[str, ...], marks: Marks) -> tuple[Pose, Floats]:
    if len(names) < 3:
        raise _bad(f"{entry}.marks", " ".join(names), "three marks or more", "")
    p = np.array([_at(f"{entry}.marks", n, marks) for n in names])
    middle = p.mean(axis=0)
    normal = np.linalg.svd(p - middle)[2][2]
    x = p[1] - p[0]
    pose = frame(middle, x, np.cross(normal, x))
    flat = pose.inverse().points(p)[:, :2]
    if _area(flat) < 0.0:
        pose = frame(middle, x, -np.cross(normal, x))
        flat = pose.inverse().points(p)[:, :2]
    return pose, flat


def _area(p: Floats) -> float:
    x, y = p.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def _anticlockwise(p: Floats) -> Floats:
    return p if _area(p) > 0.0 else p[::-1]


def _apart(rows: tuple[Flange, ...], corners: int, plate: Plate) -> tuple[Flange, ...]:
    """The flanges, those that share a corner set back from it by half a thickness: its relief."""
    edges = {row.edge for row in rows}
    return tuple(
        row.model_copy(update={"inset": max(row.inset, plate.thickness / 2.0)})
        if {(row.edge + 1) % corners, (row.edge - 1) % corners} & edges
        else row
        for row in rows
    )


def _overlap(b: Blank) -> float:
    """Area of the flat pattern that two of its pieces both need [mm²]."""
    shapes = [r.shape for r in b.regions]
    return float(sum(s.area for s in shapes) - unary_union(shapes).area)


def _flanged(entry: str, b: Blank, corners: Floats, row: Flange) -> Blank:
    if row.edge >= len(corners):
        raise _bad(
            f"{entry}.flanges.edge", str(row.edge), f"an edge from 0 to {len(corners) - 1}", ""
        )
    start, end = corners[row.edge], corners[(row.edge + 1) % len(corners)]
    d = (end - start) / float(np.hypot(*(end - start)))
    p = b.plate if row.radius is None else Plate(**{**vars(b.plate), "radius": row.radius})
    reach = row.length - setback(
        angle=min(abs(row.angle), math.radians(90)), radius=p.radius, thickness=p.thickness
    )
    if reach <= 0.0:
        raise _bad(
            f"{entry}.flanges.length",
            f"{row.length:.1f} mm",
            "more than the bend itself",
            "make it longer",
        )
    a, z = start + row.inset * d, end - row.inset * d
    return flange(
        b, (float(a[0]), float(a[1])), (float(z[0]), float(z[1])), reach=reach, angle=row.angle
    )


def _hole(h: Hole) -> Loop:
    if h.slot is not None:
        return slot(h.at, h.d, h.slot, h.turn)
    return circle(h.at, h.d / 2.0, hole=True)


def _against(entry: str, table: PlateTable, bars: Bars) -> tuple[str, ...]:
    names = tuple(b.name for b in bars.bars)
    for name in table.against:
        if name not in names:
            raise _unknown(f"{entry}.against", name, "a bar of the job", names)
    return table.against


def _at(entry: str, name: str, marks: Marks) -> tuple[float, float, float]:
    if name not in marks:
        raise _unknown(entry, name, "a mark of the survey", marks.names)
    return marks.at(name)


def _unknown(entry: str, read: str, expected: str, known: tuple[str, ...]) -> BadInput:
    like = nearest(read, known)
    do = f"did you mean {like}?" if like else f"known: {', '.join(known[:20])}"
    return _bad(entry, read, expected, do)


def _bad(entry: str, read: str, expected: str, do: str) -> BadInput:
    return BadInput(Fault(file="job.toml", entry=entry, read=read, expected=expected, do=do))
