"""The flat patterns as the page is told of them: each corner with the number that trims go by."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from barwright.bench.say_plates import plates
from barwright.geometry.pose import mirrored
from barwright.job.trim_schema import Trim
from barwright.pack.corner_numbers import OFF, corner_numbers
from barwright.pack.drawing import Text
from barwright.plates.part import Loop, Part, Parts
from barwright.plates.trim import trimmed
from barwright.plates.twins import twin

# an L of 60 by 40, its arms 20 wide: corner 1 lower left, then anticlockwise; 4 is the inside one
L_SHAPE = ((0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (20.0, 20.0), (20.0, 40.0), (0.0, 40.0))
PLATE = Part(
    name="bracket",
    thickness=3.0,
    material="a36",
    outline=Loop(vertices=tuple((x, y, 0.0) for x, y in L_SHAPE)),
)


def told(*parts: Part) -> list[dict[str, Any]]:
    return list(plates(Parts(parts=parts))["parts"])


def test_corners_are_numbered_anticlockwise_from_the_lower_left() -> None:
    (plate,) = told(PLATE)
    assert [(c["n"], c["at"]) for c in plate["corners"]] == list(enumerate(L_SHAPE, start=1))


def test_a_number_stands_outside_its_corner() -> None:
    (plate,) = told(PLATE)
    half = math.sqrt(0.5)
    ways = [(-1, -1), (1, -1), (1, 1), (1, 1), (1, 1), (-1, 1)]
    for corner, (x, y) in zip(plate["corners"], ways, strict=True):
        assert corner["out"] == pytest.approx((x * half, y * half))


def test_a_twin_has_the_numbers_of_what_it_mirrors_on_its_own_pattern() -> None:
    mirrored = twin(PLATE)
    (plate,) = told(mirrored)
    corners = {c["n"]: c["at"] for c in plate["corners"]}
    outline = {(round(x, 6), round(y, 6)) for x, y, _ in plate["outline"]}
    assert {(round(x, 6), round(y, 6)) for x, y in corners.values()} == outline
    for n, (x, y) in enumerate(L_SHAPE, start=1):  # as far from one another as on the original
        apart = math.dist(L_SHAPE[0], (x, y))
        assert math.dist(corners[1], corners[n]) == pytest.approx(apart)


def test_a_trimmed_plate_keeps_its_numbers() -> None:
    (cut,), _ = trimmed((PLATE,), (Trim(part="bracket", corner=2, chamfer=5.0),))
    (plate,) = told(cut)
    assert len(plate["outline"]) == 7
    assert [(c["n"], c["at"]) for c in plate["corners"]] == list(enumerate(L_SHAPE, start=1))


@pytest.mark.parametrize(
    "part",
    [PLATE, twin(PLATE), replace(PLATE, placed=mirrored())],
    ids=["own", "twin", "placed by mirroring"],
)
def test_the_page_numbers_as_the_paper_does(part: Part) -> None:
    (plate,) = told(part)
    paper = {t.text: t.at for t in corner_numbers(part) if isinstance(t, Text)}
    assert {str(c["n"]) for c in plate["corners"]} == set(paper)
    for corner in plate["corners"]:
        x = corner["at"][0] + OFF * corner["out"][0]
        y = corner["at"][1] + OFF * corner["out"][1]
        assert math.dist((x, y), paper[str(corner["n"])]) < OFF
