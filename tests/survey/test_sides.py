"""Left against right on a whole job: what is told before a leaf is mirrored."""

import numpy as np
import pytest

from barwright.findings import Level
from barwright.job.load import load
from barwright.survey.radii import spans_of
from barwright.survey.sides import check_sides
from barwright.survey.solve import solve
from barwright.survey.twins import pairs_of

JOB = """
[job]
unit = "mm"
[stock.main]
od = 38.1
wall = 2.4
[bar.post-left]
stock = "main"
path = ["AL", "BL"]
[bar.post-right]
stock = "main"
path = ["AR", "BR"]
[bar.side]
stock = "main"
path = ["HL", "LL"]
[standing]
bars = ["post-left", "post-right"]
[leaf.gate]
bars = ["side"]
axis = ["AL", "BL"]
opens = 90
hinge = { fitting = "boxed-hinge", on = "post-left" }
[twin]
of = ["gate"]
"""
LEFT = {"A": (0, 500, 0), "B": (0, 500, 900), "H": (60, 500, 400), "L": (900, 520, 400)}


def written(folder, lean):
    """A job whose right post leans in by `lean` [mm] at its top."""
    folder.mkdir()
    (folder / "job.toml").write_text(JOB)
    rows = ["kind,marks,value,plus_minus,note"]
    for name, (x, y, z) in LEFT.items():
        rows.append(f"fixed,{name}L,{x} {y} {z},0.2,")
        rows.append(f"fixed,{name}R,{x} {-y + (lean if name == 'B' else 0)} {z},0.2,")
    (folder / "readings.csv").write_text("\n".join(rows) + "\n")
    return load(folder)


@pytest.mark.parametrize(("lean", "level"), [(0.0, Level.GOOD), (12.0, Level.LOOK)])
def test_a_leaning_post_on_the_other_side_is_told_before_the_leaf_is_mirrored(
    tmp_path, lean, level
):
    job = written(tmp_path / "job", lean)
    told = check_sides(job, solve(job.readings))
    assert [f.code for f in told] == ["survey.symmetry", "survey.twin"]
    assert [f.level for f in told] == [level, level]
    assert told[1].subject == "leaf.gate"
    if lean:
        assert told[0].measured == pytest.approx(lean, abs=1e-6)
        assert "BL/BR" in told[0].says
        assert job.tolerance.weld_gap < told[1].measured < lean


def test_marks_that_face_each_other_are_paired_without_being_told(tmp_path):
    job = written(tmp_path / "job", 0.0)
    marks = solve(job.readings)
    assert set(pairs_of(job.readings, marks)) == {(f"{n}L", f"{n}R") for n in LEFT}
    assert pairs_of(job.readings) == ()


def test_only_bars_that_are_made_are_weighed(tmp_path):
    assert spans_of(written(tmp_path / "job", 0.0)) == (("HL", "LL"),)


def test_the_next_reading_is_chosen_for_the_bar_and_its_gain_comes_true(tmp_path):
    """As badly known every way, so that the gain is on the three sd together."""
    job = written(tmp_path / "job", 0.0)
    loose = tuple(
        r if r.marks != ("LL",) else r.model_copy(update={"plus_minus": 5.0}) for r in job.readings
    )
    before = solve(loose, spans=spans_of(job))
    best = before.next_reading[0]
    assert "LL" in best.marks
    at = np.array([before.at(n) for n in best.marks])
    axis = {"station": 0, "offset": 1, "height": 2}.get(best.kind)
    value = float(np.linalg.norm(at[0] - at[1])) if axis is None else float(at[0, axis])
    assert best.kind != "incline"
    sd = 0.8 if best.kind == "tape" else 1.0
    taken = loose[0].model_copy(
        update={"line": 99, "kind": best.kind, "marks": best.marks, "value": value, "at": None}
        | {"plus_minus": sd}
    )
    after = solve((*loose, taken))
    assert 100.0 * (1.0 - worst(after) / worst(before)) == pytest.approx(best.gain, abs=0.5)


def worst(marks):
    i, j = (3 * marks.names.index(n) for n in ("HL", "LL"))
    g = np.zeros((3, 3 * len(marks.names)))
    g[:, i : i + 3], g[:, j : j + 3] = np.eye(3), -np.eye(3)
    return float(np.sqrt(np.trace(g @ marks.covariance @ g.T)))
