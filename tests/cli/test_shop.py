"""The commands around the route: sheet, board, trace, compare."""

import csv
import json
from pathlib import Path

import pytest

from barwright.cli.run import run

READINGS = (
    "kind,marks,value,plus_minus,note\n"
    "fixed,A,0 0 0,,\nfixed,B,1000 0 0,,\nfixed,M,500 0 0,,\nfixed,T,500 0 800,,\n"
)
BARS = """\
[stock.main]
od = 40
wall = 2
[bar.sill]
stock = "main"
path = ["A", "B"]
[bar.post]
stock = "main"
path = ["M", "T"]
"""


@pytest.fixture
def job(tmp_path):
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "readings.csv").write_text(READINGS)
    (folder / "job.toml").write_text(BARS)
    return folder


def answer(capsys, *args, code=0):
    assert run([*map(str, args), "--json"]) == code
    return json.loads(capsys.readouterr().out)


def test_the_sheet_lists_every_reading_and_comes_with_a_form(job, tmp_path, capsys):
    out = answer(capsys, "sheet", job, "--out", tmp_path / "sheets")
    pdf, form = out["files"]
    assert Path(pdf).read_bytes()[:5] == b"%PDF-"
    rows = list(csv.reader(Path(form).read_text().splitlines()))
    assert [row[1] for row in rows[1:5]] == ["A", "B", "M", "T"]


def test_a_sheet_can_be_had_before_the_marks_hold_together(job, tmp_path, capsys):
    (job / "readings.csv").write_text("kind,marks,value,plus_minus,note\ntape,A B,1000,,\n")
    (job / "job.toml").write_text("")
    assert len(answer(capsys, "sheet", job, "--out", tmp_path)["files"]) == 2


def test_a_board_is_a_pdf_by_its_name(tmp_path, capsys):
    (path,) = answer(capsys, "board", "a4", "--out", tmp_path)["files"]
    assert path.endswith("board-a4.pdf")


def test_a_board_nobody_prints_is_refused(tmp_path, capsys):
    out = answer(capsys, "board", "b9", "--out", tmp_path, code=2)
    assert out["errors"][0]["read"] == "b9"


@pytest.mark.parametrize(
    ("option", "value"),
    [("--thickness", "1,5"), ("--printed-bar", "long"), ("--line", "a:b"), ("--line", "a:1,2:3")],
)
def test_what_trace_cannot_read_is_named(tmp_path, capsys, option, value):
    photo = tmp_path / "card.jpg"
    photo.write_bytes(b"x")
    out = answer(capsys, "trace", photo, option, value, code=2)
    assert [(e["entry"], e["read"]) for e in out["errors"]] == [(option, value)]


def test_nothing_has_changed_between_a_job_and_itself(job, capsys):
    assert answer(capsys, "compare", job, job) == {"changes": [], "same": 2}


def test_a_longer_post_must_be_sawn_again_and_the_sill_not(job, tmp_path, capsys):
    longer = tmp_path / "longer"
    longer.mkdir()
    (longer / "job.toml").write_text(BARS)
    (longer / "readings.csv").write_text(READINGS.replace("500 0 800", "500 0 810"))
    out = answer(capsys, "compare", job, longer, "--out", tmp_path / "both.pdf")
    assert [(c["name"], c["again"]) for c in out["changes"]] == [("post", True)]
    assert (tmp_path / "both.pdf").read_bytes()[:5] == b"%PDF-"


def test_a_folder_that_is_neither_is_refused(job, tmp_path, capsys):
    (tmp_path / "empty").mkdir()
    assert answer(capsys, "compare", job, tmp_path / "empty", code=2)["errors"]
