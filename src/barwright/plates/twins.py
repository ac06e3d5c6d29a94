"""The mirrored part: what stands on the other side. Whether it is cut as one, the pack says.

A twin is drawn mirrored in its own plane and placed by a proper motion, so its drawing reads and
is cut like any other's, and its bends go the same way as seen on the drawing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from barwright.geometry.path import Arc
from barwright.geometry.pose import Pose, mirrored, pose_of
from barwright.geometry.solids import Block, Body, Elbow, Rod, Solid
from barwright.geometry.vectors import point
from barwright.job.schema import Job
from barwright.plates.outline import flipped
from barwright.plates.part import Etch, Flat, Fold, Hardware, Part, Parts
from barwright.swing.motion import Motion

_FLIP = pose_of(np.diag([1.0, -1.0, 1.0]))


def twinned(parts: Parts, job: Job, motions: tuple[Motion, ...]) -> Parts:
    """The parts, and the mirrored twin of each that [twin] asks for.

    A name in `of` asks for a leaf, for a fitting with all its parts, or for one plate.
    """
    of = set(job.twin.of)
    bars = {b for m in motions if m.leaf in of for b in m.bars}

    def wanted(name: str) -> bool:
        return name in of or any(name.startswith(f"{n}.") for n in of)

    def other(name: str) -> str:
        return f"{name}-twin" if wanted(name) or name in bars else name

    plates = tuple(twin(p) for p in parts.parts if wanted(p.name))
    return replace(
        parts,
        parts=(*parts.parts, *plates),
        hardware=(*parts.hardware, *(_hardware(h) for h in parts.hardware if wanted(h.name))),
        rests=parts.rests | {(other(a), other(b)) for a, b in parts.rests if wanted(b)},
        joins=parts.joins | _joins(parts, other, wanted),
        intended=parts.intended
        | {(other(a), other(b)) for a, b in parts.intended if wanted(b) or wanted(a)},
    )


def _joins(
    parts: Parts, other: Callable[[str], str], wanted: Callable[[str], bool]
) -> frozenset[tuple[str, str]]:
    """The twins' welds to one another and to the leaf's twin bars; standing tubes: `twin_fit`."""
    pairs = ((other(a), other(b)) for a, b in parts.joins if wanted(a))
    return frozenset((a, b) for a, b in pairs if a.endswith("-twin") and b.endswith("-twin"))


def twin(part: Part) -> Part:
    """The part mirrored in the vehicle's centre plane, named NAME-twin."""
    name = f"{part.name}-twin"
    return replace(
        mirrored_shape(part),
        name=name,
        etch=tuple(_etch(e, part.name, name) for e in part.etch),
        gauge=tuple(flipped(g) for g in part.gauge),
        grain=None if part.grain is None else -part.grain,
        rides=f"{part.rides}-twin" if part.rides else "",
        twin_of=part.name,
    )


def mirrored_shape(part: Part) -> Part:
    """The part with its shape, its folds and its place mirrored; done twice, it is as it was."""
    return replace(
        part,
        outline=flipped(part.outline),
        holes=tuple(flipped(h) for h in part.holes),
        folds=tuple(_fold(f) for f in part.folds),
        placed=mirrored().after(part.placed).after(_FLIP),
    )


def _fold(f: Fold) -> Fold:
    return replace(f, start=(f.start[0], -f.start[1]), end=(f.end[0], -f.end[1]))


def _etch(e: Etch, name: str, other: str) -> Etch:
    text = other if e.text == name else e.text
    return replace(
        e, path=tuple(_across(p) for p in e.path), text=text, at=(e.at[0], -e.at[1] - e.height)
    )


def _across(p: Flat) -> Flat:
    return (p[0], -p[1])


def _hardware(h: Hardware) -> Hardware:
    name = f"{h.name}-twin"
    return replace(
        h,
        name=name,
        body=mirror_body(h.body, name),
        rides=f"{h.rides}-twin" if h.rides else "",
        twin_of=h.name,
    )


def mirror_body(body: Body, name: str) -> Body:
    """A body mirrored in the vehicle's centre plane."""
    return Body(name=name, solids=moved_body(body, mirrored()).solids)


def moved_body(body: Body, pose: Pose) -> Body:
    """A body placed by a pose, mirroring or not."""
    return Body(name=body.name, solids=tuple(_moved(s, pose) for s in body.solids))


def _moved(solid: Solid, m: Pose) -> Solid:
    if isinstance(solid, Rod):
        return replace(solid, start=point(m.points(solid.start)), end=point(m.points(solid.end)))
    if isinstance(solid, Block):
        return Block(corners=tuple((x, y, z) for x, y, z in m.points(solid.corners).tolist()))
    arc = solid.arc
    turned = Arc(
        centre=point(m.points(arc.centre)),
        start=point(m.points(arc.start)),
        axis=point(m.directions(arc.axis) * (-1.0 if m.mirrors else 1.0)),
        angle=arc.angle,
    )
    return Elbow(arc=turned, radius=solid.radius)
