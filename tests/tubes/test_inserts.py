"""What slips into a tube: its diameter, its depth, its welds."""

import math

import pytest

from barwright.job.schema import Insert
from barwright.tubes.inserts import SHEAR, slip_of


def test_diameter_clears_the_least_bore_the_tolerance_allows():
    slip = slip_of(38.1, 2.413, Insert(slip=0.1))
    # A513 type 5 lets the bore of a 1-1/2 in tube be 0.005 in under.
    assert slip.diameter == pytest.approx(38.1 - 2 * 2.413 - 0.127 - 0.1)
    assert "A513" in slip.standard
    assert slip.depth == pytest.approx(1.5 * slip.bore)


def test_a_plug_weld_only_where_the_load_asks():
    """Common practice, no source: the seam alone unless it does not carry the load."""
    seam = SHEAR * 2.413 * math.sqrt(0.5) * math.pi * 38.1
    assert slip_of(38.1, 2.413, Insert()).plugs == 0
    assert slip_of(38.1, 2.413, Insert(load=0.99 * seam)).plugs == 0
    one = SHEAR * math.pi * 8**2 / 4
    assert slip_of(38.1, 2.413, Insert(load=seam + 0.5 * one, plug=8)).plugs == 1
    assert slip_of(38.1, 2.413, Insert(load=seam + 2.5 * one, plug=8)).plugs == 3


def test_an_insert_is_reported_and_must_not_reach_the_bend(frame):
    places = {"A": (0, 0, 0), "B": (150, 0, 0), "C": (150, 400, 0)}
    one = {"stock": "main", "path": ["A", "B", "C"], "insert": {"from": {"depth": 50}, "to": {}}}
    bars = frame(places, {"one": one})
    deep, first, last = sorted(
        (f for f in bars.findings if f.code == "tubes.insert"), key=lambda f: f.level
    )[::-1]
    assert {first.level, last.level, deep.level} == {"must", "good"}
    must = next(f for f in bars.findings if f.code == "tubes.insert" and f.level == "must")
    assert (must.measured, must.allowed) == (50, pytest.approx(36))


def test_the_finding_tells_the_insert_of_its_own_tube(frame):
    """Measured and allowed are those of the bar's outside diameter, 38 mm, and its wall."""
    places = {"A": (0, 0, 0), "B": (150, 0, 0)}
    one = {"stock": "main", "path": ["A", "B"], "insert": {"to": {"slip": 0.2, "depth": 40}}}
    (told,) = (f for f in frame(places, {"one": one}).findings if f.code == "tubes.insert")
    slip = slip_of(38.0, 2.5, Insert(slip=0.2, depth=40))
    assert (told.measured, told.allowed) == (slip.diameter, slip.bore)
    assert told.allowed == pytest.approx(33.0)
    assert told.measured < 33.0 - 0.2
    assert "33.00 mm, 40 mm deep" in told.says


def test_too_deep_an_insert_says_by_how_much(frame):
    places = {"A": (0, 0, 0), "B": (50, 0, 0)}
    for depth, deep in ((49.9, False), (50.1, True), (70, True)):
        one = {"stock": "main", "path": ["A", "B"], "insert": {"to": {"depth": depth}}}
        told = [f for f in frame(places, {"one": one}).findings if f.level == "must"]
        assert len(told) == deep
    assert told[0].remedy == "make the insert 20 mm shorter"


def test_a_plug_is_twice_the_wall_but_six_millimetres_at_least():
    assert slip_of(38.1, 2.413, Insert()).plug == 6.0
    assert slip_of(38.1, 4.0, Insert()).plug == 8.0
    assert slip_of(38.1, 4.0, Insert(plug=5)).plug == 5.0
