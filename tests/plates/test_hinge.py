"""The boxed hinge: generated from whatever the joint is, and clear over the whole swing."""

import math
from functools import cache

import numpy as np
import pytest
from joints import bar, side
from shapely.geometry import Point, Polygon

from barwright.findings import Level
from barwright.geometry.distance import apart
from barwright.geometry.solids import Body
from barwright.job.errors import BadInput
from barwright.plates.folded import folded
from barwright.plates.joint import line_body
from barwright.plates.make import parts
from barwright.plates.outline import points, region
from barwright.plates.slots import overlap
from barwright.plates.solids import body_of
from barwright.plates.twins import moved_body
from barwright.swing.clearance import swing
from barwright.tubes.bars import Bars

LEANS = [
    {},
    {"post_lean": (0.12, -0.08)},
    {"hinge": (-60.0, 45.0)},
    {"hinge": (-78.0, -20.0)},
    {"od": 44.45, "slope": 30.0},
    {"od": 31.75, "opens": -115.0},
]


@cache
def leaf(n=0):
    """(job, marks, bars, motions) of a joint, and its parts."""
    joint = side(**LEANS[n])
    return joint, parts(*joint)


def named(made, name):
    return next(p for p in made.parts if p.name == name)


@pytest.mark.parametrize("n", range(len(LEANS)))
def test_the_leaf_opens_freely_through_its_mouth(n):
    (_, _, bars, motions), made = leaf(n)
    movers = [line_body(bars.named("upper"))]
    movers += [body_of(p) for p in made.parts if p.rides]
    movers += [h.body for h in made.hardware if h.rides]
    still = [line_body(b) for b in bars.bars if b.name != "upper"]
    still += [body_of(p) for p in made.parts if not p.rides]
    still += [h.body for h in made.hardware if not h.rides]
    found = swing(motions[0], tuple(movers), tuple(still), allowed=made.intended)
    assert found.first_contact is None
    assert found.least_clearance > 0.1


@pytest.mark.parametrize("n", range(len(LEANS)))
def test_cheeks_stand_above_and_below_and_reach_the_tube(n):
    (_, _, bars, motions), made = leaf(n)
    tube = line_body(bars.named("pillar"))
    for name, sign in (("upper", 1.0), ("lower", -1.0)):
        part = named(made, f"side.hinge.cheek-{name}")
        z = folded(part).panels[0].pose.points([(0, 0, 0), (0, 0, part.thickness)])[:, 2]
        assert np.all(sign * (z - motions[0].through[2]) > 25.0)
        flat = Body(name="base", solids=body_of(part).solids)
        gap = apart(flat, tube).low
        assert gap <= 0.05  # the edge lies on the tube: the weld gap is nothing here


def test_the_mouth_closes_on_the_bar_a_stop_gap_away():
    job, marks, bars, motions = side(written={"hinge": {"stop_gap": 0.6}})
    made = parts(job, marks, bars, motions)
    upper = line_body(bars.named("upper"))
    cheek = body_of(named(made, "side.hinge.cheek-upper"))
    assert apart(upper, cheek).low == pytest.approx(0.6, abs=0.2)


@pytest.mark.parametrize("n", range(len(LEANS)))
def test_every_tab_of_the_gusset_enters_its_slot(n):
    _, made = leaf(n)
    gusset = [p for p in made.parts if p.name == "side.hinge.gusset"]
    if not gusset:
        assert any(f.code == "plates.hinge-gusset" for f in made.findings)
        return
    for name in ("upper", "lower"):
        cheek = named(made, f"side.hinge.cheek-{name}")
        panel = folded(cheek).panels[0]
        assert overlap(gusset[0], cheek, panel.pose, panel.shape) < 0.01
        whole = Polygon(panel.shape.exterior)
        assert overlap(gusset[0], cheek, panel.pose, whole) > 5.0  # it really goes through


def test_the_pivot_holes_stand_on_the_axis():
    job, marks, bars, motions = side(post_lean=(0.1, 0.05))
    made = parts(job, marks, bars, motions)
    for name in ("upper", "lower"):
        part = named(made, f"side.hinge.cheek-{name}")
        (x, y, _), (x1, _, _) = part.holes[0].vertices
        centre = part.placed.points(((x + x1) / 2, y, 0.0))
        assert np.allclose(centre[:2], motions[0].through[:2], atol=1e-9)


