"""What does a pin-connected plate carry? AISC 360-16 section D5. Any consistent units."""

from __future__ import annotations

import math
from dataclasses import dataclass

INCH_ALLOWANCE = 0.63
"""The inch in be = 2t + 0.63 in; 16 mm in millimetres (AISC 360 D5.1)."""
MM_ALLOWANCE = 16.0


@dataclass(frozen=True, kw_only=True)
class Lug:
    """A plate with one pin hole near its end.

    Attributes:
        width: of the plate, w.
        thickness: t.
        pin: its diameter, d.
        hole: its diameter, dh.
        ahead: clear metal ahead of the hole along the pull, a.
        allowance: 0.63 for inches, 16 for millimetres.
    """

    width: float
    thickness: float
    pin: float
    hole: float
    ahead: float
    allowance: float = MM_ALLOWANCE


@dataclass(frozen=True, kw_only=True)
class LugStrength:
    """Nominal strengths of a lug, and the least with factors on.

    Attributes:
        effective: be, the width each side of the hole that counts for rupture.
        rupture: 2 t be Fu (D5-1).
        shear: 0.6 Fu Asf (D5-2), Asf = 2 t (a + d/2).
        bearing: 1.8 Fy d t (J7-1).
        yielding: Fy w t (D2-1).
        lrfd, asd: the least, factored: phi .75 .75 .75 .9, omega 2 2 2 1.67.
    """

    effective: float
    rupture: float
    shear: float
    bearing: float
    yielding: float
    lrfd: float
    asd: float


def lug_strength(lug: Lug, fy: float, fu: float) -> LugStrength:
    """All of D5 for one lug.

    Args:
        lug: the plate.
        fy: yield strength.
        fu: ultimate strength, same unit.

    Raises:
        ValueError: the hole leaves no plate beside it.

    >>> s = lug_strength(Lug(width=4.25, thickness=0.5, pin=1, hole=1.03, ahead=2.25,
    ...                      allowance=INCH_ALLOWANCE), 36, 58)
    >>> round(s.rupture, 1), round(s.bearing, 1), round(s.lrfd, 1)
    (93.4, 32.4, 24.3)
    """
    beside = 0.5 * (lug.width - lug.hole)
    if beside <= 0.0:
        raise ValueError(f"a hole of {lug.hole:g} leaves nothing of a plate {lug.width:g} wide")
    effective = min(2.0 * lug.thickness + lug.allowance, beside)
    rupture = 2.0 * lug.thickness * effective * fu
    shear = 0.6 * fu * 2.0 * lug.thickness * (lug.ahead + 0.5 * lug.pin)
    bearing = 1.8 * fy * lug.pin * lug.thickness
    yielding = fy * lug.width * lug.thickness
    return LugStrength(
        effective=effective,
        rupture=rupture,
        shear=shear,
        bearing=bearing,
        yielding=yielding,
        lrfd=min(0.75 * rupture, 0.75 * shear, 0.75 * bearing, 0.90 * yielding),
        asd=min(rupture / 2.0, shear / 2.0, bearing / 2.0, yielding / 1.67),
    )


def lug_needs(lug: Lug) -> tuple[str, ...]:
    """Which of the shapes that D5.2 asks for a lug does not have, in words; empty when it has all.

    a >= 1.33 be, w >= 2 be + d, hole no more than 1 mm (1/32 in) over the pin.
    """
    be = min(2.0 * lug.thickness + lug.allowance, 0.5 * (lug.width - lug.hole))
    slack = 1.0 if math.isclose(lug.allowance, MM_ALLOWANCE) else 1.0 / 32.0
    said = []
    if lug.ahead < 1.33 * be:
        said.append(f"ahead of the hole {lug.ahead:.4g} stands, {1.33 * be:.4g} is asked for")
    if lug.width < 2.0 * be + lug.pin:
        said.append(f"the plate is {lug.width:.4g} wide, {2.0 * be + lug.pin:.4g} is asked for")
    if lug.hole > lug.pin + slack + 1e-9:
        said.append(f"the hole is {lug.hole - lug.pin:.3g} over the pin, {slack:.3g} is allowed")
    return tuple(said)
