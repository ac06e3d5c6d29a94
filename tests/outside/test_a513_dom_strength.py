"""ASTM A513 type 5 strengths in two service centres' tables: the least of both is taken."""

import pytest

from barwright.strength.materials import KSI, MATERIALS, material


@pytest.mark.parametrize(("name", "fy", "fu"), [("dom-1020", 55, 65), ("dom-1026", 65, 75)])
def test_least_of_the_tables(name, fy, fu):
    """boyersteel.com: 1020 55/65 ksi, 1026 65/75 ksi; teamtube typical 60/70 for 1020."""
    got = material(name)
    assert got.fy / KSI == pytest.approx(fy)
    assert got.fu / KSI == pytest.approx(fu)
    assert got.seen


def test_remembered_steels_say_so():
    assert all("from memory" in m.source for m in MATERIALS.values() if not m.seen)
