"""The route is told stage by stage, and what was told first is not taken back."""

from __future__ import annotations

from dataclasses import fields
from itertools import pairwise

import pytest

from barwright.job.errors import BadInput
from barwright.job.load import parse
from barwright.route import Build, build, stages

TOML = """[job]
unit = "mm"
[stock.main]
od = 40
wall = 3
[bar.post]
stock = "main"
path = ["A", "B"]
[bar.rail]
stock = "main"
path = ["C", "D"]
[leaf.gate]
bars = ["rail"]
axis = { through = "C", along = "up" }
opens = 90
"""
CSV = """kind,marks,value,plus_minus,note
fixed,A,0 0 0,,
fixed,B,0 0 900,,
fixed,C,0 100 500,,
fixed,D,600 100 500,,
"""


def test_each_stage_knows_what_the_one_before_knew_and_the_last_knows_all() -> None:
    told = list(stages(parse(TOML, CSV)))
    for before, after in pairwise(told):
        assert list(after.checked)[:-1] == list(before.checked)
        for stage in before.checked:
            assert getattr(after, stage) is getattr(before, stage)
    whole = build(parse(TOML, CSV))
    assert all(
        getattr(whole, f.name) is getattr(told[-1], f.name)
        for f in fields(Build)
        if f.name not in {"job", "checked"}
    )
    assert whole.findings == told[-1].findings


def test_findings_keep_the_order_of_the_route_whatever_was_worked_out_first() -> None:
    floors = [f.code.partition(".")[0] for f in build(parse(TOML, CSV)).findings]
    order = ["survey", "tubes", "plates", "swing", "fits", "strength", "buildup", "fit"]
    first = sorted(set(floors), key=floors.index)
    assert [f for f in order if f in first] == [f for f in first if f in order]


def test_what_comes_before_a_fault_is_told() -> None:
    wrong = parse(TOML + '[leaf.gate.hinge]\nfitting = "nonesuch"\n', CSV)
    told, heard = stages(wrong), list[str]()
    with pytest.raises(BadInput, match="nonesuch"):
        heard.extend(known.stage for known in told)
    assert not heard or heard[:2] == ["marks", "bars"]
    again = stages(wrong)
    assert [next(again).stage, next(again).stage] == ["marks", "bars"]
