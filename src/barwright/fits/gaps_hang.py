"""How a leaf hangs on the true vehicle: what its hinge and its latch find when it is set up.

The leaf is set with its axis where the hinge's mark truly is and its far end toward the latch's
mark. The hinge's box is tacked on with the leaf closed in its mouth, so it turns with the bar.
Then two tubes matter: the hinge's, seen from the box at either cheek, and the latch's, seen from
the leaf's end. Exact in three dimensions; many vehicles at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barwright.geometry.vectors import Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Design:
    """The leaf as drawn.

    Attributes:
        axes: (3, 3) rows x, y, z of the hinge's frame: out along the bar, the way it opens, axis.
        rise: from the hinge's mark up the axis to the hinge's middle [mm].
        far: (3,) the leaf's end in that frame [mm].
        cheeks: (k,) where along the axis the cheeks stand, from the middle [mm].
    """

    axes: Floats
    rise: float
    far: Floats
    cheeks: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Vehicle:
    """Where things truly are, b vehicles at once, each (b, 3) [mm].

    Attributes:
        hinge: the mark the axis goes through; toward: another on the axis, None for an axis with
            a given direction.
        far: the mark the leaf's end goes to.
        post: two points of the hinge's tube; catch: two of the latch's.
        longer: how the made leaf's end stands off as drawn, in the frame's x, y, z.
    """

    hinge: Floats
    toward: Floats | None
    far: Floats
    post: tuple[Floats, Floats]
    catch: tuple[Floats, Floats]
    longer: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Hanging:
    """What is found.

    Attributes:
        post: (b, k, 2) where the hinge's tube passes each cheek: outward, the way of opening.
        catch: (b, 2) where the latch's tube passes the leaf's end: outward from the axis, the
            way of opening.
    """

    post: Floats
    catch: Floats


def hanging(design: Design, at: Vehicle) -> Hanging:
    """Set the leaf up on some vehicles."""
    x, y, z = _axes(design, at)
    middle = at.hinge + design.rise * z
    toward = at.far - middle
    reach = float(np.hypot(*design.far[:2]))
    drawn = float(np.arctan2(design.far[1], design.far[0]))
    yaw = np.arctan2(_dot(toward, y), _dot(toward, x))
    made = design.far + at.longer
    turned = yaw - np.arctan2(made[:, 1], made[:, 0]) if reach else 0.0 * yaw - drawn
    box = _turned(x, y, turned)
    side = np.cross(z, box)
    cheeks = [_seen(at.post, middle + w * z, z, box, side) for w in design.cheeks]
    out = _turned(x, y, yaw)
    end = middle + np.hypot(made[:, 0], made[:, 1])[:, None] * out + made[:, 2:] * z
    return Hanging(
        post=np.stack(cheeks, axis=1),
        catch=_seen(at.catch, end, z, out, np.cross(z, out)),
    )


def _axes(design: Design, at: Vehicle) -> tuple[Floats, Floats, Floats]:
    """The frame as it truly stands, (b, 3) each: the axis through its marks."""
    n = len(at.hinge)
    z = np.broadcast_to(design.axes[2], (n, 3))
    if at.toward is not None:
        z = at.toward - at.hinge
        z = z * np.sign(z @ design.axes[2])[:, None]
        z = z / np.linalg.norm(z, axis=1)[:, None]
    x = design.axes[0] - _dot(z, design.axes[0])[:, None] * z
    x = x / np.linalg.norm(x, axis=1)[:, None]
    return x, np.cross(z, x), np.asarray(z)


def _seen(tube: tuple[Floats, Floats], origin: Floats, z: Floats, x: Floats, y: Floats) -> Floats:
    """Where a line passes the plane square to z through an origin, in x and y there (b, 2)."""
    a, b = tube
    run = b - a
    t = _dot(origin - a, z) / _dot(run, z)
    off = a + t[:, None] * run - origin
    return np.stack([_dot(off, x), _dot(off, y)], axis=-1)


def _turned(x: Floats, y: Floats, angle: Floats) -> Floats:
    return np.asarray(np.cos(angle)[:, None] * x + np.sin(angle)[:, None] * y)


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.sum(a * b, axis=-1))
