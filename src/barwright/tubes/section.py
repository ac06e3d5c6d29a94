"""What a round tube's section is worth.

A = pi (D² - d²) / 4, I = pi (D⁴ - d⁴) / 64, S = 2 I / D, Z = (D³ - d³) / 6, J = 2 I: elementary
mechanics of a ring; exact for a round tube of even wall.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

STEEL = 7.85e-6
"""Density of carbon steel [kg/mm³]: 7850 kg/m³, the figure EN 10219-2 takes for masses."""


@dataclass(frozen=True, kw_only=True)
class Section:
    """A round tube's section.

    Attributes:
        od, wall: outside diameter and wall thickness [mm].
    """

    od: float
    wall: float

    @property
    def bore(self) -> float:
        """Inside diameter [mm]; 0 for a solid bar."""
        return max(self.od - 2.0 * self.wall, 0.0)

    @property
    def area(self) -> float:
        """A [mm²].

        >>> round(Section(od=38, wall=2.5).area, 2)
        278.82
        """
        return math.pi * (self.od**2 - self.bore**2) / 4.0

    @property
    def inertia(self) -> float:
        """Second moment of area I about a diameter [mm⁴]."""
        return math.pi * (self.od**4 - self.bore**4) / 64.0

    @property
    def elastic(self) -> float:
        """Elastic section modulus S [mm³]."""
        return 2.0 * self.inertia / self.od

    @property
    def plastic(self) -> float:
        """Plastic section modulus Z [mm³]."""
        return (self.od**3 - self.bore**3) / 6.0

    @property
    def polar(self) -> float:
        """Torsion constant J [mm⁴]."""
        return 2.0 * self.inertia

    @property
    def gyration(self) -> float:
        """Radius of gyration r [mm]."""
        return math.sqrt(self.inertia / self.area)

    def mass(self, density: float = STEEL) -> float:
        """Mass of one millimetre [kg/mm] at a density [kg/mm³].

        >>> round(1000 * Section(od=38, wall=2.5).mass(), 3)
        2.189
        """
        return density * self.area