def test_spacers_are_longer_together_than_the_bushing_by_the_end_float():
    """Common practice, no source: 0.020 in longer, so that nothing binds with the bolt tight."""
    _, made = leaf()
    dims = {h.name.rsplit(".", 1)[1]: dict(h.dims) for h in made.hardware if "hinge" in h.name}
    stack = dims["spacer-upper"]["length"] + dims["spacer-lower"]["length"]
    assert stack - dims["bushing"]["length"] == pytest.approx(0.508)
    assert dims["bushing"]["bore"] == dims["spacer-upper"]["od"]


def test_bought_sizes_follow_the_jobs_unit():
    inches = parts(*side(unit_="in"))
    bolt = next(h for h in inches.hardware if h.name == "side.hinge.bolt")
    assert dict(bolt.dims)["od"] == 12.7
    assert inches.parts[0].thickness == 3.175


def test_an_axis_too_near_the_tube_is_a_finding_with_numbers():
    made = parts(*side(hinge=(-38.0, 4.0)))
    found = next(f for f in made.findings if f.code == "plates.hinge-room")
    assert not [p for p in made.parts if "hinge" in p.name]
    assert found.level is Level.MUST
    assert "mm away" in found.remedy


def test_no_outline_crosses_itself_and_holes_lie_inside():
    for part in leaf()[1].parts:
        shape = region(part.outline)
        assert shape.is_valid
        for hole in part.holes:
            assert shape.contains(Polygon(points(hole)))


@pytest.mark.parametrize(
    ("table", "entry", "do"),
    [
        ({"clearence": 3}, "leaf.side.hinge.clearence", "clearance"),
        ({"clearance": "wide"}, "leaf.side.hinge.clearance", ""),
        ({"bolt": -3}, "leaf.side.hinge.bolt", ""),
        ({"on": "pilar"}, "leaf.side.hinge.on", "pillar"),
        ({"sheet": "thick"}, "leaf.side.hinge.sheet", ""),
        ({"fitting": "boxed-hing"}, "leaf.side.hinge.fitting", "boxed-hinge"),
    ],
)
def test_a_wrong_parameter_is_told_with_its_entry(table, entry, do):
    with pytest.raises(BadInput) as caught:
        parts(*side(written={"hinge": table}))
    (fault,) = caught.value.faults
    assert (fault.file, fault.entry) == ("job.toml", entry)
    assert do in fault.do


def test_faults_of_all_fittings_come_together():
    with pytest.raises(BadInput) as caught:
        parts(
            *side(written={"hinge": {"bolt": "x"}, "latch": {"on": "nothing"}, "striker": {"q": 1}})
        )
    assert len(caught.value.faults) == 3


def test_the_stop_bears_on_the_carrier():
    (_, _, _, motions), made = leaf()
    striker = body_of(named(made, "side.striker.gusset"))
    carrier = body_of(named(made, "side.latch.plate"))
    assert apart(striker, carrier).low == pytest.approx(0.5, abs=0.25)
    past = motions[0].pose(math.radians(0.2))  # closing on: opening is negative here
    assert apart(moved_body(striker, past), carrier).low <= 0.0


def test_striker_and_latch_meet_where_the_leaf_closes():
    _, made = leaf()
    bolt = next(h for h in made.hardware if h.name == "side.striker.bolt")
    plate = named(made, "side.latch.plate")
    pose = plate.placed.inverse()
    rod = bolt.body.solids[0]
    p = pose.points([rod.start, rod.end])
    assert np.allclose(p[0][:2], p[1][:2])
    assert not region(plate.outline).contains(Point(p[0][:2]))  # it stands in the mouth


def test_other_tubes_at_the_node_are_kept_clear_of():
    """A dash bar that meets the pillar between the cheeks: the cheeks are cut round it."""
    job, marks, bars, motions = side()
    x = motions[0].through[0] + 70.0
    dash = bar("dash", [x, 511, 718], [x, 0, 718], 19.05)
    made = parts(job, marks, Bars(bars=(*bars.bars, dash)), motions)
    alone = parts(job, marks, bars, motions)
    cheek, before = (named(m, "side.hinge.cheek-upper") for m in (made, alone))
    assert region(cheek.outline).area < region(before.outline).area - 20.0
    assert apart(line_body(dash), body_of(cheek)).low > 0.5
