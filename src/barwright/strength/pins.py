"""What does a pin between lugs carry? EN 1993-1-8, tables 3.9 and 3.10. N and mm."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class PinJoint:
    """A pin in double shear: a middle plate between two outer ones.

    Attributes:
        d: pin's diameter [mm].
        fyp, fup: pin's yield and ultimate strength [N/mm²].
        middle, outer: thickness of the middle plate (b) and of each outer one (a) [mm].
        gap: between middle and outer plate, each side (c) [mm].
        fy: the plates' yield strength [N/mm²].
        solid: whether the pin is solid; a bolt in its thread is not covered.
    """

    d: float
    fyp: float
    fup: float
    middle: float
    outer: float
    gap: float
    fy: float


@dataclass(frozen=True, kw_only=True)
class PinUse:
    """How much of each resistance a force uses: 1 is all of it.

    Attributes:
        shear: F/2 over the shear of one plane.
        bend: moment over the pin's bending resistance.
        both: shear² + bend².
        bearing: the worst of middle and outer plates.
    """

    shear: float
    bend: float
    both: float
    bearing: float

    @property
    def worst(self) -> float:
        """The largest use."""
        return max(self.shear, self.bend, self.both, self.bearing)


def pin_shear(d: float, fup: float, gamma: float = 1.25) -> float:
    """Shear of one plane, Fv,Rd = 0.6 A fup / gamma M2 [N].

    >>> round(pin_shear(12, 800) / 1000, 2)
    43.43
    """
    return 0.6 * math.pi * d**2 / 4.0 * fup / gamma


def pin_bending(d: float, fyp: float, gamma: float = 1.0) -> float:
    """Bending, MRd = 1.5 Wel fyp / gamma M0 [N mm].

    >>> round(pin_bending(12, 640) / 1000, 1)
    162.9
    """
    return 1.5 * math.pi * d**3 / 32.0 * fyp / gamma


def pin_bearing(t: float, d: float, fy: float, gamma: float = 1.0) -> float:
    """Bearing of a plate, or of the pin where weaker, Fb,Rd = 1.5 t d fy / gamma M0 [N].

    >>> pin_bearing(6, 12, 355) / 1000
    38.34
    """
    return 1.5 * t * d * fy / gamma


def pin_moment(force: float, middle: float, gap: float, outer: float) -> float:
    """Moment in the pin, MEd = F/8 (b + 4c + 2a) [N mm].

    >>> pin_moment(11000, 10, 1, 6) / 1000
    35.75
    """
    return force / 8.0 * (middle + 4.0 * gap + 2.0 * outer)


def pin_use(joint: PinJoint, force: float) -> PinUse:
    """How much of the joint a force across the pin [N] uses."""
    shear = 0.5 * force / pin_shear(joint.d, joint.fup)
    moment = pin_moment(force, joint.middle, joint.gap, joint.outer)
    bend = moment / pin_bending(joint.d, joint.fyp)
    weak = min(joint.fy, joint.fyp)
    bearing = max(
        force / pin_bearing(joint.middle, joint.d, weak),
        0.5 * force / pin_bearing(joint.outer, joint.d, weak),
    )
    return PinUse(shear=shear, bend=bend, both=shear**2 + bend**2, bearing=bearing)


def lug_edges(
    force: float, t: float, d0: float, fy: float, gamma: float = 1.0
) -> tuple[float, float]:
    """Least metal ahead of and beside a pin hole (a, c) [mm], EN 1993-1-8 table 3.9 type A.

    Args:
        force: on this plate [N].
        t: its thickness [mm].
        d0: the hole's diameter [mm].
        fy: the plate's yield strength [N/mm²].
        gamma: partial factor gamma M0.

    >>> [round(x, 3) for x in lug_edges(20000, 10, 16.5, 235)]
    [15.255, 9.755]
    """
    share = force * gamma / (2.0 * t * fy)
    return share + 2.0 * d0 / 3.0, share + d0 / 3.0


@dataclass(frozen=True, kw_only=True)
class LugShape:
    """A lug of table 3.9 type B [mm]: least thickness, and sizes from the hole's diameter.

    Attributes:
        thickness: least, 0.7 sqrt(F gamma / fy).
        largest_hole: 2.5 t, the largest hole that thickness allows.
        ahead: metal ahead of the hole, 1.6 d0 from its centre to the edge.
        beside: metal beside the hole, 0.75 d0.
        width: overall, 2.5 d0.
        offset: how far the hole's centre stands ahead of the widest place, 0.3 d0.
        behind: from the centre back to the start of the taper, 1.3 d0.
    """

    thickness: float
    largest_hole: float
    ahead: float
    beside: float
    width: float
    offset: float
    behind: float


def lug_shape(force: float, d0: float, fy: float, gamma: float = 1.0) -> LugShape:
    """Table 3.9 type B for a force [N], a hole [mm] and a yield strength [N/mm²].

    The sizes were partly read and partly remembered: check them in the standard.
    """
    t = 0.7 * math.sqrt(force * gamma / fy)
    return LugShape(
        thickness=t,
        largest_hole=2.5 * t,
        ahead=1.6 * d0,
        beside=0.75 * d0,
        width=2.5 * d0,
        offset=0.3 * d0,
        behind=1.3 * d0,
    )
