"""What is wrong in a fitting's table is told with its line, long after the file was read."""

import json
import shutil
from pathlib import Path

import pytest

from barwright.cli.run import run

HERON = Path(__file__).parents[2] / "examples" / "heron"
LATCH = 'fitting = "latch-carrier"'


@pytest.fixture
def heron(tmp_path):
    """A copy of the Heron to write wrong."""
    folder = tmp_path / "job"
    shutil.copytree(HERON, folder)
    return folder


@pytest.mark.parametrize(
    ("was", "wrong", "entry", "do"),
    [
        (LATCH, 'fitting = "boxed-hinge"', "leaf.side.latch.fitting", '"latch-carrier" here'),
        (LATCH, 'fitting = "corner-gusset"', "leaf.side.latch.fitting", "[fitting.NAME]"),
        ("bushing_od = 1.5", "bushing_odd = 1.5", "leaf.side.hinge.bushing_odd", "bushing_od?"),
        ("bushing_od = 1.5", 'bushing_od = "wide"', "leaf.side.hinge.bushing_od", "correct"),
    ],
)
def test_the_line_and_what_to_do(heron, capsys, was, wrong, entry, do):  # noqa: PLR0917
    folder = heron
    text = (folder / "job.toml").read_text()
    line = next(n for n, row in enumerate(text.splitlines(), 1) if was in row)
    (folder / "job.toml").write_text(text.replace(was, wrong, 1))
    assert run(["check", str(folder), "--json"]) == 2
    (fault,) = json.loads(capsys.readouterr().out)["errors"]
    assert (fault["file"], fault["line"], fault["entry"]) == ("job.toml", line, entry)
    assert do in fault["do"]
    assert "Value error" not in fault["expected"]


def test_a_leaf_that_nothing_carries_or_keeps_shut_is_told(heron, capsys):
    folder = heron
    text = (folder / "job.toml").read_text()
    head, _, tail = text.partition("[leaf.side.hinge]")
    (folder / "job.toml").write_text(
        head + tail[tail.index("\n[", tail.index("[leaf.side.latch]") + 1) :]
    )
    run(["check", str(folder), "--json"])
    told = {f["code"]: f for f in json.loads(capsys.readouterr().out)["findings"]}
    assert told["plates.no-hinge"]["subject"] == "leaf.side"
    assert "boxed-hinge" in told["plates.no-hinge"]["remedy"]
    assert told["plates.no-latch"]["level"] == "look"
