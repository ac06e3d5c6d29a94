"""How symmetrical a frame is, and whether a mirrored part fits."""

import math

import numpy as np
import pytest

from barwright.findings import Level
from barwright.geometry.vectors import rotation
from barwright.job.schema import Reading
from barwright.survey.marks import Marks
from barwright.survey.solve import solve
from barwright.survey.twins import check_twins, departures, symmetry, twin_fit, unforced

LEFT = {"A": (0.0, 500.0, 200.0), "B": (900.0, 620.0, 250.0), "C": (300.0, 550.0, 1000.0)}


def frame(shift=(0.0, 0.0, 0.0)):
    right = {n: (x + shift[0], -y + shift[1], z + shift[2]) for n, (x, y, z) in LEFT.items()}
    return {f"{n}L": p for n, p in LEFT.items()} | {f"{n}R": p for n, p in right.items()}


def readings(points, *, pairs=True):
    rows = []
    for name, p in points.items():
        axes = zip(("station", "offset", "height"), p, strict=True)
        rows += [(kind, (name,), value) for kind, value in axes]
    if pairs:
        rows += [("pair", (f"{n}L", f"{n}R"), None) for n in LEFT]
    return tuple(
        Reading(line=k, kind=kind, marks=marks, value=value, plus_minus=1.0)
        for k, (kind, marks, value) in enumerate(rows, 2)
    )


def survey(points):
    return Marks(
        names=tuple(points), xyz=np.array(list(points.values())), covariance=np.eye(18) * 0.01
    )


def test_pair_readings_do_not_hide_what_is_crooked():
    told = readings(frame(shift=(0.0, 0.0, 4.0)))
    marks = solve(told)
    assert abs(departures(marks, [("AL", "AR")])[0].off[2]) < 3.0
    found = symmetry(marks, told, free=unforced(marks, told))
    assert found.measured
    assert found.pairs[0].off[2] == pytest.approx(-4.0, abs=1e-6)
    assert found.pairs[0].sd == pytest.approx([math.sqrt(2.0)] * 3)


def test_symmetry_that_was_only_assumed_is_said_to_be():
    told = tuple(r for r in readings(frame()) if r.kind == "pair" or r.marks[0].endswith("L"))
    alone = solve(told)
    assert not symmetry(alone, told, free=unforced(alone, told)).measured
    floating = Reading(line=90, kind="tape", marks=("AR", "BL"), value=1000.0, plus_minus=1.0)
    marks = solve(
        (*told, floating.model_copy(update={"value": math.dist(frame()["AR"], LEFT["B"])}))
    )
    found = symmetry(marks, (*told, floating), free=unforced(marks, (*told, floating)))
    assert not found.measured
    (finding,) = check_twins(found)
    assert finding.level is Level.LOOK
    assert "assumed" in finding.says


def test_a_part_set_in_on_a_side_that_stands_elsewhere_still_fits():
    """The other side is turned and slid as one piece: the mirrored part is the same part."""
    points = frame()
    turned = np.array([points[f"{n}R"] for n in LEFT]) @ rotation((0.1, 0.2, 1.0), 0.02).T + 5.0
    points |= {f"{n}R": tuple(p) for n, p in zip(LEFT, turned, strict=True)}
    fit = twin_fit(survey(points), "part", [f"{n}L" for n in LEFT], [f"{n}R" for n in LEFT], 0.5)
    assert fit.fits
    assert fit.off == pytest.approx(0.0, abs=1e-9)


def test_a_part_of_another_shape_needs_its_own_version():
    points = frame()
    points["CR"] = (300.0, -550.0, 1006.0)
    names = [f"{n}L" for n in LEFT], [f"{n}R" for n in LEFT]
    fit = twin_fit(survey(points), "gusset", *names, 1.0)
    assert not fit.fits
    assert 1.0 < fit.off < 6.0
    assert 0.0 < fit.sd < 1.0
    told = check_twins(symmetry(survey(points), readings(points), free=survey(points)), (fit,))
    assert [f.code for f in told] == ["survey.symmetry", "survey.twin"]
    assert told[1].level is Level.LOOK
