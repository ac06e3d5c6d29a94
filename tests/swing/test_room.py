"""What an open leaf leaves room for: wired from the job's own words to a finding."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from pydantic import ValidationError

from barwright.findings import Level
from barwright.geometry.solids import Body, Rod
from barwright.job.schema import Job
from barwright.survey.marks import Marks
from barwright.swing.cable import Cable
from barwright.swing.motion import Motion
from barwright.swing.opening import Opening
from barwright.swing.passing import Around
from barwright.swing.plank import broadest
from barwright.swing.room import rooms
from barwright.swing.room_findings import cable_finding, opening_finding

XYZ = {
    "A": (0.0, 500.0, 0.0),
    "B": (800.0, 500.0, 0.0),
    "C": (800.0, 500.0, 900.0),
    "D": (0.0, 500.0, 900.0),
    "H": (800.0, 500.0, 450.0),
    "L": (0.0, 500.0, 450.0),
}
MARKS = Marks(names=tuple(XYZ), xyz=np.array(list(XYZ.values())), covariance=np.zeros((18, 18)))
TURN = Motion(
    leaf="side", bars=("upper",), through=XYZ["H"], along=(0.0, 0.0, -1.0), opens=math.pi / 2
)
TWIN = Motion(
    leaf="side-twin",
    bars=("upper-twin",),
    through=(800.0, -500.0, 450.0),
    along=(0.0, 0.0, 1.0),
    opens=math.pi / 2,
    twin_of="side",
)


def rod(name: str, a, b) -> Body:
    return Body(name=name, solids=(Rod(start=a, end=b, radius=20.0),))


FRAME = tuple(rod(p + q, XYZ[p], XYZ[q]) for p, q in ("AB", "BC", "CD", "DA"))
UPPER = rod("upper", (760.0, 500.0, 450.0), (20.0, 500.0, 450.0))
AROUND = {"side": Around(movers=(UPPER,), standing=FRAME)}


def job(**leaf) -> Job:
    table = {"bars": ["upper"], "axis": {"through": "H", "along": "down"}, "opens": 90}
    return Job.model_validate({"leaf": {"side": {**table, **leaf}}})


def found(motion: Motion = TURN, around=AROUND, **leaf):
    return rooms(job(**leaf), MARKS, (motion,), around)


def test_a_leaf_that_asks_nothing_is_told_nothing() -> None:
    assert found() == ()


def test_the_open_leaf_leaves_the_whole_frame_free_but_where_it_stands() -> None:
    """It turns out square to the opening, at its edge: the hinge's end covers no more of it."""
    (way,) = found(opening={"corners": ["A", "B", "C", "D"]})
    assert way.level is Level.LOOK
    assert way.measured == pytest.approx(760.0, abs=0.5)
    assert "6536 cm² are free" in way.says  # 76 cm by 86 cm
    assert "over 99 % of men" in way.says
    assert "helmet" in way.says


def test_a_leaf_that_does_not_open_stands_in_the_way() -> None:
    (way,) = found(
        replace(TURN, opens=1e-6), opening={"corners": ["A", "B", "C", "D"], "clothing": "heavy"}
    )
    assert way.measured == pytest.approx(410.0, abs=0.5)


def test_the_rules_circle_is_held_against_it() -> None:
    asked = {"corners": ["A", "B", "C", "D"], "circle": "800 mm", "rule": "club rule 7"}
    (way,) = found(opening=asked)
    assert way.level is Level.MUST
    assert way.source.startswith("club rule 7")
    assert "widen it by 40 mm" in way.remedy


def test_corners_out_of_order_go_round_nothing() -> None:
    (way,) = found(opening={"corners": ["A", "C", "B", "D"]})
    assert way.level is Level.MUST
    assert "order" in way.remedy


def test_a_twin_has_its_own_way_out_mirrored() -> None:
    flip = {"A": "a", "B": "b"}
    frame = tuple(
        rod(flip.get(p, p) + q, *(tuple(np.array(XYZ[m]) * (1, -1, 1)) for m in (p, q)))
        for p, q in ("AB", "BC", "CD", "DA")
    )
    (one,) = found(opening={"corners": ["A", "B", "C", "D"]})
    (two,) = found(
        TWIN,
        {"side-twin": Around(movers=(), standing=frame)},
        opening={"corners": ["A", "B", "C", "D"]},
    )
    assert two.subject == "leaf.side-twin"
    assert two.measured == pytest.approx(one.measured, abs=0.5)


CABLE = {"fixed": "B", "out": "up", "riding": ["600 mm", "500 mm", "450 mm"], "into": "back"}


def test_a_cable_is_told_how_long_to_be() -> None:
    (needs,) = found(cable={**CABLE, "bend": "50 mm"})
    closed = math.hypot(200.0, 450.0)
    assert f"{closed:.0f} mm apart when closed" in needs.says
    assert f"Cut the free run {1.1 * closed:.0f} mm long" in needs.says
    assert needs.level is Level.GOOD


def test_a_short_or_stiff_cable_is_told_of() -> None:
    (short,) = found(cable={**CABLE, "bend": "50 mm", "length": "400 mm"})
    assert short.level is Level.MUST
    assert "give the run 92 mm more" in short.remedy
    (stiff,) = found(cable={**CABLE, "bend": "900 mm"})
    assert stiff.level is Level.LOOK
    assert "wider" in stiff.remedy


def test_the_words_of_the_table_are_held_to() -> None:
    with pytest.raises(ValidationError, match="clothing"):
        job(opening={"corners": ["A", "B", "C"], "clothing": "naked"})
    with pytest.raises(ValidationError, match="corners"):
        job(opening={"corners": ["A", "B"]})
    with pytest.raises(ValidationError, match="riding"):
        job(cable={**CABLE, "bend": "50 mm", "riding": [1, 2]})


def test_openings_are_never_simply_good() -> None:
    free = Opening(
        area=3e5, circle=430.0, middle=(0, 0, 0), breadth=520.0, depth=298.0, men=0.6, women=0.98
    )
    assert opening_finding("side", free, circle=400.0, rule="rule book").level is Level.LOOK
    assert "60 % of men, 98 % of women" in opening_finding("side", free).says
    shut = replace(free, area=0.0, circle=0.0, breadth=0.0, men=0.0, women=0.0)
    assert opening_finding("side", shut).level is Level.MUST
    assert "under 1 % of men" in opening_finding("side", shut).says


def test_a_straight_cable_runs_straight() -> None:
    run = Cable(shortest=80.0, longest=120.0, closed=90.0, opened=110.0, bend=math.inf, bend_at=0.0)
    assert "it runs straight" in cable_finding("side", run, bend=40.0).says


def test_an_opening_that_falls_apart_when_smoothed_keeps_its_larger_part() -> None:
    """A hair-thin neck to a second room: the edge moved in leaves two areas."""
    room, closet = shapely.box(0, 0, 700, 400), shapely.box(700, 150, 760, 180)
    neck = shapely.box(699, 160, 701, 160.05)
    apart = shapely.union_all([room, shapely.box(701, 150, 760, 180), neck])
    assert isinstance(apart, shapely.Polygon)
    assert broadest(apart, 300.0) == pytest.approx(700.0, abs=0.5)
    assert broadest(shapely.union(room, closet), 300.0) == pytest.approx(700.0, abs=0.5)
