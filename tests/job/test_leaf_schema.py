"""[leaf.NAME.opening] and [leaf.NAME.cable]: read in the job's unit, their marks looked up."""

from pathlib import Path

import pytest

from barwright.job.errors import BadInput
from barwright.job.load import load

TOML = """
[job]
name = "gate"
unit = "in"
[stock.main]
od = 1.5
wall = 0.095
[bar.upper]
stock = "main"
path = ["H", "L"]
[leaf.side]
bars = ["upper"]
axis = { through = "H", along = "up" }
opens = 90
"""
READINGS = (
    "kind,marks,value,plus_minus,note\n"
    "fixed,H,0 0 0,,\nfixed,L,30 0 0,,\nfixed,A,0 0 20,,\nfixed,B,30 0 20,,\n"
)


def folder(tmp_path: Path, more: str) -> Path:
    (tmp_path / "job.toml").write_text(TOML + more)
    (tmp_path / "readings.csv").write_text(READINGS)
    return tmp_path


def test_lengths_are_in_the_jobs_unit(tmp_path) -> None:
    more = """
[leaf.side.opening]
corners = ["H", "L", "B", "A"]
circle = 16
[leaf.side.cable]
fixed = "A"
out = "down"
riding = [6, "1/2", 0]
into = [1, 0, 0]
bend = 2
length = "30 cm"
"""
    leaf = load(folder(tmp_path, more)).leaf["side"]
    assert leaf.opening.circle == pytest.approx(406.4)
    assert leaf.opening.clothing == "medium"
    assert leaf.cable.riding == pytest.approx((152.4, 12.7, 0.0))
    assert (leaf.cable.bend, leaf.cable.length) == (pytest.approx(50.8), pytest.approx(300.0))


def test_marks_that_are_not_there_are_all_told_of(tmp_path) -> None:
    more = """
[leaf.side.opening]
corners = ["H", "L", "X", "H"]
[leaf.side.cable]
fixed = "Y"
out = "down"
riding = "Z"
into = "back"
bend = 2
"""
    with pytest.raises(BadInput) as caught:
        load(folder(tmp_path, more))
    told = {(f.entry, f.read) for f in caught.value.faults}
    assert ("leaf.side.opening.corners", '"X"') in told
    assert ("leaf.side.cable.fixed", '"Y"') in told
    assert ("leaf.side.cable.riding", '"Z"') in told
    assert any("once" in f.expected for f in caught.value.faults)
    assert all(f.line for f in caught.value.faults)


def test_words_that_are_not_known_are_refused(tmp_path) -> None:
    more = '[leaf.side.opening]\ncorners = ["H", "L", "A"]\nclothing = "wetsuit"\n'
    with pytest.raises(BadInput) as caught:
        load(folder(tmp_path, more))
    (fault,) = caught.value.faults
    assert fault.entry == "leaf.side.opening.clothing"
    assert "heavy" in fault.expected
