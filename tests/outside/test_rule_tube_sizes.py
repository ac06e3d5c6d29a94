"""Least tube sizes: FIA App. J 253-8.3.3 (2009 quotation) and Formula SAE 2026 F.3.4.1, read."""

import pytest

from barwright.findings import Level
from barwright.strength.tube_rules import TUBE_RULES, tube_finding
from barwright.tubes.section import Section

DOM = (379.2, 448.2)


def _level(od: float, wall: float, rule: str, strength=DOM) -> Level:
    return tube_finding("stock.x", Section(od=od, wall=wall), strength, TUBE_RULES[rule]).level


@pytest.mark.parametrize(
    ("od", "wall", "rule", "level"),
    [
        (25.0, 2.5, "fsae-2026-a", Level.GOOD),  # I 11320.8, A 176.7
        (25.4, 2.4, "fsae-2026-a", Level.GOOD),  # I 11592, A 173.4
        (25.4, 1.6, "fsae-2026-b", Level.LOOK),  # I 8508.8: 0.2 below
        (35.0, 1.2, "fsae-2026-d", Level.GOOD),  # I 18219.6
        (45.0, 2.5, "fia-2009-main", Level.GOOD),
        (1.75 * 25.4, 0.095 * 25.4, "fia-2009-main", Level.GOOD),
        (50.0, 2.0, "fia-2009-main", Level.GOOD),
        (40.0, 2.0, "fia-2009-main", Level.LOOK),
        (38.0, 2.5, "fia-2009-other", Level.GOOD),
        (1.5 * 25.4, 0.095 * 25.4, "fia-2009-other", Level.GOOD),
        (38.0, 2.0, "fia-2009-other", Level.LOOK),
    ],
)
def test_sizes(od, wall, rule, level):
    assert _level(od, wall, rule) is level


def test_350_is_yield_in_one_edition_and_tensile_in_another():
    weak = (300.0, 400.0)
    assert _level(45.0, 2.5, "fia-2009-main", weak) is Level.LOOK
    assert _level(45.0, 2.5, "fia-later-main", weak) is Level.GOOD
