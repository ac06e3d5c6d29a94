"""What does a fillet weld carry? AISC 360 J2 and EN 1993-1-8 4.5.3.3.

The AISC functions take any consistent units (the tests: kip and inch); the EN one N and mm.
"""

from __future__ import annotations

import math

PHI_WELD, OMEGA_WELD = 0.75, 2.00
"""Resistance and safety factor for fillet welds, AISC 360 table J2.5."""


def aisc_fillet(*, leg: float, length: float, strength: float, angle: float = 0.0) -> float:
    """Nominal strength Rn of a straight fillet weld, AISC 360 J2-4 and J2-5.

    0.60 Fexx (1 + 0.5 sin^1.5 angle) over the throat 0.707 leg.

    Args:
        leg: leg of the weld.
        length: of the weld.
        strength: of the electrode, Fexx.
        angle: between the load and the weld's run [rad], 0 along it, pi/2 across.

    Raises:
        ValueError: a size below nothing.

    >>> round(0.75 * aisc_fillet(leg=0.75, length=8, strength=70), 1)
    133.6
    """
    if leg < 0.0 or length < 0.0 or strength < 0.0:
        raise ValueError("leg, length and strength of a weld must be 0 or more")
    lift = 1.0 + 0.5 * math.pow(abs(math.sin(angle)), 1.5)
    return 0.60 * strength * lift * (math.sqrt(0.5) * leg) * length


def aisc_fillet_group(along: float, across: float) -> float:
    """Nominal strength of a group partly along and partly across the load, AISC 360 J2-10.

    The greater of Rwl + Rwt and 0.85 Rwl + 1.5 Rwt.

    Args:
        along: Rwl, of the welds along the load.
        across: Rwt, of those across it, figured without their lift for angle.
    """
    return max(along + across, 0.85 * along + 1.5 * across)


def least_leg(thinner: float) -> float:
    """Least fillet leg [mm] for the thinner part joined [mm], AISC 360 table J2.4 (metric)."""
    for upto, leg in ((6.0, 3.0), (13.0, 5.0), (19.0, 6.0)):
        if thinner <= upto:
            return leg
    return 8.0


def largest_leg(edge: float) -> float:
    """Largest fillet leg [mm] along a plate's edge of this thickness [mm], AISC 360 J2.2b."""
    return edge if edge < 6.0 else edge - 2.0


def working_length(leg: float, length: float) -> float:
    """Length of an end-loaded fillet weld that counts, AISC 360 J2.2b.

    Nothing below 4 legs; beyond 100 legs 1.2 - 0.002 l/w of it; beyond 300 legs 180 legs.

    >>> working_length(5.0, 15.0), round(working_length(5.0, 1000.0), 1)
    (0.0, 800.0)
    """
    if leg <= 0.0 or length < 4.0 * leg:
        return 0.0
    slender = length / leg
    if slender > 300.0:
        return 180.0 * leg
    return min(1.0, 1.2 - 0.002 * slender) * length


def ec3_fillet(*, throat: float, fu: float, beta: float, gamma: float = 1.25) -> float:
    """Force a millimetre [N/mm] that a fillet carries any way, EN 1993-1-8 4.5.3.3 (from memory).

    Args:
        throat: a [mm]; 0.707 of the leg.
        fu: of the weaker part joined [N/mm²].
        beta: correlation factor.
        gamma: partial factor gamma M2.

    >>> round(ec3_fillet(throat=3.0, fu=470.0, beta=0.9), 1)
    723.6
    """
    return throat * fu / (math.sqrt(3.0) * beta * gamma)
