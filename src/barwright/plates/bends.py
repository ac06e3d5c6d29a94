"""How much plate a bend uses: DIN 6935, K-factors, allowance and deduction.

Angles are how far the plate is bent out of flat [rad], lengths in millimetres.
"""

from __future__ import annotations

import math


def din_6935_k(radius: float, thickness: float) -> float:
    """DIN 6935's correction factor k for the neutral line, by inside radius and thickness.

    k = 0.65 + 0.5 log10(r/s), 1 for r/s of 5 and more. The standard's k multiplies s/2, so the
    K-factor of the trade is half of it. The formula is meant for r/s from 0.65; below, it is
    carried on (a radius so small cracks or thins the plate: see `checks`).

    >>> [round(din_6935_k(r, 1.0), 4) for r in (0.65, 1.0, 2.0, 5.0)]
    [0.5565, 0.65, 0.8005, 1.0]
    """
    ratio = radius / thickness
    return 1.0 if ratio >= 5.0 else max(0.65 + 0.5 * math.log10(ratio), 0.0)


def k_factor(radius: float, thickness: float) -> float:
    """The K-factor by DIN 6935: the neutral line's depth from the inside, in thicknesses.

    >>> k_factor(15.0, 3.0)
    0.5
    """
    return din_6935_k(radius, thickness) / 2.0


def allowance(*, angle: float, radius: float, thickness: float, k: float | None = None) -> float:
    """Bend allowance [mm]: the neutral line's length round the bend, θ(r + K t).

    Args:
        angle: how far it is bent [rad]; the sign does not matter.
        radius: inside radius [mm].
        thickness: of the plate [mm].
        k: K-factor; None takes DIN 6935's.

    >>> round(allowance(angle=math.pi / 2, radius=0.25, thickness=0.125, k=0.35), 3)
    0.461
    """
    factor = k_factor(radius, thickness) if k is None else k
    return abs(angle) * (radius + factor * thickness)


def setback(*, angle: float, radius: float, thickness: float) -> float:
    """From the bend's tangent line to where the outside faces would meet: (r + t) tan(θ/2).

    Defined for bends short of a half turn.

    >>> round(setback(angle=math.pi / 2, radius=0.16, thickness=0.04), 9)
    0.2
    """
    return (radius + thickness) * math.tan(abs(angle) / 2.0)


def deduction(*, angle: float, radius: float, thickness: float, k: float | None = None) -> float:
    """Bend deduction [mm]: outside legs summed, less this, is the flat length (short of 180°)."""
    return 2.0 * setback(angle=angle, radius=radius, thickness=thickness) - allowance(
        angle=angle, radius=radius, thickness=thickness, k=k
    )


def din_6935_v(*, opening: float, radius: float, thickness: float) -> float:
    """DIN 6935's compensation v [mm]: flat length = outside legs summed + v.

    Args:
        opening: the angle left between the legs, β [rad].
        radius: inside radius r [mm].
        thickness: s [mm].

    β up to 90°: legs are measured to the outside tangents parallel to them; from 90° to 165° to
    where the outside faces meet; above 165° v is 0.
    """
    bent = math.pi - opening
    if opening > math.radians(165.0):
        return 0.0
    arc = bent * (radius + din_6935_k(radius, thickness) * thickness / 2.0)
    if opening <= math.pi / 2.0:
        return arc - 2.0 * (radius + thickness)
    return arc - 2.0 * setback(angle=bent, radius=radius, thickness=thickness)


def springback_ratio(*, radius: float, thickness: float, yield_: float, modulus: float) -> float:
    """Ri/Rf of a wide sheet let go: 4X³ - 3X + 1, X = Ri σy / (E t).

    Elastic unloading of a fully plastic bend; a formula of the textbooks, real sheets differ.

    Args:
        radius: inside radius on the tool [mm].
        thickness: of the sheet [mm].
        yield_: σy, in the unit of E.
        modulus: E.
    """
    x = radius * yield_ / (modulus * thickness)
    return 4.0 * x**3 - 3.0 * x + 1.0


def bending_force(
    *, tensile: float, width: float, thickness: float, opening: float, factor: float = 1.33
) -> float:
    """Press force [N] for a V-die bend: factor · TS · w · t² / D (handbook form).

    Args:
        tensile: strength TS [MPa].
        width: of the bend [mm].
        thickness: of the plate [mm].
        opening: of the die D [mm].
        factor: 1.33 for a V die.
    """
    return factor * tensile * width * thickness**2 / opening
