"""The user's own plates, and wrong ones told in words."""

import math
from dataclasses import replace

import numpy as np
import pytest
from joints import side

from barwright.job.errors import BadInput
from barwright.plates.checks import check_one
from barwright.plates.folded import folded
from barwright.plates.make import parts
from barwright.plates.outline import area, region

AT = {"origin": "H", "along": "L", "toward": "Z"}
SQUARE = [[0, 0], [60, 0], [60, 40], [0, 40]]
PLAIN = {"sheet": "three", "at": AT, "outline": SQUARE}


def made(table, **how):
    how.setdefault("sheet", {"three": {"thickness": 3.0, "radius": 3.0}})
    job, marks, bars, _ = side(plate={"mine": table}, **how)
    marks = replace(marks, names=("H", "L", "Z"), xyz=np.vstack([marks.xyz, [800.0, 500.0, 900.0]]))
    return next(p for p in parts(job, marks, bars, ()).parts if p.name == "mine")


def test_an_outline_in_a_plane_of_three_marks():
    part = made({**PLAIN, "holes": [{"at": [20, 20], "d": 8}]})
    assert area(part.outline) == pytest.approx(2400.0)
    assert area(part.holes[0]) == pytest.approx(-16.0 * math.pi)
    origin = part.placed.points((0, 0, 0))
    assert np.allclose(origin, (797.0, 525.0, 690.0))


def test_an_outline_drawn_clockwise_is_turned_round():
    part = made({"sheet": "three", "at": AT, "outline": SQUARE[::-1]})
    assert area(part.outline) == pytest.approx(2400.0)


def test_a_plate_through_marks():
    part = made({"thickness": 2.0, "marks": ["H", "L", "Z"]})
    corners = part.placed.points([(x, y, 0.0) for x, y, _ in part.outline.vertices])
    for mark in ((797, 525, 690), (44, 460, 690), (800, 500, 900)):
        assert min(np.linalg.norm(corners - np.array(mark), axis=1)) < 1e-6


def test_edges_follow_a_tube():
    square = [[-120, -30], [40, -30], [40, 30], [-120, 30]]
    part = made({"sheet": "three", "at": AT, "outline": square, "against": ["pillar"], "gap": 1.0})
    assert area(part.outline) < 160 * 60 - 500.0
    assert region(part.outline).is_valid


def test_flanges_and_folds_and_slots():
    part = made(
        {
            "sheet": "three",
            "at": AT,
            "outline": SQUARE,
            "corner": 4.0,
            "flanges": [{"edge": 1, "length": 25, "angle": 90, "inset": 6}],
            "folds": [{"start": [15, -1], "end": [15, 41], "angle": -30}],
            "holes": [{"at": [35, 20], "d": 6, "slot": 14, "turn": 30}],
        }
    )
    f = folded(part)
    assert len(f.panels) == 3
    assert f.loose == 0.0


def test_a_tray_of_four_flanges_has_room_at_its_corners():
    """Flanges that share a corner are set back from it and relieved."""
    rows = [{"edge": i, "length": 15, "angle": 90} for i in range(4)]
    part = made({**PLAIN, "flanges": rows})
    f = folded(part)
    assert len(f.panels) == 5
    assert f.loose == 0.0
    assert not [x for x in check_one(part) if x.code in {"plates.folds-meet", "plates.fold-across"}]


def test_folds_that_run_into_one_another_are_found():
    """Two long flanges folded over the base from both sides meet above it."""
    rows = [{"edge": i, "length": 50, "angle": a} for i, a in ((1, 170), (3, 170))]
    found = [f.code for f in check_one(made({**PLAIN, "flanges": rows}))]
    assert "plates.folds-meet" in found


def test_flanges_that_overlap_when_flat_are_refused():
    notched = [[0, 0], [60, 0], [60, 40], [35, 40], [35, 20], [25, 20], [25, 40], [0, 40]]
    rows = [{"edge": i, "length": 30, "angle": 90} for i in (3, 5)]
    with pytest.raises(BadInput, match="side by side"):
        made({**PLAIN, "outline": notched, "flanges": rows})


def test_a_bend_along_the_grain_is_told():
    table = {**PLAIN, "flanges": [{"edge": 1, "length": 25, "angle": 90}]}
    sheet = {"three": {"thickness": 3.0, "grain": 80}}
    (found,) = [f for f in check_one(made(table, sheet=sheet)) if f.code == "plates.grain"]
    assert found.measured == pytest.approx(10.0)
    across = {"three": {"thickness": 3.0, "grain": 0}}
    assert not [f for f in check_one(made(table, sheet=across)) if f.code == "plates.grain"]


@pytest.mark.parametrize(
    ("table", "entry", "words"),
    [
        ({"sheet": "thre", "at": AT, "outline": SQUARE}, "plate.mine.sheet", "three"),
        ({"at": AT, "outline": SQUARE}, "plate.mine.sheet", "thickness"),
        ({"sheet": "three", "outline": SQUARE}, "plate.mine", ""),
        (
            {**PLAIN, "at": {**AT, "along": "K"}},
            "plate.mine.at.along",
            "",
        ),
        (
            {**PLAIN, "at": {**AT, "toward": "L"}},
            "plate.mine.at",
            "mark",
        ),
        ({"sheet": "three", "marks": ["H", "L"]}, "plate.mine.marks", ""),
        (
            {"sheet": "three", "at": AT, "outline": [[0, 0], [60, 40], [60, 0], [0, 45]]},
            "plate.mine.outline",
            "",
        ),
        (
            {**PLAIN, "against": ["piller"]},
            "plate.mine.against",
            "pillar",
        ),
        (
            {
                "sheet": "three",
                "at": AT,
                "outline": SQUARE,
                "flanges": [{"edge": 9, "length": 20, "angle": 90}],
            },
            "plate.mine.flanges.edge",
            "",
        ),
        (
            {
                "sheet": "three",
                "at": AT,
                "outline": SQUARE,
                "flanges": [{"edge": 0, "length": 2, "angle": 90}],
            },
            "plate.mine.flanges.length",
            "longer",
        ),
    ],
)
def test_a_wrong_plate_is_told_with_its_entry(table, entry, words):
    with pytest.raises(BadInput) as caught:
        made(table)
    (fault,) = caught.value.faults
    assert (fault.file, fault.entry) == ("job.toml", entry)
    assert words in fault.do
