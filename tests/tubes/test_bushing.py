"""The hinge end of a leaf's bar is coped to its bushing: closed form, plane geometry (Pythagoras).

A bar square to the axis has its wall lines at y = rho sin(phi) beside the axis; a bushing of
radius R is left at sqrt(R² - y²), soonest for the line nearest the axis: the bore's.
"""

import numpy as np
import pytest

from barwright.findings import Level

PLACES = {
    "H": (0.0, 500.0, 900.0),
    "L": (700.0, 500.0, 900.0),
    "T": (0.0, 500.0, 1300.0),
    "P": (0.0, 560.0, 600.0),
    "Q": (0.0, 560.0, 1200.0),
}
BARS = {
    "upper": {"stock": "main", "path": ["H", "L"]},
    "post": {"stock": "big", "path": ["P", "Q"]},
}
LEAF = {"bars": ["upper"], "axis": {"through": "H", "along": "up"}, "opens": 90}
HINGE = {"fitting": "boxed-hinge"}


def leaf(**hinge):
    return {"side": {**LEAF, "hinge": {**HINGE, **hinge}}}


def closed_form(radius, inner, end):
    """Over the whole wall: the bore's line where it meets the bushing, else none: the mark."""
    zero, along = np.array(end.zero), np.array(end.along)
    phi = np.radians(np.arange(360))[:, None]
    spokes = np.cos(phi) * zero + np.sin(phi) * np.cross(along, zero)
    beside = inner * spokes @ np.cross((0.0, 0.0, 1.0), along)
    return np.sqrt(np.maximum(radius**2 - beside**2, 0.0))


@pytest.mark.parametrize("od", [30.0, 38.0, 60.0])
def test_the_hinge_end_clears_a_bushing_of_the_size_written(frame, od):
    upper = frame(PLACES, BARS, leaf=leaf(bushing_od=od)).named("upper")
    assert upper.start.against == ("side.hinge.bushing",)
    assert upper.finish.against == ()
    assert upper.start.bushing.radius == od / 2.0
    wanted = closed_form(od / 2.0, 16.5, upper.start)
    np.testing.assert_allclose(upper.start.cope, wanted, atol=1e-6)
    assert upper.cut_length == pytest.approx(700.0 - wanted.min(), abs=1e-6)


def test_the_default_is_the_hinge_fittings_own(frame):
    """12 mm pin, 18 mm sleeve, 27 mm bushing; from a 16 mm pin on, 31 mm."""
    assert frame(PLACES, BARS, leaf=leaf()).named("upper").start.bushing.radius == 13.5
    assert frame(PLACES, BARS, leaf=leaf(bolt=16)).named("upper").start.bushing.radius == 15.5
    inch = frame(PLACES, BARS, leaf=leaf(), job={"unit": "in"})
    assert inch.named("upper").start.bushing.radius == pytest.approx(25.4 * 1.125 / 2.0)


def test_a_thin_bushing_is_told_and_a_stout_one_is_not(frame):
    thin = frame(PLACES, BARS, leaf=leaf())
    told = [f for f in thin.findings if f.code == "tubes.wider"]
    assert [(f.level, f.measured, f.allowed) for f in told] == [(Level.LOOK, 27.0, 38.0)]
    assert "bushing_od to 38.0 mm" in told[0].remedy
    stout = frame(PLACES, BARS, leaf=leaf(bushing_od=38.0))
    assert [f for f in stout.findings if f.code == "tubes.wider"] == []


@pytest.mark.parametrize(
    "table",
    [
        {"side": LEAF},
        {"side": {**LEAF, "hinge": {"fitting": "my-own-hinge"}}},
        leaf(bushing_od="wide"),
        leaf(bushing_od=-3),
    ],
    ids=["no hinge", "another's hinge without a size", "unreadable", "below nothing"],
)
def test_without_a_bushing_of_known_size_the_end_stays_square(frame, table):
    upper = frame(PLACES, BARS, leaf=table).named("upper")
    assert upper.start.against == ()
    assert np.all(upper.start.cope == 0.0)


def test_an_end_far_from_the_axis_and_one_told_otherwise_stay_square(frame):
    far = {**PLACES, "H2": (0.0, 400.0, 900.0)}
    table = {"side": {**LEAF, "axis": {"through": "H2", "along": "up"}, "hinge": HINGE}}
    assert frame(far, BARS, leaf=table).named("upper").start.against == ()
    told = {**BARS, "upper": {**BARS["upper"], "cope": {"from": []}}}
    assert frame(PLACES, told, leaf=leaf()).named("upper").start.against == ()


def test_only_the_end_nearest_the_axis_of_a_leaf_with_several_bars_has_it(frame):
    places = {**PLACES, "B": (20.0, 500.0, 1200.0), "M": (350.0, 500.0, 900.0)}
    bars = {**BARS, "strut": {"stock": "light", "path": ["B", "M"]}}
    table = {"side": {**LEAF, "bars": ["upper", "strut"], "hinge": HINGE}}
    made = frame(places, bars, leaf=table)
    assert made.named("upper").start.against == ("side.hinge.bushing",)
    assert made.named("strut").start.bushing is None


def test_the_twin_has_its_own_bushing_on_its_own_axis(frame):
    made = frame(PLACES, BARS, leaf=leaf(bushing_od=44.0), twin={"of": ["side"]})
    twin = made.named("upper-twin")
    assert twin.start.against == ("side.hinge.bushing-twin",)
    line = twin.start.bushing.centreline.pieces[0]
    assert line.start[:2] == pytest.approx((0.0, -500.0))
    np.testing.assert_allclose(twin.start.cope, closed_form(22.0, 16.5, twin.start), atol=1e-6)


def test_what_is_said_of_a_thin_bushing_is_in_numbers(frame):
    """A 38 × 2.5 bar, bore 33, on a bushing of 27: (33 − 27) / 2 = 3 mm open at each side."""
    (told,) = (f for f in frame(PLACES, BARS, leaf=leaf()).findings if f.code == "tubes.wider")
    assert "is 38.0 mm wide, its bushing at H 27.0 mm" in told.says
    assert "a gap of 3.0 mm or more" in told.says


@pytest.mark.parametrize(("away", "met"), [(50.5, True), (51.8, False)])
def test_an_end_is_coped_to_a_bushing_no_farther_than_the_bars_diameter(frame, away, met):
    """Half the bushing, 27 / 2 mm, and the bar's 38 mm: 51.5 mm."""
    table = leaf()
    places = {**PLACES, "H2": (-away, 500.0, 900.0)}
    table["side"]["axis"] = {"through": "H2", "along": "up"}
    upper = frame(places, BARS, leaf=table).named("upper")
    assert (upper.start.bushing is not None) == met
