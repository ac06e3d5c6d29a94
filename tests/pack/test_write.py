"""The whole pack: what is in it, that it is the same each time, and what it refuses."""

import hashlib
import io
import json
import os
import subprocess
import sys
import zipfile
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import ezdxf
import pypdf
import pytest
from made_up import BRACKET, CHEEK, build, circle

from barwright.job.errors import BadInput, BarwrightError
from barwright.pack import contents
from barwright.pack.folder import MANIFEST
from barwright.pack.hashing import job_hash
from barwright.pack.write import ZIP, make, write
from barwright.plates.part import Loop


@lru_cache
def whole():
    """The whole pack in memory, made once."""
    return make(build())


def test_the_pack_holds_what_the_shop_needs(tmp_path):
    pack = write(build(), tmp_path / "pack")
    assert {
        "flat/side.hinge.cheek.dxf",
        "flat/striker.gusset.dxf",
        "templates/tube-ends.pdf",
        "lists/cut-list.csv",
        "lists/order-sheet.csv",
        "lists/findings.csv",
        "summary.pdf",
        MANIFEST,
        ZIP,
    } <= set(pack.files)
    assert all((tmp_path / "pack" / name).is_file() for name in pack.files)


def test_the_manifest_vouches_for_every_other_file(tmp_path):
    pack = write(build(), tmp_path / "pack")
    said = json.loads((tmp_path / "pack" / MANIFEST).read_text())
    assert set(said["files"]) == set(pack.files) - {MANIFEST}
    for name, known in said["files"].items():
        data = (tmp_path / "pack" / name).read_bytes()
        assert known == {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
    assert said["job_sha256"] == pack.job_hash
    assert said["unit"] == "mm"


def test_the_zip_holds_the_same_files_and_opens():
    files = whole().files
    with zipfile.ZipFile(io.BytesIO(files[ZIP])) as archive:
        assert archive.testzip() is None
        assert set(archive.namelist()) == set(files) - {ZIP}
        for name in set(files) - {ZIP, MANIFEST}:
            assert archive.read(name) == files[name]
        assert {i.date_time for i in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_the_same_job_is_the_same_bytes():
    assert whole().files == make(build()).files


def test_the_same_job_is_the_same_bytes_in_another_process():
    """Text hashes differ from one run of Python to the next, and with them the order of sets."""
    say = (
        "import sys; sys.path.insert(0, sys.argv[1]); from made_up import build\n"
        "from barwright.pack.folder import checksum; from barwright.pack.write import make\n"
        "print({n: checksum(d) for n, d in make(build()).files.items()})"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", say, str(Path(__file__).parent)],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "7")
    ]
    assert runs[0] == runs[1] == runs[2]


def test_another_job_has_another_hash():
    assert job_hash(build("in").job) != whole().job_hash


def test_every_drawing_passes_the_audit_and_every_pdf_opens():
    for name, data in whole().files.items():
        if name.endswith(".dxf"):
            text = data.decode().replace("\r\n", "\n")
            assert not ezdxf.read(io.StringIO(text)).audit().errors, name
        if name.endswith(".pdf"):
            assert len(pypdf.PdfReader(io.BytesIO(data)).pages) >= 1, name


def test_the_summary_is_one_page_with_the_cautions_and_the_hash():
    made = whole()
    (page,) = pypdf.PdfReader(io.BytesIO(made.files["summary.pdf"])).pages
    text = " ".join(page.extract_text().split())
    for words in ("Heron test corner", "This can kill", "licensed engineer", made.job_hash[:16]):
        assert words in text
    assert "comes within 7.4 mm" in text


def test_without_the_kernel_the_pack_says_so_and_goes_on(monkeypatch):
    monkeypatch.setitem(sys.modules, "OCP", None)
    for name in [
        m
        for m in sys.modules
        if m.startswith(("OCP.", "barwright.pack.step", "barwright.pack.brep"))
    ]:
        monkeypatch.delitem(sys.modules, name)
    made = make(build())
    assert contents.NO_STEP in made.findings
    assert not any(name.endswith(".step") for name in made.files)
    assert "solid kernel" in json.loads(made.files[MANIFEST])["left_out"][0]
    assert b"solid kernel" in made.files["lists/findings.csv"]


def test_progress_runs_from_nothing_to_all():
    shares = []
    make(build(), progress=lambda _what, share: shares.append(share))
    assert shares[0] == 0.0
    assert shares[-1] == 1.0
    assert shares == sorted(shares)


def test_a_job_changed_meanwhile_is_not_written(tmp_path):
    write(build(), tmp_path / "pack", current=lambda: job_hash(build().job))
    before = (tmp_path / "pack" / MANIFEST).read_bytes()
    with pytest.raises(BarwrightError, match="changed while"):
        write(build("in"), tmp_path / "pack", current=lambda: job_hash(build("mm").job))
    assert (tmp_path / "pack" / MANIFEST).read_bytes() == before


def test_an_unknown_stage_is_refused():
    with pytest.raises(BadInput, match="board or metal"):
        make(build(), stage="cardboard")


@pytest.mark.parametrize(
    "name", ["striker.gusset", "Striker.Gusset", "striker/gusset", "striker:gusset"]
)
def test_two_parts_that_would_be_one_file_are_refused(name):
    twice = (CHEEK, BRACKET, replace(BRACKET, name=name), replace(BRACKET, name="striker-gusset"))
    with pytest.raises(BadInput, match="striker"):
        make(build(parts=twice))


@pytest.mark.parametrize(
    "corners",
    [(), ((0, 0, 0), (9, 0, 0)), ((0, 0, 0), (9, 9, 0), (9, 0, 0), (0, 9, 0))],
    ids=["nothing", "a line", "a bow tie"],
)
def test_an_outline_that_cannot_be_cut_is_refused_by_name(corners):
    with pytest.raises(BadInput, match=r"side\.hinge\.cheek"):
        make(build(parts=(replace(CHEEK, outline=Loop(vertices=corners), holes=(), etch=()),)))


def test_a_hole_across_the_edge_is_refused_by_name():
    with pytest.raises(BadInput, match="hole across its edge"):
        make(build(parts=(replace(CHEEK, holes=(circle(90.0, 30.0, 9.0),)),)))


def test_a_job_of_readings_alone_is_packed():
    the_build = build(parts=())
    bare = replace(
        the_build, bars=replace(the_build.bars, bars=()), motions=(), swings=(), findings=()
    )
    assert set(make(bare).files) == {
        "guide.pdf", "lists/findings.csv", "summary.pdf", ZIP, MANIFEST,
    }  # fmt: skip


def test_a_name_that_would_leave_the_folder_stays_in_it(tmp_path):
    pack = write(build(parts=(replace(BRACKET, name="../../escape"),)), tmp_path / "pack")
    assert "flat/escape.dxf" in pack.files
    assert {p.name for p in tmp_path.iterdir()} == {"pack"}


def test_what_is_not_a_pack_is_refused_before_anything_is_made(tmp_path, monkeypatch):
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "1.jpg").write_bytes(b"x")
    monkeypatch.setattr("barwright.pack.write.make", lambda *_a, **_k: pytest.fail("made in vain"))
    with pytest.raises(BarwrightError, match="no pack"):
        write(build(), tmp_path / "photos")


def test_bars_alone_are_a_whole_job(tmp_path):
    pack = write(build(parts=()), tmp_path / "pack")
    assert "lists/order-sheet.csv" not in pack.files
    assert "summary.pdf" in pack.files
