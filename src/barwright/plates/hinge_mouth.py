"""The mouth of a hinge box: what the bar sweeps, with its clearance, no further than the stop."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.affinity import affine_transform
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from barwright.geometry.pose import Pose, pose_of
from barwright.geometry.silhouettes import Window
from barwright.geometry.vectors import Bools, Floats
from barwright.plates.against import Shadow
from barwright.plates.hinge_box import Box
from barwright.swing.mouth import mouth

EXCESS = 0.6
"""How much wider than its clearance the mouth may be [mm]; it is never less."""


@dataclass(frozen=True, kw_only=True, eq=False)
class HingeMouth:
    """The mouth of one hinge.

    Attributes:
        box: the hinge and its measures.
    """

    box: Box

    def swept(self) -> Shadow:
        """All that the bar sweeps."""

        def cast(plane: Pose, z: tuple[float, float], window: Window) -> BaseGeometry:
            return self._swept(plane, z, window)

        return Shadow(cast=cast, near=self._near, relief=self.box.plate.thickness / 2.0)

    def closed(self) -> Shadow:
        """What the bar sweeps as far as the flank that the mouth's closed end stops."""

        def cast(plane: Pose, z: tuple[float, float], window: Window) -> BaseGeometry:
            return self._swept(plane, z, window) & self._before_stop(plane)

        return Shadow(cast=cast, near=self._near, relief=self.box.plate.thickness / 2.0)

    def _swept(self, plane: Pose, z: tuple[float, float], window: Window) -> BaseGeometry:
        """What is swept of a slab; both walls lie in one plane and share one answer."""
        wall, to = self.box.wall, plane.inverse().after(self.box.h.frame)
        if abs(abs(to.matrix[2][0]) - 1.0) > 1e-12:
            return self._sweep(plane, z, window)
        low, high = sorted((h - to.shift[2]) / to.matrix[2][0] for h in z)
        if max(abs(low - wall), abs(high - wall - self.box.plate.thickness)) > 1e-6:
            return self._sweep(plane, z, window)
        (m, p, q), (n, r, s) = to.matrix[0], to.matrix[1]
        shift = (to.shift[0] + m * low, to.shift[1] + n * low)
        return affine_transform(self._in_wall, (p, q, r, s, *shift))

    @cached_property
    def _in_wall(self) -> BaseGeometry:
        """The mouth in the wall, in the frame's y and z."""
        upright = pose_of([(0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)])
        b, (low, high) = self.box, self.box.wall_span
        slab = (b.wall, b.wall + b.plate.thickness)
        return self._sweep(b.h.frame.after(upright), slab, (low, -math.inf, high, math.inf))

    def _sweep(self, plane: Pose, z: tuple[float, float], window: Window) -> BaseGeometry:
        h, room = self.box.h, self.box.table.clearance
        angles = (0.0, h.sweep)
        return mouth(h.motion, self.box.bar, plane, z, angles, room, within=EXCESS, window=window)

    def _near(self, boxes: Floats) -> Bools:
        """Which boxes the bar may come near as it swings: by height on the axis alone."""
        b = self.box
        z = b.h.frame.inverse().points(boxes)[..., 2]
        lean = abs(float(b.along[2])) * 3.0 * b.wall
        high = b.h.bar.radius + lean + b.table.clearance + 1.0
        return np.asarray((z.min(axis=1) < high) & (z.max(axis=1) > -high))

    def _before_stop(self, plane: Pose) -> BaseGeometry:
        """The part of a plane on the open side of the bar's flank when it is closed."""
        b, back = self.box, plane.inverse()
        way = back.directions(b.h.frame.directions((0.0, 1.0, 0.0)))[:2]
        size = float(np.hypot(*way))
        if size < 0.1:  # the plate lies across the way the bar opens: nothing to stop on
            return shapely.box(-1e4, -1e4, 1e4, 1e4)
        flank = (b.wall, -b.h.bar.radius - b.table.stop_gap, 0.0)
        at, way = back.points(b.h.frame.points(flank))[:2], 1e3 * way / size
        off = np.array([-way[1], way[0]])
        return Polygon([at - off, at + off, at + off + way, at - off + way])
