"""Bars that stand on the vehicle already: there for the others, and nothing of them is made."""

import numpy as np
import pytest

from barwright.job.load import parse
from barwright.survey.solve import solve
from barwright.tubes.bend_sheet import bend_sheet, bent_already, to_cut_off
from barwright.tubes.make import make
from barwright.tubes.nesting import nestings

JOB = """
[stock.main]
od = 38.1
wall = 2.4
bar = 6000
[bender.main]
clr = 90
grip = 400
springback = [[10, 11], [90, 95]]
[bar.post]
stock = "main"
path = ["A", "B", "C"]
[bar.flat]
stock = "main"
path = ["D", "A"]
[bar.rail]
stock = "main"
path = ["E", "F"]
[bar.bent]
stock = "main"
prebent = { straights = [300, 420], bends = [20], turns = [] }
from = "G"
to = "H"
[leaf.side]
bars = ["bent"]
axis = { through = "G", along = "up" }
opens = 90
[twin]
of = ["side", "rail"]
"""
READINGS = """kind,marks,value
fixed,A,0 500 0
fixed,B,0 500 300
fixed,C,200 500 900
fixed,D,-300 500 900
fixed,E,0 500 200
fixed,F,900 200 200
fixed,G,30 800 400
fixed,H,690 800 400
"""


def made(*standing):
    text = JOB + f"[standing]\nbars = {list(standing)}\n".replace("'", '"')
    job = parse(text, READINGS)
    return job, make(job, solve(job.readings))


def codes(bars, name):
    return {f.code for f in bars.findings if f.subject == f"bar.{name}"}


def test_what_stands_is_there_and_the_rest_is_to_make():
    _, bars = made("post", "flat")
    assert {b.name for b in bars.bars} == {
        "post", "flat", "rail", "bent", "rail-twin", "bent-twin",
    }  # fmt: skip
    assert [b.name for b in bars.to_make] == ["rail", "bent", "rail-twin", "bent-twin"]


def test_what_stands_is_coped_against_as_before():
    _, before = made()
    _, after = made("post", "flat")
    one, other = before.named("rail").start, after.named("rail").start
    assert one.against == other.against == ("post",)
    assert np.array_equal(one.cope, other.cope)
    assert after.named("flat").cut_length == before.named("flat").cut_length


def test_nobody_is_told_how_to_make_what_stands():
    _, before = made()
    assert "tubes.grip" in codes(before, "post")
    assert "tubes.shallow" in codes(before, "flat")
    _, after = made("post", "flat")
    assert "tubes.grip" not in codes(after, "post")
    assert "tubes.shallow" not in codes(after, "flat")


def test_a_twin_stands_by_its_own_name():
    _, bars = made("rail")
    assert (bars.named("rail").stands, bars.named("rail-twin").stands) == (True, False)
    _, bars = made("rail-twin")
    assert (bars.named("rail").stands, bars.named("rail-twin").stands) == (False, True)


def test_stock_is_cut_for_what_is_made_alone():
    job, bars = made("post", "flat")
    (plan,) = nestings(job, bars)
    assert sorted(p.name for b in plan.bars for p in b.pieces) == ["bent-twin", "rail", "rail-twin"]
    everything = [b.name for b in bars.bars]
    job, bars = made(*everything)
    assert nestings(job, bars) == ()


def test_a_bar_bent_beforehand_is_cut_to_length_and_its_twin_is_made():
    """300 and 420 with 20° at 90 mm, between marks 660 mm apart: by the law of cosines."""
    job, bars = made("post", "flat")
    bar, twin = bars.named("bent"), bars.named("bent-twin")
    assert (bent_already(job, bar), bent_already(job, twin)) == (True, False)
    set_back = 90.0 * np.tan(np.radians(10.0))
    a, bend = 300.0 + set_back, np.radians(20.0)
    # a² + b² + 2 a b cos(bend) = 660², b from corner to mark
    b = -a * np.cos(bend) + np.sqrt((a * np.cos(bend)) ** 2 - a**2 + 660.0**2)
    first, last = to_cut_off(job, bar)
    assert last == pytest.approx(420.0 + set_back - b, abs=1e-3)
    assert first == pytest.approx(0.0, abs=1e-9)
    arc = 90.0 * bend
    assert bar.cut_length == pytest.approx(300.0 + 420.0 + arc - first - last)
    sheet, _ = bend_sheet(job, twin)
    assert sheet.blank >= twin.cut_length
    with pytest.raises(ValueError, match="not bent beforehand"):
        to_cut_off(job, bars.named("rail"))
