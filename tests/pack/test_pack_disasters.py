"""`barwright pack` when things go wrong: killed, no room, no right, bad names, a job that changes.

Each is the real command on a real folder; what was there before must stay whole.
"""

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from barwright.cli.run import run
from barwright.pack import write as writing
from barwright.pack.folder import MANIFEST, checksum, read_manifest

JOB = """
[job]
name = "Small gate"
unit = "mm"
[stock.main]
od = 38.1
wall = 2.4
[bar.post]
stock = "main"
path = ["A", "B"]
[bar.rail]
stock = "main"
path = ["C", "D"]
[sheet.main]
material = "a36"
thickness = 5
[plate.lug]
sheet = "main"
at = {{ origin = "A", along = "C", toward = "D" }}
outline = [[0, 20], [{wide}, 20], [{wide}, 60], [0, 60]]
"""
READINGS = """kind,marks,value,plus_minus,note
fixed,A,0 0 0,,
fixed,B,0 0 1000,,
fixed,C,0 0 500,,
fixed,D,800 0 500,,
"""

HELD_DOWN = """
import os, sys
import OCP, ezdxf, reportlab.pdfgen.canvas, scipy.optimize, scipy.fft, shapely, numpy
import barwright.pack.write, barwright.pack.step, barwright.route
from barwright.cli.run import run
for line in sys.stdin:
    pid = os.fork()
    if not pid:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        os._exit(run(["pack", *line.split()]))
    print(pid, flush=True)
    print(os.waitpid(pid, 0)[1], flush=True)
"""
"""Forks a process for each line, which runs `barwright pack` with that line's arguments: so
100 runs need not load the solid kernel 100 times."""


def job(folder, wide=60):
    folder.mkdir(exist_ok=True)
    (folder / "job.toml").write_text(JOB.format(wide=wide))
    (folder / "readings.csv").write_text(READINGS)
    return folder


def whole(out):
    """The job's hash of the pack in a folder, every file of which has been held to its checksum."""
    said = read_manifest(out)
    there = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}
    assert there == {*said["files"], MANIFEST}
    for name, known in said["files"].items():
        assert checksum((out / name).read_bytes()) == known["sha256"], name
    return said["job_sha256"]


@pytest.mark.study
@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks, and kills by signal")
def test_packing_killed_100_times_at_random_moments_never_leaves_half_a_pack(tmp_path):
    chance = random.Random(11)  # noqa: S311 - when to kill is no secret
    jobs = [job(tmp_path / "one"), job(tmp_path / "two", wide=61)]
    out = tmp_path / "packs" / "pack"
    ends, hashes = [], []
    with subprocess.Popen(
        [sys.executable, "-c", HELD_DOWN], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as held:

        def packed(which, after=None):
            held.stdin.write(f"{jobs[which]} --out {out}\n")
            held.stdin.flush()
            pid = int(held.stdout.readline())
            begun = time.monotonic()
            if after is not None:
                time.sleep(after)
                with suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)
            ends.append(int(held.stdout.readline()))
            return time.monotonic() - begun

        took = min(packed(0), packed(1), packed(0))
        hashes.append(whole(out))
        assert ends == [0, 0, 0]
        killed = 0
        for k in range(400):
            low = 0.0 if k % 2 else 0.8  # every other one near the end, when files are written
            lasted = packed(k % 2, after=took * chance.uniform(low, 1.1))
            hashes.append(whole(out))
            if os.WIFSIGNALED(ends[-1]):
                killed += 1
            else:  # done before its time came: the machine is quicker now
                took = min(took, lasted)
            if killed == 100:
                break
        assert packed(0) > 0.0
        hashes.append(whole(out))
    assert killed == 100
    assert len(set(hashes)) == 2  # one job's pack or the other's, whole
    assert [p.name for p in out.parent.iterdir()] == ["pack"]  # what the killed left was cleared


