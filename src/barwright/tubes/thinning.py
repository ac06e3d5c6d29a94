"""What a bend does to the wall: how thin its outside gets, and what the codes ask for that."""

from __future__ import annotations

import math
from itertools import pairwise

LEAST_ROUND = 0.90
"""Least ratio of the smallest to the largest diameter in a bend: FIA Appendix J Art. 253-8.3.3
(as quoted 2009), MSA K1.4.3."""

_BEFORE = ((3.0, 1.25), (4.0, 1.14), (5.0, 1.08), (6.0, 1.06))
"""ASME B31.1 Table 102.4.5 (copies: UFGS Table 5-4 and an extract): CLR in diameters, and wall
before bending over least wall."""


def outer_wall(wall: float, clr: float, od: float) -> float:
    """Wall left on the outside of a bend [mm]: t R / (R + D/2).

    The centreline keeps its length and the metal its volume: a common rule of thumb, from
    memory; valid for draw bending of steel tube with CLR of 1.5 diameters and more.

    >>> round(outer_wall(1.0, 3.0, 1.0), 4)
    0.8571
    """
    return wall * clr / (clr + od / 2.0)


def wall_before_bending(least: float, clr: float, od: float) -> float:
    """Wall to start from [mm] so that at least `least` is left, after ASME B31.1 Table 102.4.5.

    Interpolated between 3, 4, 5 and 6 diameters; 6 and more take the last row.

    Raises:
        ValueError: CLR below 3 diameters, which the table does not cover.

    >>> wall_before_bending(2.0, 114.0, 38.0)
    2.5
    """
    ratio = clr / od
    if ratio < _BEFORE[0][0] - 1e-9:
        raise ValueError(f"CLR of {ratio:.2f} diameters is below the table's 3")
    for (a, at_a), (b, at_b) in pairwise(_BEFORE):
        if ratio <= b:
            return least * (at_a + (at_b - at_a) * (max(ratio, a) - a) / (b - a))
    return least * _BEFORE[-1][1]


def pressure_factor(clr: float, od: float, *, outside: bool) -> float:
    """The bend factor I of ASME B31.1 102.4.5 / B31.3 304.2.1, from worked sheets.

    Outside of the bend (4 R/D + 1) / (4 R/D + 2), inside (4 R/D - 1) / (4 R/D - 2).

    >>> round(pressure_factor(76.2, 60.3, outside=True), 2)
    0.86
    """
    four = 4.0 * clr / od
    sign = 1.0 if outside else -1.0
    return (four + sign) / (four + 2.0 * sign)


def springback_ratio(clr: float, od: float, wall: float, *, yields: float, modulus: float) -> float:
    """Curvature kept over curvature under load, of a round tube bent fully plastic.

    Elastic unloading of the plastic moment: 1 - CLR sigma_y Z / (E I). Beam theory: a real
    tube work-hardens and flattens, so a bender's own table comes first.

    Args:
        clr: centreline radius under load [mm].
        od: outside diameter [mm].
        wall: wall thickness [mm].
        yields: yield strength [MPa].
        modulus: Young's modulus [MPa].

    >>> round(springback_ratio(114, 38, 2.5, yields=350, modulus=210000), 5)
    0.98642
    """
    bore = od - 2.0 * wall
    plastic = (od**3 - bore**3) / 6.0
    inertia = math.pi * (od**4 - bore**4) / 64.0
    return 1.0 - clr * yields * plastic / (modulus * inertia)


def thin_wall_springback(mid_radius: float, *, yields: float, modulus: float) -> float:
    """Curvature lost [1/mm] by a very thin tube: 4 sigma_y / (pi E Rm), the limit of the above."""
    return 4.0 * yields / (math.pi * modulus * mid_radius)


def sheet_springback_ratio(inside: float, thick: float, *, yields: float, modulus: float) -> float:
    """Inside radius under load over inside radius after, of bent sheet: 4 X³ - 3 X + 1.

    X = Ri sigma_y / (E t); the textbook form, as seen on a teaching page. Valid for X up to 1/2,
    where the sheet springs back altogether.

    >>> round(sheet_springback_ratio(0.5, 0.0359, yields=40, modulus=29e3), 5)
    0.9424
    """
    x = inside * yields / (modulus * thick)
    if x > 0.5:
        raise ValueError("bent within the elastic range: the sheet springs back altogether")
    return 4.0 * x**3 - 3.0 * x + 1.0
