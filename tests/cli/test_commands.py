"""`check` and `pack` from a job folder to their answers."""

import json
import math

import pytest

from barwright.cli.run import run

BARS = """\
[stock.main]
od = 40
wall = 2
bar = 6000
[bar.sill]
stock = "main"
path = ["A", "B"]
[bar.post]
stock = "main"
path = ["M", "T"]
"""
MARKS = (
    "kind,marks,value,plus_minus,note\n"
    "fixed,A,0 0 0,,\nfixed,B,1000 0 0,,\nfixed,M,500 0 0,,\nfixed,T,500 0 800,,\n"
)


@pytest.fixture
def job(tmp_path):
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "readings.csv").write_text(MARKS)
    (folder / "job.toml").write_text(BARS)
    return folder


def answer(capsys, *args, code=0):
    assert run([*map(str, args), "--json"]) == code
    return json.loads(capsys.readouterr().out)


def test_check_tells_the_saw_and_the_cope(job, capsys):
    """A post square on a sill: the cope's height is R - sqrt(R^2 - r^2 sin^2), by hand."""
    out = answer(capsys, "check", job)
    assert {"findings", "bars", "leaves", "first_fit"} <= set(out)
    sill, post = out["bars"]["sill"], out["bars"]["post"]
    assert sill["cut_length"] == pytest.approx(1000)
    assert (sill["straights"], sill["bends"], sill["turns"]) == ([pytest.approx(1000)], [], [])
    area = math.pi / 4 * (40**2 - 36**2)
    assert sill["mass"] == pytest.approx(area * 1000 * 7.85e-6, rel=0.005)
    start = post["ends"]["from"]
    assert start["against"] == ["sill"]
    assert [degree for degree, _ in start["cope"]] == list(range(360))
    zero, along_sill = start["zero"], (1.0, 0.0, 0.0)
    at_zero = abs(sum(a * b for a, b in zip(zero, along_sill, strict=True)))
    saddle, ear = max(p for _, p in start["cope"]), min(p for _, p in start["cope"])
    assert at_zero == pytest.approx(1, abs=1e-9) or at_zero == pytest.approx(0, abs=1e-9)
    assert saddle == pytest.approx(20, abs=1e-9)  # where the post meets the crown of the sill
    # at the ears the inside of the wall, r = 18, still has to clear: sqrt(20^2 - 18^2)
    assert ear == pytest.approx(math.sqrt(20**2 - 18**2), abs=1e-9)
    assert post["ends"]["to"]["against"] == []


def test_check_for_people(job, capsys):
    assert run(["check", str(job)]) == 0
    said = capsys.readouterr().out
    assert "1000.0" in said
    assert "Bars, mm" in said
    assert "licensed engineer" in said or "scrutineer" in said


def test_pack_writes_the_folder_and_names_its_files(job, capsys, tmp_path):
    out = answer(capsys, "pack", job, "--out", tmp_path / "out", "--stage", "board")
    assert out["stage"] == "board"
    assert out["files"]
    assert all((tmp_path / "out" / name).is_file() for name in out["files"])
    assert run(["pack", str(job), "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out
    assert "files for metal" in said
    assert "scrutineer" in said


def test_pack_does_not_write_over_what_is_not_a_pack(job, capsys):
    before = {p.name: p.read_bytes() for p in job.iterdir()}
    out = answer(capsys, "pack", job, "--out", job, code=2)
    assert out["errors"]
    assert {p.name: p.read_bytes() for p in job.iterdir()} == before


def test_a_finding_that_must_be_dealt_with_ends_with_1(job, capsys):
    tight = BARS.replace('path = ["M", "T"]', 'path = ["M", "T", "A"]\nclr = 5000')
    (job / "job.toml").write_text(tight)
    out = answer(capsys, "check", job, code=1)
    assert any(f["level"] == "must" for f in out["findings"])


def test_readings_alone_are_a_whole_job(job, capsys):
    (job / "job.toml").unlink()
    out = answer(capsys, "check", job)
    assert out["bars"] == out["leaves"] == {}
