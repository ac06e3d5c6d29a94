"""What is the steel good for? Strengths with where each figure comes from.

The least of what the sources promise is taken. A figure here is not a certificate: what counts is
the mill certificate that came with the tube.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from barwright.tubes.section import STEEL

KSI = 6.894757293168361
"""Newtons per square millimetre in one ksi (NIST SP 811, appendix B)."""

MODULUS = 210000.0
"""Young's modulus of steel [N/mm²], EN 1993-1-1 clause 3.2.6."""
SHEAR_MODULUS = MODULUS / (2.0 * 1.3)
"""Shear modulus of steel [N/mm²]: E / 2(1 + 0.3), EN 1993-1-1 clause 3.2.6."""


@dataclass(frozen=True, kw_only=True)
class Material:
    """A material.

    Attributes:
        name: as the job file writes it.
        grade: what it is, in words.
        fy, fu: least yield and ultimate strength [N/mm²].
        source: where the figures come from.
        seen: whether the figures were read in that source; False for "from memory".
        welded: share of the strength that is left beside a weld; below 1 where the strength
            comes from cold drawing or heat treatment.
        E, G: moduli [N/mm²].
        density: [kg/mm³].
    """

    name: str
    grade: str
    fy: float
    fu: float
    source: str
    seen: bool = False
    welded: float = 1.0
    E: float = MODULUS
    G: float = SHEAR_MODULUS
    density: float = STEEL


def _steel(
    name: str,
    grade: str,
    strengths: tuple[float, float],
    source: str,
    *,
    seen: bool = False,
    welded: float = 1.0,
) -> Material:
    fy, fu = strengths
    return Material(name=name, grade=grade, fy=fy, fu=fu, source=source, seen=seen, welded=welded)


_ROWS = (
    _steel(
        "dom-1020",
        "1020 drawn-over-mandrel tube, ASTM A513 type 5, stress relieved",
        (55.0 * KSI, 65.0 * KSI),
        "service centres' A513-5 tables, the least of two (read; secondary)",
        seen=True,
        welded=0.85,
    ),
    _steel(
        "dom-1026",
        "1026 drawn-over-mandrel tube, ASTM A513 type 5",
        (65.0 * KSI, 75.0 * KSI),
        "service centres' A513-5 tables (read; secondary)",
        seen=True,
        welded=0.80,
    ),
    _steel(
        "erw-1010",
        "1010 welded tube, ASTM A513 type 1",
        (32.0 * KSI, 45.0 * KSI),
        "ASTM A513 gives no minimum for type 1; typical figures, from memory",
    ),
    _steel(
        "4130-n",
        "4130 tube, normalised (AMS 6360, MIL-T-6736)",
        (75.0 * KSI, 95.0 * KSI),
        "AMS 6360, from memory",
        welded=0.80,
    ),
    _steel("a36", "ASTM A36 plate", (36.0 * KSI, 58.0 * KSI), "ASTM A36, from memory"),
    _steel(
        "a1011-36",
        "hot-rolled sheet ASTM A1011 SS grade 36",
        (36.0 * KSI, 53.0 * KSI),
        "ASTM A1011, from memory",
    ),
    _steel("s235", "S235JR, up to 16 mm", (235.0, 360.0), "EN 10025-2, from memory"),
    _steel("s275", "S275JR, up to 16 mm", (275.0, 410.0), "EN 10025-2, from memory"),
    _steel("s355", "S355J2, up to 16 mm", (355.0, 470.0), "EN 10025-2, from memory"),
    _steel(
        "e355-c",
        "E355+C cold-drawn precision tube",
        (420.0, 490.0),
        "EN 10305-1; yield not promised there, typical; from memory",
        welded=0.75,
    ),
    _steel(
        "cds-350",
        "cold-drawn seamless unalloyed carbon steel, at least 350 N/mm² tensile",
        (230.0, 350.0),
        "FIA Appendix J art. 253: tensile 350 in later editions (from memory); 2009 quotations say "
        "yield; the lower yield here is an assumption, so bring the certificate",
    ),
)

MATERIALS: Mapping[str, Material] = MappingProxyType({m.name: m for m in _ROWS})
"""The table, by name."""

WEAKEST = MATERIALS["erw-1010"]
"""What an unknown name is taken as, and said so."""


def material(name: str) -> Material | None:
    """The material of that name, however it is spelt; None for one the table does not know.

    >>> round(material("DOM 1020").fy, 1)
    379.2
    """
    return MATERIALS.get(name.strip().lower().replace(" ", "-").replace("_", "-"))


BOLTS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "4.6": (240.0, 400.0),
        "5.8": (400.0, 500.0),
        "8.8": (640.0, 800.0),
        "10.9": (900.0, 1000.0),
        "12.9": (1080.0, 1200.0),
        "sae-5": (92.0 * KSI, 120.0 * KSI),
        "sae-8": (130.0 * KSI, 150.0 * KSI),
    }
)
"""Bolts: nominal yield and ultimate [N/mm²]; EN 1993-1-8 table 3.1, SAE J429, from memory."""
