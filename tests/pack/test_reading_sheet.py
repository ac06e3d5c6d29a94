"""The sheet to take to the vehicle, and its form, filled in and read back."""

import io

import numpy as np
import pytest
from pypdf import PdfReader

from barwright.job.errors import BadInput
from barwright.job.load import load
from barwright.job.schema import Job
from barwright.pack.reading_form import form_csv, length_text, rows
from barwright.pack.reading_sheet import pdf, write
from barwright.survey.marks import Candidate, Fitted, Marks

CSV = """kind,marks,value,plus_minus,note
height,A,0,,on the floor
tape,A B,23 7/16,1/16,"hook, then read"
over,A C,1' 3-1/2",,
incline,A B,22.5,0.3,
fixed,D,1 2 3/4,1/32,bolted
level,B C,,,
line,A B C,,,string
"""
TOML = """[job]
name = "Marsh frame"
unit = "in"
[stock.main]
od = 1.75
wall = 0.095
[bar.pillar]
stock = "main"
path = ["A", "B"]
[bar.sill]
stock = "main"
path = ["B", "C"]
"""


def folder(path, csv=CSV):
    path.mkdir(exist_ok=True)
    (path / "job.toml").write_text(TOML)
    (path / "readings.csv").write_text(csv)
    return path


@pytest.fixture
def job(tmp_path):
    return load(folder(tmp_path / "job"))


def solved(job):
    xyz = np.array([[0.0, 0, 0], [0, 0, 595], [900, 20, 610], [25.4, 50.8, 19.05]])
    return Marks(
        names=("A", "B", "C", "D"),
        xyz=xyz,
        covariance=np.eye(12) * 0.2,
        fitted=tuple(
            Fitted(reading=r, residual=0.1, suspect=r.kind == "over", redundancy=0.4)
            for r in job.readings
        ),
        next_reading=(
            Candidate(kind="tape", marks=("A", "D"), gain=31.25),
            Candidate(kind="corner", marks=("A", "B", "C"), gain=4.0),
        ),
    )


def texts(data):
    return [page.extract_text() for page in PdfReader(io.BytesIO(data)).pages]


def test_every_reading_is_there_by_its_line_in_order(job):
    form = rows(job, solved(job))
    assert [r.number for r in form] == [2, 3, 4, 5, 6, 7, 8, 9, 10]
    assert [r.kind for r in form][:7] == [r.kind for r in job.readings]
    assert [r.asked for r in form] == [False] * 7 + [True] * 2
    assert [r.again for r in form if not r.asked] == [False, False, True, *[False] * 4]


def test_the_sheet_says_what_to_measure_in_the_user_s_unit(job):
    first, table = texts(pdf(job, solved(job)))
    assert "Marsh frame" in first
    assert "inches" in first
    for word in ("from above", "left side", "front", "A", "B", "C", "D"):
        assert word in first
    for word in ("23 7/16 ± 1/16", "15 1/2", "measure again", "worth 31.3 %", "A B C", "bolted"):
        assert word in table.replace("\n", " ")


def test_values_can_be_left_off_so_that_nobody_is_led(job):
    _, table = texts(pdf(job, solved(job), values=False))
    assert "23 7/16" not in table


def test_without_solved_marks_there_is_room_to_sketch(job):
    first, table = texts(pdf(job, None, "letter"))
    assert "Sketch the vehicle here" in first
    assert "A · B · C · D" in first
    assert "worth" not in table


def test_the_same_bytes_every_time(job):
    assert pdf(job, solved(job)) == pdf(job, solved(job))


@pytest.mark.parametrize(("paper", "wide", "high"), [("a4", 595.28, 841.89), ("letter", 612, 792)])
def test_papers(job, tmp_path, paper, wide, high):
    write(job, None, tmp_path / "sheet.pdf", paper)
    for page in PdfReader(tmp_path / "sheet.pdf").pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            (wide, high), abs=0.01
        )


def test_another_paper_is_refused(job, tmp_path):
    with pytest.raises(BadInput) as told:
        write(job, None, tmp_path / "sheet.pdf", "a5")
    assert "a4" in str(told.value)


def test_a_job_without_readings_is_a_sheet_of_empty_rows():
    pages = texts(pdf(Job(), None))
    assert len(pages) == 2
    assert "line" in pages[1]


def test_long_names_and_hundreds_of_readings_fit():
    names = [f"front-left-upper-shock-mount-{i:02d}" for i in range(40)]
    readings = [
        {"line": i + 2, "kind": "tape", "marks": (names[i % 40], names[(i * 7 + 3) % 40]),
         "value": 500.0 + i, "plus_minus": 1.0, "note": "a long note " * 8}
        for i in range(120)
    ]  # fmt: skip
    job = Job.model_validate({"job": {"name": "N" * 60}, "readings": readings})
    pages = texts(pdf(job, None))
    joined = " ".join(pages).replace("\n", " ")
    assert all(name in joined for name in names)
    assert len(pages) == 1 + -(-121 // 23)


# ---- and back from the CSV ---------------------------------------------------------------------


def test_the_form_with_values_reads_back_as_the_same_readings(job, tmp_path):
    again = load(folder(tmp_path / "again", form_csv(job, solved(job), values=True)))
    assert len(again.readings) == len(job.readings)
    for ours, theirs in zip(again.readings, job.readings, strict=True):
        assert (ours.kind, ours.marks, ours.note) == (theirs.kind, theirs.marks, theirs.note)
        assert ours.line == theirs.line
        assert ours.value == pytest.approx(theirs.value, abs=0.002)
        assert ours.plus_minus == pytest.approx(theirs.plus_minus, abs=0.002)
        assert ours.at == (theirs.at and pytest.approx(theirs.at, abs=0.002))


def test_rows_count_once_they_are_filled_in(job, tmp_path):
    text = form_csv(job, solved(job), values=True)
    waiting = "# tape,A D,,,worth 31.3 %"
    assert waiting in text
    filled = text.replace(waiting, "tape,A D,12 1/4,,")
    again = load(folder(tmp_path / "again", filled))
    assert again.readings[-1].value == pytest.approx(12.25 * 25.4)


def test_a_blank_form_waits_for_every_value(job, tmp_path):
    text = form_csv(job)
    assert "23 7/16" not in text
    assert text.splitlines()[2].startswith("# tape,A B,,1/16,")
    assert [line.split(",")[0] for line in text.splitlines()[1:]] == [
        "# height", "# tape", "# over", "# incline", "# fixed", "level", "line"
    ]  # fmt: skip
    again = load(folder(tmp_path / "again", text))
    assert [r.kind for r in again.readings] == ["level", "line"]


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [(0.0, "in", "0"), (12.7, "in", "1/2"), (0.1, "in", "0.0039"), (-25.4, "in", "-1"),
     (25.0, "in", "0.9843"), (0.004, "mm", "0"), (-1.25, "mm", "-1.25"), (1000.0, "mm", "1000")],
)  # fmt: skip
def test_lengths_as_a_person_writes_them(mm, unit, text):
    assert length_text(mm, unit) == text
