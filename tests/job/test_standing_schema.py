"""[standing]: which bars are on the vehicle already, and names that lead nowhere."""

import pytest

from barwright.job.errors import BadInput
from barwright.job.json_schema import schema
from barwright.job.load import parse

FRAME = """
[stock.main]
od = 38.1
wall = 2.4
[bar.post]
stock = "main"
path = ["A", "B"]
[bar.rail]
stock = "main"
path = ["A", "C"]
[twin]
of = ["rail"]
"""
READINGS = "kind,marks,value\nfixed,A,0 400 0\nfixed,B,0 400 900\nfixed,C,900 400 0\n"


def test_a_job_that_says_nothing_makes_every_bar():
    assert parse(FRAME, READINGS).standing.bars == ()


def test_bars_and_the_twins_of_bars_can_be_there_already():
    job = parse(FRAME + '[standing]\nbars = ["post", "rail-twin"]\n', READINGS)
    assert job.standing.bars == ("post", "rail-twin")


def test_a_name_that_is_no_bar_is_told_with_its_line_and_the_nearest():
    with pytest.raises(BadInput) as wrong:
        parse(FRAME + '[standing]\nbars = ["posst", "post-twin"]\n', READINGS)
    first, second = wrong.value.faults
    assert (first.entry, first.read, first.do) == (
        "standing.bars",
        '"posst"',
        "did you mean post?",
    )
    assert first.line == 14
    assert second.read == '"post-twin"'


def test_a_misspelt_field_is_refused():
    with pytest.raises(BadInput, match="bar"):
        parse(FRAME + '[standing]\nbar = ["post"]\n', READINGS)


def test_editors_know_the_table():
    table = schema()["$defs"]["Standing"]
    assert table["properties"]["bars"]["items"]["type"] == "string"
    assert table["additionalProperties"] is False


@pytest.mark.parametrize("sizes", ["[[0, 300]]", "[[600]]", "[600, 300]"])
def test_a_sheet_without_two_lengths_is_refused(sizes):
    with pytest.raises(BadInput, match="sizes"):
        parse(f"[sheet.plate]\nthickness = 3\nsizes = {sizes}\n")


def test_sheet_sizes_are_lengths():
    job = parse('[sheet.plate]\nthickness = 3\nsizes = [["4 ft", "2 ft"], [500, 250]]\n')
    assert job.sheet["plate"].sizes[1] == (500.0, 250.0)
    assert job.sheet["plate"].sizes[0] == pytest.approx((1219.2, 609.6))
