"""How far points are from a tube's surface, which way, and which marks carry the tube there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barwright.geometry.path import Arc, Piece, arc_radius
from barwright.geometry.vectors import Floats
from barwright.job.schema import Bar
from barwright.survey.marks import Marks
from barwright.tubes.bars import BuiltBar


@dataclass(frozen=True, kw_only=True, eq=False)
class Near:
    """Points against one tube.

    Attributes:
        gap: (p,) to its surface [mm], negative inside.
        normal: (p, 3) unit, out of the tube toward the point.
        foot: (p, 3) on its centreline [mm].
    """

    gap: Floats
    normal: Floats
    foot: Floats


def near(bar: BuiltBar, points: Floats) -> Near:
    """Points (p, 3) [mm] against a tube that runs on straight past its ends."""
    pieces = bar.centreline.pieces
    last = len(pieces) - 1
    feet = np.array([_feet(piece, points, i == 0, i == last) for i, piece in enumerate(pieces)])
    off = points - feet
    far = np.linalg.norm(off, axis=2)
    best = far.argmin(axis=0)
    pick = np.arange(len(points))
    distance = np.maximum(far[best, pick], 1e-9)
    return Near(
        gap=distance - bar.radius,
        normal=off[best, pick] / distance[:, None],
        foot=feet[best, pick],
    )


def _feet(piece: Piece, points: Floats, first: bool, last: bool) -> Floats:
    """The nearest points of one piece; an end piece that is straight runs on."""
    if isinstance(piece, Arc):
        return _on_arc(piece, points)
    a, run = np.array(piece.start), np.subtract(piece.end, piece.start)
    share = (points - a) @ run / max(float(run @ run), 1e-12)
    share = np.clip(share, -np.inf if first else 0.0, np.inf if last else 1.0)
    return np.asarray(a + share[:, None] * run)


def _on_arc(arc: Arc, points: Floats) -> Floats:
    centre, axis, ring = np.array(arc.centre), np.array(arc.axis), arc_radius(arc)
    out = (np.array(arc.start) - centre) / ring
    forth = np.cross(axis, out)
    gap = points - centre
    middle = arc.angle / 2.0
    turn = np.arctan2(gap @ forth, gap @ out) - middle
    turn = (turn + np.pi) % (2.0 * np.pi) - np.pi + middle  # nearest to the arc's middle
    turn = np.clip(turn, 0.0, arc.angle)[:, None]
    return np.asarray(centre + ring * (np.cos(turn) * out + np.sin(turn) * forth))


def corners(bar: Bar) -> tuple[str, ...]:
    """The marks a bar runs through, as the job writes them."""
    return bar.path or tuple(m for m in (bar.from_, bar.to) if m)


def carried(bar: Bar, marks: Marks, feet: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Which marks carry a tube's centreline at some feet, and by how much.

    The centreline goes with the polygon of its marks: between two of them in proportion, and
    past its ends straight on.

    Args:
        bar: as written; its marks are in the survey.
        marks: where they are.
        feet: (p, 3) on the centreline [mm].

    Returns:
        Numbers of the two marks (p, 2) and their weights (p, 2), which add up to one.
    """
    number = np.array([marks.names.index(m) for m in corners(bar)], dtype=np.intp)
    at = marks.xyz[number]
    run = np.diff(at, axis=0)
    long2 = np.einsum("ek,ek->e", run, run)
    share = np.einsum("pek,ek->pe", feet[:, None] - at[None, :-1], run) / long2
    kept = np.clip(share, 0.0, 1.0)
    off = np.linalg.norm(feet[:, None] - at[None, :-1] - kept[..., None] * run, axis=2)
    edge = off.argmin(axis=1)
    t = share[np.arange(len(feet)), edge]
    t = np.clip(t, 0.0 if len(run) > 1 else -1.0, 1.0 if len(run) > 1 else 2.0)
    return np.stack([number[edge], number[edge + 1]], axis=1), np.stack([1.0 - t, t], axis=1)