def test_a_disk_that_is_really_full_leaves_the_old_pack(tmp_path, capsys):
    folder, first = job(tmp_path / "job"), tmp_path / "first"
    assert run(["pack", str(folder), "--out", str(first)]) == 0
    size = sum(p.stat().st_size for p in first.rglob("*") if p.is_file())
    with small_disk(tmp_path / "disk", 3 * size // 2) as disk:
        shutil.copytree(first, disk / "pack")
        before = whole(disk / "pack")
        job(folder, wide=61)
        assert run(["pack", str(folder), "--out", str(disk / "pack")]) == 2
        assert "disk is full" in capsys.readouterr().err
        assert whole(disk / "pack") == before
        assert [p.name for p in disk.iterdir()] == ["pack"]


def test_a_disk_that_is_read_only_leaves_the_old_pack(tmp_path, capsys):
    folder = job(tmp_path / "job")
    with small_disk(tmp_path / "disk", 8_000_000) as disk:
        assert run(["pack", str(folder), "--out", str(disk / "pack")]) == 0
        before = whole(disk / "pack")
        job(folder, wide=61)
        again = ["mount", "-o", "remount,ro", str(disk)]
        if subprocess.run(again, capture_output=True, check=False).returncode:
            pytest.skip("this system does not let a disk be made read-only")
        for place in (disk / "pack", disk / "new"):
            capsys.readouterr()
            assert run(["pack", str(folder), "--out", str(place)]) == 2
            assert "read-only: name a folder you may write to" in " ".join(
                capsys.readouterr().err.split()
            )
        assert whole(disk / "pack") == before
        assert [p.name for p in disk.iterdir()] == ["pack"]


@contextmanager
def small_disk(at, size):
    """A disk of so many bytes; skips where none can be mounted."""
    at.mkdir()
    if os.geteuid():
        pytest.skip("only root may mount a small disk")
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(at)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("this system does not let a small disk be mounted")
    try:
        yield at
    finally:
        subprocess.run(["umount", str(at)], check=True)


@contextmanager
def nobody():
    """Without root's rights, which nothing on a disk withstands."""
    if os.geteuid():
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def open_folder():
    """A folder every user may look into, unlike pytest's own."""
    made = Path(tempfile.mkdtemp())
    made.chmod(0o755)
    yield made
    shutil.rmtree(made)


@pytest.mark.skipif(os.name != "posix", reason="rights as POSIX has them")
def test_a_folder_that_may_not_be_written_is_named_and_left(open_folder, capsys):
    folder, place = job(open_folder / "job"), open_folder / "place"
    place.mkdir()
    assert run(["pack", str(folder), "--out", str(place / "pack")]) == 0
    before = whole(place / "pack")
    job(folder, wide=61)
    place.chmod(0o555)
    with nobody():
        assert run(["pack", str(folder), "--out", str(place / "pack")]) == 2
    assert "may not write" in capsys.readouterr().err
    place.chmod(0o755)
    assert whole(place / "pack") == before
    assert [p.name for p in place.iterdir()] == ["pack"]


@pytest.mark.parametrize("name", ["../escape", "/etc/escape", "a/b", "..", "a\\\\b", "con\\u0000"])
def test_a_name_that_would_leave_the_folder_is_refused(tmp_path, capsys, name):
    folder = job(tmp_path / "job")
    text = (folder / "job.toml").read_text().replace("[plate.lug]", f'[plate."{name}"]')
    (folder / "job.toml").write_text(text)
    assert run(["pack", str(folder), "--out", str(tmp_path / "pack")]) == 2
    assert "job.toml" in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["job"]


def test_two_parts_with_one_file_s_name_are_refused(tmp_path, capsys):
    folder = job(tmp_path / "job")
    text = (folder / "job.toml").read_text()
    (folder / "job.toml").write_text(text + text[text.index("[plate.lug]") :].replace("lug", "Lug"))
    assert run(["pack", str(folder), "--out", str(tmp_path / "pack")]) == 2
    assert "lug" in capsys.readouterr().err.lower()
    assert not (tmp_path / "pack").exists()


def test_a_job_that_changes_while_it_is_packed_leaves_the_old_pack(tmp_path, monkeypatch, capsys):
    folder, out = job(tmp_path / "job"), tmp_path / "pack"
    assert run(["pack", str(folder), "--out", str(out)]) == 0
    before, make = whole(out), writing.make

    def made_while_it_is_edited(*args, **more):
        job(folder, wide=75)
        return make(*args, **more)

    monkeypatch.setattr(writing, "make", made_while_it_is_edited)
    job(folder, wide=70)
    assert run(["pack", str(folder), "--out", str(out), "--json"]) == 2
    (fault,) = json.loads(capsys.readouterr().out.splitlines()[-1])["errors"]
    assert any("changed while" in str(said) for said in fault.values())
    assert whole(out) == before
