"""A saved file is the old one or the new one, whatever happens meanwhile."""

import errno
import os
import random
import signal
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from barwright.job import save
from barwright.job.errors import BadInput
from barwright.job.save import ChangedMeanwhile, mark_of, read_exact, write_text

FOREVER = """
import sys
from pathlib import Path
from barwright.job.save import write_text
path, texts = Path(sys.argv[1]), ("old " * 50_000, "new " * 70_000)
print("ready", flush=True)
while True:
    for text in texts:
        write_text(path, text)
"""
WHOLE = ("old " * 50_000, "new " * 70_000)


def test_writes_what_it_is_given_byte_for_byte(tmp_path):
    path, text = tmp_path / "job.toml", "\ufeff# ½\r\na = 1\r\n"
    write_text(path, text)
    assert path.read_bytes() == text.encode()
    assert read_exact(path) == text
    assert [p.name for p in tmp_path.iterdir()] == ["job.toml"]


def test_a_missing_file_reads_as_nothing(tmp_path):
    assert read_exact(tmp_path / "readings.csv") == ""


def test_keeps_permissions_and_links(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "job.toml"
    real.write_text("a")
    real.chmod(0o640)
    link.symlink_to(real)
    write_text(link, "b")
    assert link.is_symlink()
    assert real.read_text() == "b"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_an_edit_made_on_an_older_text_is_refused_and_shows_what_stands_there(tmp_path):
    path = tmp_path / "job.toml"
    write_text(path, "one")
    seen = mark_of(read_exact(path))
    path.write_text("two, by an editor")
    with pytest.raises(ChangedMeanwhile) as refused:
        write_text(path, "mine", was=seen)
    assert refused.value.text == path.read_text() == "two, by an editor"
    write_text(path, "mine", was=mark_of(refused.value.text))
    assert path.read_text() == "mine"


def test_twenty_four_writers_at_once_lose_no_edit(tmp_path):
    path = tmp_path / "job.toml"
    write_text(path, "")

    def add(number: int) -> None:
        while True:
            text = read_exact(path)
            try:
                write_text(path, f"{text}{number}\n", was=mark_of(text))
            except ChangedMeanwhile:
                continue
            return

    threads = [threading.Thread(target=add, args=(n,)) for n in range(24)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(map(int, path.read_text().split())) == list(range(24))


@pytest.mark.parametrize("step", ["fsync", "write"])
def test_a_full_disk_leaves_the_old_file_and_nothing_beside_it(tmp_path, monkeypatch, step):
    path = tmp_path / "readings.csv"
    write_text(path, "old")
    if step == "fsync":

        def full(_handle: int) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        monkeypatch.setattr(save.os, "fsync", full)
        with pytest.raises(BadInput) as refused:
            write_text(path, "new")
        assert "No space left" in refused.value.faults[0].read
    else:  # the kernel itself refuses to write past 4 kB
        code = (
            "import resource, sys; from pathlib import Path\n"
            "from barwright.job.errors import BadInput\n"
            "from barwright.job.save import write_text\n"
            "resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
            "try: write_text(Path(sys.argv[1]), 'new' * 10_000)\n"
            "except BadInput as wrong: print(wrong.faults[0].read)\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, path], capture_output=True, text=True, check=True
        )
        assert "File too large" in done.stdout
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["readings.csv"]


def test_a_folder_that_is_gone_is_said_plainly(tmp_path):
    with pytest.raises(BadInput) as refused:
        write_text(tmp_path / "gone" / "job.toml", "x")
    assert "room on the disk" in refused.value.faults[0].expected


def killed_while_writing(path: Path, wait: float) -> None:
    """Start a writer that never stops, and kill it after a while."""
    with subprocess.Popen(
        [sys.executable, "-c", FOREVER, path], stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout.readline() == "ready\n"
        time.sleep(wait)
        writer.send_signal(signal.SIGKILL)


@pytest.mark.parametrize(
    "kills", [8, pytest.param(300, marks=pytest.mark.study)], ids=["few", "many"]
)
def test_killed_at_any_moment_the_file_is_the_old_or_the_new(tmp_path, kills):
    path, chance = tmp_path / "job.toml", random.Random(2)  # noqa: S311 - moments, not secrets
    write_text(path, WHOLE[0])
    seen = set()
    for _ in range(kills):
        killed_while_writing(path, chance.uniform(0.0, 0.03))
        assert path.read_text() in WHOLE
        seen.add(path.read_text()[:3])
    assert kills < 300 or seen == {"old", "new"}
    write_text(path, "after")  # what the killed ones left beside it is swept away
    assert [p.name for p in tmp_path.iterdir()] == ["job.toml"]
