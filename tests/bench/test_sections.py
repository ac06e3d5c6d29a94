from __future__ import annotations

import json
import math
import struct
from typing import Any

import numpy as np
import pytest

from barwright.bench.card import OPERATIONS
from barwright.bench.say_build import built_up
from barwright.bench.say_scene import scene
from barwright.bench.stages import PARTS, Section, stages
from barwright.buildup.results import Buildup, Clash, Step
from barwright.job.errors import BadInput
from barwright.job.load import parse
from barwright.route import build

TOML = """[job]
name = "Two bars"
unit = "mm"
[stock.main]
od = 40
wall = 3
[bender.main]
clr = 120
springback = [[10, 11], [90, 95]]
[bar.post]
stock = "main"
path = ["A", "B"]
[bar.rail]
stock = "main"
path = ["C", "D", "E"]
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
fixed,E,600 700 500,,
"""


def sections(toml: str, csv: str) -> dict[str, Any]:
    """What the page is told, by section; the scene stays bytes."""
    texts = {"job.toml": toml, "readings.csv": csv}
    told = [s for s in stages(texts) if isinstance(s, Section)]
    return {s.name: s.data if s.name == "scene" else json.loads(s.data) for s in told}


@pytest.fixture(scope="module")
def told() -> dict[str, Any]:
    return sections(TOML, CSV)


def test_the_page_is_told_of_every_operation(told: dict[str, Any]) -> None:
    ops = [told[op.key]["op"] for op in OPERATIONS]
    assert [op["name"] for op in ops] == [
        "Measure",
        "Tubes",
        "Swing",
        "Plates",
        "Fit",
        "Strength",
        "Build",
        "Make",
    ]
    assert {op["state"] for op in ops} <= {"must", "look", "good", "none"}
    assert set(told) == set(PARTS)


def test_operations_are_told_in_the_order_in_which_they_are_worked_out(
    told: dict[str, Any],
) -> None:
    order = ["measure", "tubes", "plates", "swing", "fit", "strength", "build"]
    assert [name for name in told if name in order] == order


def test_the_quick_operations_are_told_before_the_slow_ones(told: dict[str, Any]) -> None:
    order = [name for name in told if name in {op.key for op in OPERATIONS}]
    assert order[:4] == ["measure", "tubes", "plates", "swing"]
    assert order[-2:] == ["build", "make"]


def test_what_is_only_drawn_comes_after_all_that_is_checked(told: dict[str, Any]) -> None:
    assert set([*told][-2:]) == {"curves", "scene"}


def test_every_finding_stands_under_some_operation(told: dict[str, Any]) -> None:
    shown = [f["code"] for op in OPERATIONS for f in told[op.key]["op"]["findings"]]
    assert sorted(shown) == sorted(f.code for f in build(parse(TOML, CSV)).findings)


def test_a_bend_is_told_in_degrees_with_what_to_set(told: dict[str, Any]) -> None:
    rail = next(b for b in told["tubes"]["bars"] if b["name"] == "rail")
    (bend,) = rail["steps"]
    assert bend["wanted"] == pytest.approx(90.0)
    assert bend["set"] == pytest.approx(95.0)
    assert rail["straights"] == pytest.approx([480.0, 480.0])


def test_the_clearance_is_told_at_every_angle(told: dict[str, Any]) -> None:
    curve = told["curves"]["gate"]
    assert curve["angle"][0] == 0.0
    assert curve["angle"][-1] == pytest.approx(90.0)
    # closed, the rail's end is square at C: 100 mm off the post's axis, less two radii of 20
    assert curve["gap"][0] == pytest.approx(60.0, abs=0.05)
    assert len(curve["gap"]) == len(curve["pairs"]) == len(curve["angle"])


def test_the_picture_holds_every_part_where_it_stands(told: dict[str, Any]) -> None:
    data = told["scene"]
    (long,) = struct.unpack_from("<I", data)
    things = json.loads(data[4 : 4 + long])["things"]
    assert [(t["name"], t["kind"], t["leaf"]) for t in things] == [
        ("post", "bar", ""),
        ("rail", "bar", "gate"),
    ]
    n = sum(t["points"] for t in things)
    points = np.frombuffer(data, "<f4", 3 * n, 4 + long).reshape(-1, 3)
    post = points[: things[0]["points"]]
    assert np.hypot(post[:, 0], post[:, 1]).max() == pytest.approx(20.0, abs=0.01)
    assert (post[:, 2].min(), post[:, 2].max()) == pytest.approx((0.0, 900.0), abs=0.01)
    corners = np.frombuffer(data, "<u4", things[0]["corners"], 4 + long + 16 * n)
    assert corners.max() == things[0]["points"] - 1
    assert len(data) == 4 + long + 16 * n + 4 * sum(t["corners"] for t in things)


def test_the_picture_is_the_same_bytes_for_the_same_job() -> None:
    made = build(parse(TOML, CSV))
    assert scene(made) == scene(made)


def test_what_was_worked_out_before_a_fault_is_told_all_the_same() -> None:
    wrong = TOML + '[leaf.gate.hinge]\nfitting = "nonesuch"\n'
    told, heard = stages({"job.toml": wrong, "readings.csv": CSV}), list[str]()

    def listen() -> None:
        for item in told:
            heard.extend([item.name] if isinstance(item, Section) else [])

    with pytest.raises(BadInput, match="nonesuch"):
        listen()
    assert heard == ["measure", "tubes"]


def test_a_job_without_readings_is_told_nothing() -> None:
    assert sections('[job]\nunit = "in"\n', "") == {}


def test_a_step_of_the_build_is_told_with_the_way_each_part_comes() -> None:
    step = Step(
        title="Hang the leaf",
        says=("Push the bolt in.",),
        adds=("rail",),
        explode=(("rail", (0.0, 0.0, 1.0)),),
        hold="the leaf swings free",
        checks=("swings to 90°",),
        state="prove",
    )
    clash = Clash(
        first="rail",
        second="post",
        state="closed",
        depth=1.5,
        way=(1.0, 0.0, 0.0),
        volume=10.0,
        where=(0.0, 0.0, 0.0),
        welded=False,
    )
    said = built_up(Buildup(steps=(step,), clashes=(clash,), compared=7), "mm")
    assert said["steps"][0]["explode"] == [{"name": "rail", "way": (0.0, 0.0, 1.0)}]
    assert said["steps"][0]["hold"] == "the leaf swings free"
    assert (said["clashes"][0]["depth"], said["compared"]) == (1.5, 7)
    assert math.isfinite(said["clashes"][0]["depth"])
