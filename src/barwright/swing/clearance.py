"""What a leaf meets as it swings: first contact, and the least clearance, both proven."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from barwright.geometry.broad import start
from barwright.geometry.contact import TINY, Contact, first_contact
from barwright.geometry.convex import Bools
from barwright.geometry.least import Least, least_gap
from barwright.geometry.pieces import pieces
from barwright.geometry.pose import Pose, frame
from barwright.geometry.solids import Body
from barwright.geometry.turning import Nodes, Scene
from barwright.geometry.vectors import point, square_to
from barwright.swing.motion import Motion, Swing

WITHIN = 0.005
"""How far the proven least clearance may stay below the true one [mm]."""


def swing(
    motion: Motion,
    movers: tuple[Body, ...],
    standing: tuple[Body, ...],
    *,
    allowed: frozenset[tuple[str, str]] = frozenset(),
) -> Swing:
    """What a leaf meets on its way from closed to open.

    Both answers are bounds, not samples: nothing touches before `first_contact`, and no gap over
    the whole swing is smaller than `least_clearance`, which is at most 0.005 mm short of the
    true one. Parts nearer than 0.00005 mm count as touching.

    Args:
        motion: how the leaf moves.
        movers: all that swings with it, as it stands when closed.
        standing: all that stands still.
        allowed: (moving, standing) bodies that are meant to touch and are left out.

    Returns:
        The swing. With nothing standing (or all of it allowed) the least clearance is inf. Parts
        that touch when closed give a first contact at 0.
    """
    scene = scene_of(motion, movers, standing)
    nodes = start(scene, abs(motion.opens), counting(movers, standing, allowed))
    least = least_gap(scene, nodes, within=WITHIN)
    contact = _contact(scene, nodes, least) if least is not None and least.low <= 0.0 else None
    if contact is not None:
        return _stopped(motion, contact, scene, movers, standing)
    if least is None:
        return _free(motion)
    return Swing(
        leaf=motion.leaf,
        first_contact=None,
        touches=None,
        where=None,
        least_clearance=max(least.low, 0.0),
        at=least.angle,
        least_pair=_names(scene, least.piece, movers, standing),
    )


def axis_frame(motion: Motion) -> Pose:
    """The pose from vehicle to a frame whose z is the axis, turning so that opening is positive."""
    along = np.array(motion.along) * math.copysign(1.0, motion.opens)
    x = square_to(along)
    return frame(motion.through, x, np.cross(along, x)).inverse()


def scene_of(motion: Motion, movers: Sequence[Body], standing: Sequence[Body]) -> Scene:
    """Movers and standing parts taken apart, in the frame of the axis."""
    local = axis_frame(motion)
    return Scene(moving=pieces(movers, local), standing=pieces(standing, local))


def _contact(scene: Scene, nodes: Nodes, least: Least) -> Contact | None:
    """The first contact, no later than where an overlap was found."""
    if least.high > 0.0:
        return first_contact(scene, nodes)
    span = nodes.span.copy()
    span[:, 1] = np.maximum(least.angle, TINY)
    return first_contact(scene, replace(nodes, span=span))


def counting(
    movers: tuple[Body, ...], standing: tuple[Body, ...], allowed: frozenset[tuple[str, str]]
) -> Bools:
    """Which pairs of bodies count: all but those allowed to touch, shape (movers, standing)."""
    return np.array(
        [[(m.name, s.name) not in allowed for s in standing] for m in movers], dtype=bool
    ).reshape(len(movers), len(standing))


def _names(
    scene: Scene, piece: tuple[int, int], movers: Sequence[Body], standing: Sequence[Body]
) -> tuple[str, str]:
    moving, still = scene.moving.body[piece[0]], scene.standing.body[piece[1]]
    return movers[moving].name, standing[still].name


def _stopped(
    motion: Motion,
    contact: Contact,
    scene: Scene,
    movers: Sequence[Body],
    standing: Sequence[Body],
) -> Swing:
    pair = _names(scene, contact.piece, movers, standing)
    return Swing(
        leaf=motion.leaf,
        first_contact=contact.angle,
        touches=pair,
        where=point(axis_frame(motion).inverse().points(contact.where)),
        least_clearance=0.0,
        at=contact.angle,
        least_pair=pair,
    )


def _free(motion: Motion) -> Swing:
    return Swing(
        leaf=motion.leaf,
        first_contact=None,
        touches=None,
        where=None,
        least_clearance=math.inf,
        at=0.0,
        least_pair=None,
    )
