"""The pack's folder changes all at once, or not at all."""

import errno
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from barwright.job.errors import BarwrightError
from barwright.pack import folder
from barwright.pack.folder import MANIFEST, WE_WROTE, checksum, put, put_file, read_manifest

OURS = b'{"kind": "%s", "files": {"a.txt": {}, "deep/b.txt": {}}}' % WE_WROTE.encode()


def files(text=b"one"):
    return {"a.txt": text, "deep/b.txt": text * 1000, MANIFEST: OURS}


def there(out):
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}


def names_in(folder):
    return [p.name for p in folder.iterdir()]


def test_a_new_folder_holds_just_the_files(tmp_path):
    put(tmp_path / "new" / "pack", files())
    assert there(tmp_path / "new" / "pack") == files()
    assert names_in(tmp_path / "new") == ["pack"]


def test_an_old_pack_is_replaced_whole(tmp_path):
    put(tmp_path / "pack", files())
    put(tmp_path / "pack", {"c.txt": b"two", MANIFEST: OURS})
    assert set(there(tmp_path / "pack")) == {"c.txt", MANIFEST}
    assert names_in(tmp_path) == ["pack"]


def test_where_the_system_cannot_exchange_names_it_still_works(tmp_path, monkeypatch):
    monkeypatch.setattr(folder, "_exchange", lambda *_: False)
    put(tmp_path / "pack", files())
    put(tmp_path / "pack", files(b"two"))
    assert there(tmp_path / "pack") == files(b"two")
    assert names_in(tmp_path) == ["pack"]


def test_a_swap_cut_short_is_mended_by_the_next(tmp_path):
    put(tmp_path / "pack", files())
    (tmp_path / "pack").rename(tmp_path / ".pack.old")
    (tmp_path / ".pack.new-abc").mkdir()
    with pytest.raises(BarwrightError):
        put(tmp_path / "pack", {"../x": b""})
    assert there(tmp_path / "pack") == files()
    assert names_in(tmp_path) == ["pack"]


@pytest.mark.parametrize("name", ["../up.txt", "/root.txt", "a/../../b", "..\\c", ""])
def test_a_name_that_leads_out_is_refused(tmp_path, name):
    with pytest.raises(BarwrightError, match="leads out"):
        put(tmp_path / "pack", {name: b"x"})
    assert names_in(tmp_path) == []


def test_a_folder_with_other_things_is_left_alone(tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("years of work")
    with pytest.raises(BarwrightError, match="no pack"):
        put(tmp_path / "mine", files())
    assert (tmp_path / "mine" / "thesis.txt").read_text() == "years of work"


def test_a_pack_with_a_stranger_s_file_in_it_is_left_alone(tmp_path):
    put(tmp_path / "pack", files())
    (tmp_path / "pack" / "my notes.txt").write_text("torch set to 60 A")
    with pytest.raises(BarwrightError, match="my notes"):
        put(tmp_path / "pack", files(b"two"))
    assert (tmp_path / "pack" / "a.txt").read_bytes() == b"one"


def test_a_file_or_a_link_in_the_way_is_refused(tmp_path):
    (tmp_path / "file").write_text("x")
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    for name in ("file", "link"):
        with pytest.raises(BarwrightError, match="not a folder"):
            put(tmp_path / name, files())
    with pytest.raises(BarwrightError, match="is a file"):
        put(tmp_path / "file" / "pack", files())


@pytest.mark.parametrize(
    ("number", "says"),
    [(errno.ENOSPC, "disk is full"), (errno.EROFS, "read-only"), (errno.EACCES, "may not write")],
)
def test_a_disk_that_will_not_take_it_is_named_and_the_old_pack_stays(
    tmp_path, monkeypatch, number, says
):
    put(tmp_path / "pack", files())

    def refuse(*_args):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(BarwrightError, match=says):
        put(tmp_path / "pack", files(b"two"))
    assert there(tmp_path / "pack") == files()
    assert names_in(tmp_path) == ["pack"]


def test_one_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    put_file(tmp_path / "deep" / "a.pdf", b"one")
    assert (tmp_path / "deep" / "a.pdf").read_bytes() == b"one"

    def refuse(*_args):
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(BarwrightError, match="disk is full"):
        put_file(tmp_path / "deep" / "a.pdf", b"two")
    assert (tmp_path / "deep" / "a.pdf").read_bytes() == b"one"
    assert names_in(tmp_path / "deep") == ["a.pdf"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_a_really_full_device(tmp_path):
    """The kernel's own answer, not ours: /dev/full refuses every byte."""
    with pytest.raises(OSError, match=os.strerror(errno.ENOSPC)) as refused:
        Path("/dev/full").write_bytes(b"x" * 100_000)
    assert "disk is full" in folder._why(tmp_path, refused.value)


KILLED = """
import sys
from pathlib import Path
from barwright.pack.folder import put, WE_WROTE, MANIFEST, checksum
import json
n = 0
trial = sys.argv[2].encode()
print("go", flush=True)
while True:
    n += 1
    body = {f"f{i}.bin": (trial + b"%d" % n) * 5000 for i in range(4)}
    said = {"kind": WE_WROTE, "files": {k: {"sha256": checksum(v)} for k, v in body.items()}}
    put(Path(sys.argv[1]), {**body, MANIFEST: json.dumps(said).encode()})
"""


@pytest.mark.study
@pytest.mark.skipif(os.name != "posix", reason="kills by signal")
def test_killed_100_times_at_random_moments_never_a_half_pack(tmp_path):
    chance = random.Random(7)  # noqa: S311 - when to kill is no secret
    out = tmp_path / "pack"
    put(out, {MANIFEST: b'{"kind": "barwright pack", "files": {}}'})
    seen = set()
    for trial in range(100):
        writer = subprocess.Popen(
            [sys.executable, "-c", KILLED, str(out), f"{trial}."], stdout=subprocess.PIPE
        )
        with writer:
            writer.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.12))
            os.kill(writer.pid, signal.SIGKILL)
        said = read_manifest(out)
        assert said["kind"] == WE_WROTE
        assert {p.name for p in out.iterdir()} == {*said["files"], MANIFEST}
        for name, known in said["files"].items():
            assert checksum((out / name).read_bytes()) == known["sha256"]
        seen.add(next((f["sha256"] for f in said["files"].values()), ""))
    assert len(seen) > 20  # it was indeed killed while packs were being swapped in
    put(out, {MANIFEST: b'{"kind": "barwright pack", "files": {}}'})
    assert names_in(tmp_path) == ["pack"]
