"""An end cut shorter as the mock-up taught: its cope, length and mass go with it."""

from pathlib import Path

import numpy as np
import pytest

from barwright.findings import Level
from barwright.job.load import parse
from barwright.route import build
from barwright.tubes.section import Section

JOB = """
[stock.main]
od = 38.1
wall = 2.4
[bar.post]
stock = "main"
path = ["A", "B"]
[bar.rail]
stock = "main"
path = ["C", "D"]
{more}
"""
MARKS = """kind,marks,value,plus_minus,note
fixed,A,0 0 0,,
fixed,B,0 0 1000,,
fixed,C,0 0 500,,
fixed,D,800 0 500,,
"""


def made(more=""):
    return build(parse(JOB.format(more=more), MARKS))


def trim(end="from", length="2 mm", bar="rail"):
    return f'[[trim]]\nbar = "{bar}"\nend = "{end}"\nlength = "{length}"\n'


def test_the_cope_the_length_and_the_mass_go_with_it():
    before, after = made().bars.named("rail"), made(trim()).bars.named("rail")
    assert np.allclose(after.start.cope, before.start.cope + 2.0)
    assert after.cut_length == pytest.approx(before.cut_length - 2.0)
    mass = 2.0 * Section(od=38.1, wall=2.4).mass()
    assert after.mass == pytest.approx(before.mass - mass)
    assert np.array_equal(after.finish.cope, before.finish.cope)


def told(more):
    return next(f for f in made(more).findings if f.code == "tubes.trim")


def test_a_gap_wider_than_is_welded_is_told():
    assert told(trim()).level is Level.LOOK
    assert "2.0 mm stand open to post" in told(trim()).says
    assert told(trim(length="1 mm")).level is Level.GOOD
    assert told(trim(end="to")).level is Level.GOOD  # it meets nothing there


def test_more_than_there_is_stays_undone():
    said = told(trim(length="900 mm"))
    assert said.level is Level.MUST
    assert "more than" in said.says
    assert made(trim(length="900 mm")).bars.named("rail").cut_length > 700.0


def test_the_twin_is_cut_with_it():
    from barwright.job.load import load

    folder = Path(__file__).parents[2] / "examples" / "heron"
    job = load(folder)
    bars = build(job).bars
    leaf = job.leaf["side"].bars[0]
    again = parse((folder / "job.toml").read_text() + trim(bar=leaf),
                  (folder / "readings.csv").read_text(), folder=folder)  # fmt: skip
    cut = build(again).bars
    for name in (leaf, f"{leaf}-twin"):
        assert cut.named(name).cut_length == pytest.approx(bars.named(name).cut_length - 2.0)
