"""How hard does a press fit hold, and what does it do to the bore? Lamé's thick rings.

Elastic rings of even wall, long against their diameter; N and mm. Roughness takes some of the
interference away: what is given here is the effective one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Ring:
    """One of the two rings.

    Attributes:
        bore, od: its diameters [mm]; bore 0 for a solid shaft.
        E, nu: its modulus [N/mm²] and Poisson's ratio.
    """

    bore: float
    od: float
    E: float = 210000.0
    nu: float = 0.3


@dataclass(frozen=True, kw_only=True)
class Press:
    """What a press fit does.

    Attributes:
        pressure: between the two [N/mm²].
        hub_stress: hoop stress at the outer ring's bore [N/mm²], pull.
        shaft_stress: hoop stress at the inner ring's bore (or in a solid shaft), push negative.
        closes: by how much the inner ring's bore shrinks [mm, diameter].
        grows: by how much the outer ring's outside grows [mm, diameter].
    """

    pressure: float
    hub_stress: float
    shaft_stress: float
    closes: float
    grows: float


def press(inner: Ring, outer: Ring, interference: float) -> Press:
    """A press fit by Lamé.

    Args:
        inner: the shaft or bushing; its outside is the joint.
        outer: the hub; its bore is taken as the joint's diameter.
        interference: on the diameter [mm], 0 or more.

    Raises:
        ValueError: walls or an interference that cannot be.

    >>> p = press(Ring(bore=0, od=20), Ring(bore=20, od=40), 0.02)
    >>> round(p.pressure, 2)
    78.75
    """
    d = inner.od
    if interference < 0.0:
        raise ValueError("an interference below zero is a clearance: nothing is pressed")
    if not 0.0 <= inner.bore < d < outer.od:
        raise ValueError("the bore must be less than the joint, and the joint than the outside")
    i2, o2 = (inner.bore / d) ** 2, (d / outer.od) ** 2
    soft = ((1.0 + o2) / (1.0 - o2) + outer.nu) / outer.E
    soft += ((1.0 + i2) / (1.0 - i2) - inner.nu) / inner.E
    p = interference / d / soft
    hoop = -p * (2.0 / (1.0 - i2) if i2 else 1.0)
    return Press(
        pressure=p,
        hub_stress=p * (1.0 + o2) / (1.0 - o2),
        shaft_stress=hoop,
        closes=-hoop / inner.E * inner.bore,
        grows=2.0 * p * o2 / (1.0 - o2) / outer.E * outer.od,
    )


def holds(pressure: float, diameter: float, length: float, friction: float) -> tuple[float, float]:
    """Push-out force [N] and slipping torque [N mm] of a press fit.

    >>> [round(x) for x in holds(78.75, 20, 25, 0.12)]
    [14844, 148440]
    """
    force = math.pi * diameter * length * pressure * friction
    return force, force * diameter / 2.0
