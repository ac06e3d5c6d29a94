"""How much push does a bar carry before it bows out? Columns by AISC 360 and EN 1993-1-1.

Any consistent units: the tests use ksi and inch as the American tables do, the house N and mm.
"""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

from barwright.strength.materials import MODULUS

Curve: TypeAlias = Literal["a0", "a", "b", "c", "d"]

IMPERFECTION: dict[str, float] = {"a0": 0.13, "a": 0.21, "b": 0.34, "c": 0.49, "d": 0.76}
"""Imperfection factor alpha by buckling curve, EN 1993-1-1 table 6.1."""

PHI, OMEGA = 0.90, 1.67
"""Resistance and safety factor for columns, AISC 360 E1."""


def aisc_stress(slenderness: float, fy: float, E: float = MODULUS) -> float:
    """Critical stress Fcr, AISC 360-16 E3-2 and E3-3, without phi or omega.

    Valid for sections that do not buckle locally: D/t <= 0.11 E/Fy (AISC B4.1a).

    Args:
        slenderness: effective length over radius of gyration, Lc/r.
        fy: yield stress.
        E: Young's modulus, same unit.

    Raises:
        ValueError: a negative slenderness, or no strength.

    >>> round(0.9 * aisc_stress(100.0, 50.0, 29000.0), 2)
    21.66
    """
    if slenderness < 0.0 or fy <= 0.0 or E <= 0.0:
        raise ValueError("slenderness must be 0 or more, strength and modulus above 0")
    if slenderness == 0.0:
        return fy
    euler = math.pi**2 * E / slenderness**2
    if slenderness <= 4.71 * math.sqrt(E / fy):
        return float(0.658 ** (fy / euler) * fy)
    return 0.877 * euler


def ec3_reduction(lam: float, curve: Curve) -> float:
    """Reduction factor chi, EN 1993-1-1 equation 6.49.

    Args:
        lam: relative slenderness, sqrt(A fy / Ncr).
        curve: a0, a, b, c or d.

    Raises:
        ValueError: a negative slenderness.

    >>> round(ec3_reduction(1.0, "c"), 4)
    0.5399
    """
    if lam < 0.0:
        raise ValueError("slenderness must be 0 or more")
    if lam <= 0.2:
        return 1.0
    phi = 0.5 * (1.0 + IMPERFECTION[curve] * (lam - 0.2) + lam**2)
    return min(1.0, 1.0 / (phi + math.sqrt(phi**2 - lam**2)))


def ec3_push(
    *,
    area: float,
    inertia: float,
    length: float,
    fy: float,
    curve: Curve = "c",
    E: float = MODULUS,
    gamma: float = 1.0,
) -> float:
    """Buckling resistance Nb,Rd [N] of a bar, EN 1993-1-1 6.3.1 (class 1 to 3 section).

    Args:
        area: [mm²].
        inertia: about the axis it buckles [mm⁴].
        length: buckling length [mm].
        fy: yield stress [N/mm²].
        curve: c for cold-formed hollow sections, a for hot-finished (table 6.2).
        E: Young's modulus [N/mm²].
        gamma: partial factor gamma M1.

    >>> from barwright.tubes.section import Section
    >>> s = Section(od=38, wall=2.5)
    >>> n = ec3_push(area=s.area, inertia=s.inertia, length=1200, fy=350)
    >>> round(n / 1000, 2)
    40.54
    """
    critical = math.pi**2 * E * inertia / length**2
    return ec3_reduction(math.sqrt(area * fy / critical), curve) * area * fy / gamma


def ec3_class_1(od: float, wall: float, fy: float) -> bool:
    """Whether a round tube may form a plastic hinge: D/t <= 50 * 235 / fy.

    EN 1993-1-1 table 5.2, class 1; from memory. [mm, N/mm²]
    """
    return od / wall <= 50.0 * 235.0 / fy
