"""Trims of plates: made on part and twin, kept, refused with reasons."""

import math

import pytest

from barwright.findings import Level
from barwright.job.trim_schema import Trim
from barwright.plates.outline import area, circle, rectangle
from barwright.plates.part import Fold, Part
from barwright.plates.trim import trimmed, unknown
from barwright.plates.twins import twin

PLATE = Part(name="a.plate", thickness=5.0, material="a36", outline=rectangle(0, 0, 100, 60),
             holes=(circle((90.0, 50.0), 4.0, hole=True),))  # fmt: skip


def said(trims, parts=(PLATE,)):
    made, found = trimmed(parts, trims)
    return made[0], found


def test_it_is_taken_off_and_said():
    made, (found,) = said([Trim(part="a.plate", corner=1, chamfer=6.0)])
    assert area(PLATE.outline) - area(made.outline) == pytest.approx(18.0)
    assert found.level is Level.GOOD
    assert "corner 1 chamfered 6.0 mm, at 0.0, 0.0 mm" in found.says
    assert made.holes == PLATE.holes


def test_several_go_by_the_numbers_of_the_outline_as_generated():
    made, found = said([Trim(part="a.plate", corner=1, chamfer=6.0),
                        Trim(part="a.plate", corner=2, round_=6.0)])  # fmt: skip
    assert [f.level for f in found] == [Level.GOOD, Level.GOOD]
    assert area(PLATE.outline) - area(made.outline) == pytest.approx(
        18.0 + 36.0 * (1 - math.pi / 4)
    )


def test_a_hole_is_not_broken_open():
    made, (found,) = said([Trim(part="a.plate", corner=3, chamfer=25.0)])
    assert made == PLATE
    assert found.level is Level.MUST
    assert "break a hole open" in found.says


def test_a_part_that_changed_a_little_is_trimmed_and_looked_at():
    _, (found,) = said([Trim(part="a.plate", corner=1, chamfer=6.0, at=(-4.0, 3.0))])
    assert (found.level, found.measured) == (Level.LOOK, 5.0)
    assert 'at = ["0.0 mm", "0.0 mm"]' in found.remedy


def test_within_three_millimetres_nothing_is_said():
    _, (found,) = said([Trim(part="a.plate", corner=1, chamfer=6.0, at=(-2.0, 2.0))])
    assert found.level is Level.GOOD


@pytest.mark.parametrize("entry", [{"corner": 2, "chamfer": 5.0}, {"edge": 2, "back": 1.0}])
def test_a_number_that_means_another_place_now_is_refused(entry):
    made, (found,) = said([Trim(part="a.plate", at=(0.0, 0.0), **entry)])
    assert made == PLATE
    assert found.level is Level.MUST
    assert "is there now" in found.says


@pytest.mark.parametrize("at", [None, (0.0, 0.0)])
def test_a_corner_that_is_gone_is_told(at):
    _, (found,) = said([Trim(part="a.plate", corner=7, chamfer=5.0, at=at)])
    assert "no corner 7 any more" in found.says


def test_the_twin_is_trimmed_with_it_and_may_have_its_own():
    made, _ = said([Trim(part="a.plate", corner=1, chamfer=6.0)])
    other = twin(made)
    both, (found,) = trimmed(
        (other,),
        [
            Trim(part="a.plate", corner=1, chamfer=6.0),
            Trim(part="a.plate-twin", edge=1, back=2.0, at=(50.0, 0.0)),
        ],
    )
    assert found.level is Level.GOOD
    assert area(other.outline) == pytest.approx(area(made.outline))
    assert area(both[0].outline) == pytest.approx(6000.0 - 18.0 - 200.0)


def test_a_bend_line_ends_at_the_trimmed_edge():
    fold = Fold(start=(0.0, 30.0), end=(100.0, 30.0), angle=1.0, radius=5.0)
    bent = Part(name="b", thickness=3.0, material="a36", outline=PLATE.outline, folds=(fold,))
    (made,), _ = trimmed((bent,), [Trim(part="b", edge=2, back=5.0)])
    assert made.folds[0].end == pytest.approx((95.0, 30.0), abs=1e-5)


def test_a_part_that_is_not_made_is_told_with_the_nearest_name():
    (found,) = unknown((PLATE,), [Trim(part="a.plat", corner=1, chamfer=1.0)])
    assert "did you mean a.plate" in found.remedy.lower()
