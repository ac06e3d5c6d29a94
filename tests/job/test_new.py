"""A new job: the question sheet is a job, and stays one with every question answered."""

import json
import tomllib
from pathlib import Path

import pytest

from barwright.job.errors import BadInput
from barwright.job.load import load
from barwright.job.new import QUESTION, start
from barwright.job.schema import Job


def answered(path: Path) -> None:
    path.write_text(path.read_text().replace(QUESTION, ""))


def test_the_question_sheet_is_a_job(tmp_path):
    files = start(tmp_path / "side" / "bar")
    assert [f.name for f in files] == ["job.toml", "readings.csv", "job.schema.json"]
    job = load(tmp_path / "side" / "bar")
    assert job.job.unit == "in"
    assert job.readings == ()


def test_with_every_question_mark_taken_away_it_is_a_whole_job(tmp_path):
    for path in start(tmp_path)[:2]:
        answered(path)
    job = load(tmp_path)
    assert set(job.bar) == {"pillar", "post", "upper"}
    assert job.twin.of == ("side",)
    assert len(job.readings) > 10


def test_it_asks_about_every_table_a_first_job_needs(tmp_path):
    sheet = start(tmp_path)[0]
    answered(sheet)
    asked = set(tomllib.loads(sheet.read_text()))
    frame = {"job", "default_plus_minus", "stock", "bender", "bar"}
    assert asked == frame | {"standing", "leaf", "sheet", "strength", "twin"}
    assert asked < set(Job.model_fields)


def test_it_never_writes_over_a_job(tmp_path):
    (tmp_path / "readings.csv").write_text("mine")
    with pytest.raises(BadInput) as refused:
        start(tmp_path)
    assert "readings.csv" in refused.value.faults[0].read
    assert [p.name for p in tmp_path.iterdir()] == ["readings.csv"]


def test_other_files_in_the_folder_are_left_alone(tmp_path):
    (tmp_path / "photo.jpg").write_bytes(b"x")
    start(tmp_path)
    assert (tmp_path / "photo.jpg").read_bytes() == b"x"


def test_a_folder_that_cannot_be_made_is_said_plainly(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(BadInput) as refused:
        start(tmp_path / "file" / "job")
    assert "another folder" in refused.value.faults[0].do


def test_the_schema_beside_it_is_json(tmp_path):
    made = json.loads(start(tmp_path)[2].read_text())
    assert made["properties"]["bar"]
