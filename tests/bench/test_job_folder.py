from __future__ import annotations

import random
from pathlib import Path

import pytest

from barwright.bench.edits import EDIT
from barwright.bench.folder import JobFolder
from barwright.bench.overwritten import overwritten
from barwright.bench.rows import rows_of

TOML = (
    '# ours\r\n[job]\r\nunit = "in"\r\n[stock.main]\r\n'
    "od = 1.75  # what is on the rack\r\nwall = 0.095\r\n"
)
CSV = "\ufeffkind,marks,value,plus_minus,note\r\n# first\r\nheight,A,10 1/2,,\r\nheight,B,4,,\r\n"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "job.toml").write_bytes(TOML.encode())
    (tmp_path / "readings.csv").write_bytes(CSV.encode())
    return tmp_path


def bytes_of(job: Path) -> tuple[bytes, bytes]:
    return (job / "job.toml").read_bytes(), (job / "readings.csv").read_bytes()


def add(mark: str, value: str) -> object:
    row = {"kind": "height", "marks": mark, "value": value}
    return EDIT.validate_python({"do": "add", "row": row})


def test_undo_and_redo_walk_over_the_same_bytes(job: Path) -> None:
    folder = JobFolder(job)
    states = [bytes_of(job)]
    for i in range(5):
        folder.edit(add(f"M{i}", str(i)))
        states.append(bytes_of(job))
    for state in reversed(states[:-1]):
        folder.undo()
        assert bytes_of(job) == state
    assert folder.undo() is None
    for state in states[1:]:
        folder.redo()
        assert bytes_of(job) == state
    assert folder.redo() is None


@pytest.mark.study
def test_ten_thousand_random_edits_undone_are_the_same_bytes(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.fsync", lambda _handle: None)
    rng, folder, first = random.Random(9), JobFolder(job), bytes_of(job)  # noqa: S311
    done = 0
    while done < 10_000:
        done += one_random_edit(folder, rng)
    assert bytes_of(job) != first
    while folder.undo():
        pass
    assert bytes_of(job) == first


def one_random_edit(folder: JobFolder, rng: random.Random) -> bool:
    """Add, alter, drop, set, take back or do again: whatever the die says."""
    rows = rows_of(folder.texts["readings.csv"])
    what = rng.choice(
        ["add", "alter", "drop", "set", "undo", "redo"] if len(rows) < 40 else ["drop"]
    )
    if what == "undo":
        return folder.undo() is not None
    if what == "redo":
        return folder.redo() is not None
    if what == "set":
        return bool(folder.edit(random_set(folder, rng)).changes)
    cells = {
        "kind": "height",
        "marks": f"M{rng.randrange(30)}",
        "value": f"{rng.randrange(90)} 3/8",
    }
    if what == "add" or not rows:
        return bool(folder.edit(EDIT.validate_python({"do": "add", "row": cells})).changes)
    row = rng.choice(rows)
    old = {c: getattr(row, c) for c in ("kind", "marks", "value", "plus_minus", "note")}
    asked = {"do": what, "line": row.line, "old": old}
    asked |= {"row": cells} if what == "alter" else {}
    return bool(folder.edit(EDIT.validate_python(asked)).changes)


def random_set(folder: JobFolder, rng: random.Random) -> object:
    import tomllib

    od = tomllib.loads(folder.texts["job.toml"])["stock"]["main"]["od"]
    one = {"entry": "stock.main.od", "old": str(od), "value": f"{rng.randrange(100, 300) / 100}"}
    return EDIT.validate_python({"do": "set", "sets": [one]})


def test_what_an_editor_saves_is_seen_and_can_be_taken_back(job: Path) -> None:
    folder = JobFolder(job)
    before = bytes_of(job)
    path = job / "readings.csv"
    other = job / "saved.tmp"
    other.write_bytes(path.read_bytes() + b"height,C,5,,\r\n")
    other.replace(path)  # as editors that save by renaming do
    step = folder.look()
    assert step is not None
    assert step.by == "editor"
    folder.undo()
    assert bytes_of(job) == before


def test_an_edit_is_made_on_what_an_editor_just_saved(job: Path) -> None:
    folder = JobFolder(job)
    path = job / "readings.csv"
    path.write_bytes(path.read_bytes() + b"height,C,5,,\r\n")
    folder.edit(add("D", "6"))
    assert path.read_text("utf-8-sig").splitlines()[-2:] == ["height,C,5,,", "height,D,6,,"]


def test_an_editor_that_saves_over_an_edit_is_told_apart_from_one_that_adds(job: Path) -> None:
    folder = JobFolder(job)
    old = {"kind": "height", "marks": "B", "value": "4"}
    asked = {"do": "alter", "line": 4, "old": old, "row": {**old, "value": "4 1/8"}}
    folder.edit(EDIT.validate_python(asked))
    text, done = folder.texts["readings.csv"], list(folder.history.done)
    lost = overwritten(done, "readings.csv", text, CSV)
    assert lost is not None
    assert (lost.yours, lost.theirs) == (("height,B,4 1/8,,",), ("height,B,4,,",))
    assert overwritten(done, "readings.csv", text, text + "height,E,1,,\r\n") is None
