"""The gate job end to end: the same route on a small tractor, in millimetres, without a twin."""

import csv
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from barwright.findings import Level
from barwright.job.load import load
from barwright.pack.write import write
from barwright.route import build

GATE = Path(__file__).parent.parent / "examples" / "gate"


@pytest.fixture(scope="module")
def gate():
    return build(load(GATE))


def test_marks_are_where_the_truth_has_them(gate):
    with (GATE / "truth.csv").open() as file:
        truth = {r["mark"]: [float(r[k]) for k in "xyz"] for r in csv.DictReader(file)}
    marks = gate.marks
    z = np.array([(np.array(marks.at(n)) - truth[n]) / marks.sd(n) for n in marks.names])
    assert set(marks.names) == set(truth)
    assert np.mean(np.abs(z) < 3.0) >= 0.95


def test_the_gate_opens_freely_and_has_all_its_plates(gate):
    (swing,) = gate.swings
    assert swing.first_contact is None
    assert swing.least_clearance > 0.0
    names = {part.name for part in gate.parts.parts}
    for joint in ("hinge", "latch", "striker"):
        assert any(n.startswith(f"gate.{joint}.") for n in names)


def test_nothing_on_the_gate_must_be_changed(gate, tmp_path):
    pack = write(gate, tmp_path / "pack")
    assert [f for f in (*gate.findings, *pack.findings) if f.level is Level.MUST] == []
    assert {"summary.pdf", "guide.pdf", "lists/cut-list.csv"} <= set(pack.files)


def test_the_generator_still_writes_the_committed_readings(tmp_path):
    (tmp_path / "generate.py").write_bytes((GATE / "generate.py").read_bytes())
    subprocess.run([sys.executable, tmp_path / "generate.py"], check=True)
    for name in ("readings.csv", "truth.csv"):
        assert (tmp_path / name).read_bytes() == (GATE / name).read_bytes()
