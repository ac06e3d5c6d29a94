"""What leaves meet as they swing: first contact, and the least clearance, both proven."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barwright.geometry.broad import start
from barwright.geometry.contact import TINY, Contact, first_contact
from barwright.geometry.convex import Bools, Ints
from barwright.geometry.least import Least, least_gaps
from barwright.geometry.pieces import joined as joined_pieces
from barwright.geometry.pieces import pieces
from barwright.geometry.pose import Pose, frame
from barwright.geometry.solids import Body
from barwright.geometry.turning import Nodes, Scene, joined
from barwright.geometry.vectors import point, square_to
from barwright.swing.motion import Motion, Swing

WITHIN = 0.005
"""How far the proven least clearance may stay below the true one [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Setting:
    """A leaf and what stands round it.

    Attributes:
        motion: how the leaf moves.
        movers: all that swings with it, as it stands when closed.
        standing: all that stands still.
    """

    motion: Motion
    movers: tuple[Body, ...]
    standing: tuple[Body, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class Asked:
    """One question about a leaf's swing.

    Attributes:
        of: the number of its setting.
        counts: which pairs of bodies count, shape (movers, standing).
        since: from which angle on [rad], in the sense of opening.
    """

    of: int
    counts: Bools
    since: float = 0.0


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
    setting = Setting(motion=motion, movers=movers, standing=standing)
    asked = Asked(of=0, counts=counting(movers, standing, allowed))
    return swings((setting,), (asked,))[0]


def swings(settings: Sequence[Setting], asked: Sequence[Asked]) -> tuple[Swing, ...]:
    """What leaves meet, as `swing` has it, for many questions looked into side by side.

    Args:
        settings: the leaves, each with what stands round it.
        asked: about them; of each at least once.
    """
    if not settings:
        return ()
    abreast = _abreast(settings)
    nodes = _nodes(abreast, settings, asked)
    least = least_gaps(abreast.scene, nodes, len(asked), within=WITHIN)
    return tuple(
        _told(abreast, settings[a.of], nodes.take(nodes.asked == k), least.of(k), a.of)
        for k, a in enumerate(asked)
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Abreast:
    """Several settings as one scene.

    Attributes:
        scene: of all of them, each in the frame of its own axis.
        apart: the scene of each.
        begun: at which moving and standing piece each begins, shape (settings, 2).
    """

    scene: Scene
    apart: tuple[Scene, ...]
    begun: Ints


def _abreast(settings: Sequence[Setting]) -> _Abreast:
    apart = tuple(scene_of(s.motion, s.movers, s.standing) for s in settings)
    counts = [(len(s.moving.body), len(s.standing.body)) for s in apart]
    return _Abreast(
        scene=Scene(
            moving=joined_pieces([s.moving for s in apart]),
            standing=joined_pieces([s.standing for s in apart]),
        ),
        apart=apart,
        begun=np.cumsum([(0, 0), *counts[:-1]], axis=0),
    )


def _nodes(abreast: _Abreast, settings: Sequence[Setting], asked: Sequence[Asked]) -> Nodes:
    """The nodes to begin with for every question."""
    found = []
    for k, (setting, scene) in enumerate(zip(settings, abreast.apart, strict=True)):
        own = [(n, a) for n, a in enumerate(asked) if a.of == k]
        opens = abs(setting.motion.opens)
        all_ = start(scene, opens, np.logical_or.reduce([a.counts for _, a in own]))
        pair = scene.moving.body[all_.piece[:, 0]], scene.standing.body[all_.piece[:, 1]]
        all_ = replace(all_, piece=all_.piece + abreast.begun[k])
        found += [_asked(all_.take(a.counts[pair]), n, min(a.since, opens)) for n, a in own]
    return joined(*found)


def _asked(nodes: Nodes, number: int, since: float) -> Nodes:
    """The nodes of one question, from an angle on."""
    span = nodes.span.copy()
    span[:, 0] = since
    at = np.full(len(nodes), since)
    return replace(nodes, span=span, at=at, asked=np.full(len(nodes), number, dtype=np.intp))


def _told(abreast: _Abreast, setting: Setting, nodes: Nodes, least: Least, of: int) -> Swing:
    """The answer to one question."""
    if len(nodes) == 0:
        return _free(setting.motion)
    contact = _contact(abreast.scene, nodes, least) if least.low <= 0.0 else None
    pair = _names(abreast, setting, of, least.piece if contact is None else contact.piece)
    if contact is None:
        clearance, at, where = max(least.low, 0.0), least.angle, None
    else:
        clearance, at = 0.0, contact.angle
        where = point(axis_frame(setting.motion).inverse().points(contact.where))
    return Swing(
        leaf=setting.motion.leaf,
        first_contact=None if contact is None else contact.angle,
        touches=None if contact is None else pair,
        where=where,
        least_clearance=clearance,
        at=at,
        least_pair=pair,
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
    span[:, 1] = np.maximum(least.angle, span[:, 0] + TINY)
    return first_contact(scene, replace(nodes, span=span))


def counting(
    movers: tuple[Body, ...], standing: tuple[Body, ...], allowed: frozenset[tuple[str, str]]
) -> Bools:
    """Which pairs of bodies count: all but those allowed to touch, shape (movers, standing)."""
    return np.array(
        [[(m.name, s.name) not in allowed for s in standing] for m in movers], dtype=bool
    ).reshape(len(movers), len(standing))


def _names(abreast: _Abreast, setting: Setting, of: int, piece: tuple[int, int]) -> tuple[str, str]:
    moving, still = np.array(piece) - abreast.begun[of]
    scene = abreast.apart[of]
    return (
        setting.movers[scene.moving.body[moving]].name,
        setting.standing[scene.standing.body[still]].name,
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
