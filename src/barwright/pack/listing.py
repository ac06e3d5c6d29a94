"""Findings as a table, and what the plates weigh."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from barwright.findings import Finding
from barwright.pack.tables import csv_bytes
from barwright.pack.twins import flat_polygon

if TYPE_CHECKING:
    from barwright.route import Build

DENSITIES = {"aluminium": 2.70e-6, "stainless": 8.0e-6, "plywood": 0.68e-6, "mdf": 0.75e-6}
"""kg/mm³, from memory of handbook values; anything else counts as steel."""

STEEL = 7.85e-6
"""kg/mm³; EN 1991-1-1 Table A.4 gives 77.0 to 78.5 kN/m³, from memory."""


def findings_csv(findings: Iterable[Finding]) -> bytes:
    """One row a finding, gravest first, otherwise in the order of the route."""
    head = ["level", "subject", "says", "measured", "allowed", "unit", "source", "do", "code"]
    order = ("must", "look", "good")
    rows = [
        [
            f.level.value, f.subject, f.says, _figure(f.measured), _figure(f.allowed), f.unit,
            f.source, f.remedy, f.code,
        ]
        for f in sorted(findings, key=lambda f: order.index(f.level.value))
    ]  # fmt: skip
    return csv_bytes(head, rows)


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def plate_masses(build: Build) -> dict[str, float]:
    """Part -> mass [kg]: flat area, thickness and the material's density."""
    return {
        p.name: flat_polygon(p).area * p.thickness * density(p.material) for p in build.parts.parts
    }


def density(material: str) -> float:
    """A material's density [kg/mm³] by the word in its name.

    >>> density("aluminium-5052") < density("a36")
    True
    """
    name = material.lower().replace("aluminum", "aluminium")
    return next((d for word, d in DENSITIES.items() if word in name), STEEL)
