"""The demo job end to end, held against the truth its readings were invented from."""

import csv
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from barwright.findings import Level
from barwright.job.load import load
from barwright.route import build, solve

HERON = Path(__file__).parent.parent / "examples" / "heron"


@pytest.fixture(scope="module")
def heron():
    return build(load(HERON))


@pytest.fixture(scope="module")
def truth():
    with (HERON / "truth.csv").open() as file:
        return {
            row["mark"]: np.array([float(row[k]) for k in "xyz"]) for row in csv.DictReader(file)
        }


def test_marks_are_where_the_truth_has_them(truth):
    marks = solve(load(HERON))
    z = np.array([(np.array(marks.at(n)) - truth[n]) / np.array(marks.sd(n)) for n in marks.names])
    assert set(marks.names) == set(truth)
    assert np.mean(np.abs(z) < 3.0) >= 0.95
    assert 0.7 < float(np.sqrt(np.mean(z**2))) < 1.3


def test_every_bar_is_made_and_the_upper_bar_has_its_twin(heron):
    made = {bar.name for bar in heron.bars.bars}
    assert made == {*heron.job.bar, "upper-twin"}


def test_the_leaf_opens_freely_on_both_sides(heron):
    assert {s.leaf for s in heron.swings} == {"side", "side-twin"}
    for swing in heron.swings:
        assert swing.first_contact is None
        assert swing.least_clearance > 0.0


def test_hinge_latch_and_striker_are_made_for_both_sides(heron):
    names = {part.name for part in heron.parts.parts}
    for joint in ("hinge", "latch", "striker"):
        assert any(n.startswith(f"side.{joint}.") for n in names)
    assert {n + "-twin" for n in names if not n.endswith("-twin")} <= names


def test_nothing_on_the_heron_must_be_changed(heron):
    assert [f for f in heron.findings if f.level is Level.MUST] == []


def test_a_torch_is_said_to_reach_only_where_it_was_tried(heron):
    made = {b.name for b in heron.bars.bars if not b.stands}
    coped = [s for s in heron.buildup.seams if s.parts[0] in made]
    assert {s.parts[0] for s in coped} == {"upper", "upper-twin"}
    assert [s for s in heron.buildup.seams if s.tried] == coped
    (told,) = [f for f in heron.findings if f.code == "buildup.weld-access"]
    assert f"misses part of 2 of {len(coped)} seams round coped ends" in told.says
    assert "between plates are not tried" in told.says


def test_an_unchanged_job_is_not_worked_out_again(heron):
    again = build(load(HERON))
    assert again.marks is heron.marks
    assert again.bars is heron.bars
    assert again.parts is heron.parts
    assert again.swings is heron.swings


def test_the_generator_still_writes_the_committed_readings(tmp_path):
    """Nobody edits the demo's readings by hand and forgets the truth they came from."""
    for name in ("generate.py",):
        (tmp_path / name).write_bytes((HERON / name).read_bytes())
    subprocess.run([sys.executable, tmp_path / "generate.py"], check=True)
    for name in ("readings.csv", "truth.csv"):
        assert (tmp_path / name).read_bytes() == (HERON / name).read_bytes()
