"""Is a tube as large as a rule book asks? Least sizes, each with its edition.

Rule books change: in 2009 quotations the FIA's 350 N/mm² is a yield strength, in later editions
(from memory) a tensile one, so both stand here apart, by edition.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from barwright.findings import Finding, Level
from barwright.tubes.section import Section


@dataclass(frozen=True, kw_only=True)
class Least:
    """A least size: every figure must be met; 0 asks nothing.

    Attributes:
        od, wall: [mm].
        inertia: [mm⁴].
        area: [mm²].
    """

    od: float
    wall: float
    inertia: float = 0.0
    area: float = 0.0

    def met_by(self, section: Section) -> bool:
        """Whether a tube is at least this.

        >>> Least(od=25, wall=1.2, inertia=8509, area=114).met_by(Section(od=25.4, wall=1.6))
        False
        """
        has = (section.od, section.wall, section.inertia, section.area)
        need = (self.od, self.wall, self.inertia, self.area)
        return all(h >= n - 1e-9 * n for h, n in zip(has, need, strict=True))


@dataclass(frozen=True, kw_only=True)
class TubeRule:
    """A rule's least sizes; a tube meets it by meeting any of them.

    Attributes:
        sizes: the least sizes.
        source: rule book and edition, and how it is known.
        least_yield, least_tensile: strength asked for [N/mm²]; 0 where the edition is silent.
    """

    sizes: tuple[Least, ...]
    source: str
    least_yield: float = 0.0
    least_tensile: float = 0.0


_FIA = "FIA Appendix J art. 253-8.3.3"
_MAIN = (Least(od=45.0, wall=2.5), Least(od=50.0, wall=2.0), Least(od=44.45, wall=2.413))
_OTHER = (Least(od=38.0, wall=2.5), Least(od=40.0, wall=2.0), Least(od=38.1, wall=2.413))
_FSAE = "Formula SAE Rules 2026 V1.0 F.3.4.1 (text copy, read)"

TUBE_RULES: Mapping[str, TubeRule] = MappingProxyType(
    {
        "fia-2009-main": TubeRule(
            sizes=_MAIN,
            source=f"{_FIA}, main rollbars, as quoted in 2009 (read)",
            least_yield=350.0,
        ),
        "fia-2009-other": TubeRule(
            sizes=_OTHER, source=f"{_FIA}, other parts, as quoted in 2009 (read)", least_yield=350.0
        ),
        "fia-later-main": TubeRule(
            sizes=_MAIN,
            source=f"{_FIA}, main rollbars, later editions (from memory)",
            least_tensile=350.0,
        ),
        "fia-later-other": TubeRule(
            sizes=_OTHER,
            source=f"{_FIA}, other parts, later editions (from memory)",
            least_tensile=350.0,
        ),
        "fsae-2026-a": TubeRule(
            sizes=(Least(od=25.0, wall=2.0, inertia=11320.0, area=173.0),), source=f"{_FSAE} size A"
        ),
        "fsae-2026-b": TubeRule(
            sizes=(Least(od=25.0, wall=1.2, inertia=8509.0, area=114.0),), source=f"{_FSAE} size B"
        ),
        "fsae-2026-c": TubeRule(
            sizes=(Least(od=25.0, wall=1.2, inertia=6695.0, area=91.0),), source=f"{_FSAE} size C"
        ),
        "fsae-2026-d": TubeRule(
            sizes=(Least(od=35.0, wall=1.2, inertia=18015.0, area=126.0),), source=f"{_FSAE} size D"
        ),
    }
)
"""The rules, by the name [strength] tubes may give."""


def tube_finding(
    subject: str, section: Section, strength: tuple[float, float], rule: TubeRule
) -> Finding:
    """Whether a tube meets a rule's sizes and strength.

    Args:
        subject: the stock, for the finding.
        section: the tube.
        strength: (fy, fu) of its steel [N/mm²].
        rule: the rule.
    """
    right = any(size.met_by(section) for size in rule.sizes)
    strong = strength[0] >= rule.least_yield and strength[1] >= rule.least_tensile
    wants = " or ".join(f"{s.od:g} × {s.wall:g} mm" for s in rule.sizes)
    asks = [f"{rule.least_yield:g} MPa yield"] * (rule.least_yield > 0.0)
    asks += [f"{rule.least_tensile:g} MPa tensile"] * (rule.least_tensile > 0.0)
    return Finding(
        code="strength.tube-size",
        level=Level.GOOD if right and strong else Level.LOOK,
        subject=subject,
        says=f"{section.od:.2f} × {section.wall:.2f} mm (I {section.inertia:.0f} mm⁴, A "
        f"{section.area:.1f} mm²) of {strength[0]:.0f} MPa yield, {strength[1]:.0f} MPa tensile: "
        f"the rule asks at least {', '.join([wants, *asks])}.",
        measured=round(section.inertia, 1),
        allowed=rule.sizes[0].inertia or None,
        unit="mm⁴",
        source=rule.source,
        remedy="" if right and strong else f"Take tube of at least {', '.join([wants, *asks])}.",
    )
