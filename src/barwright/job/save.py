"""Putting a job's text files back: whole or not at all, and never over someone else's edit."""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from barwright.job.errors import BadInput, BarwrightError, Fault
from barwright.job.files import read_bytes

NEW_FILE_MODE = 0o644
_PART = ".part"


class ChangedMeanwhile(BarwrightError):  # noqa: N818 - it is what the user is told
    """The file is no longer what the edit was made on; nothing was written.

    Attributes:
        text: what stands in the file now.
    """

    def __init__(self, path: Path, text: str) -> None:
        super().__init__(
            f"{path.name} was changed meanwhile, by an editor or another window; nothing was "
            "written: look at what stands there now and make the edit again"
        )
        self.text = text


def read_exact(path: Path) -> str:
    """The text of a file byte for byte: line ends and byte order mark kept. Missing is empty.

    Raises:
        BadInput: it cannot be read, is too large, or is not UTF-8.
    """
    if not path.exists():
        return ""
    try:
        return read_bytes(path).decode("utf-8")
    except UnicodeDecodeError:
        raise BadInput(
            Fault(file=path.name, entry="", expected="text in UTF-8", do="save it as UTF-8")
        ) from None


def mark_of(text: str) -> str:
    """A short fingerprint of a text, to tell later whether a file is still the same.

    >>> mark_of("a") == mark_of("a"), mark_of("a") == mark_of("b")
    (True, False)
    """
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def write_text(path: Path, text: str, *, was: str | None = None) -> None:
    """Put a text in a file's place in one step: at any moment the file is the old or the new.

    The new text is written beside it, flushed to the disk, and renamed over it. The file keeps
    its permissions; a symbolic link stays one and its target is replaced.

    Args:
        path: the file, which may not be there yet.
        text: what is to stand in it.
        was: `mark_of` the text the edit was made on; None writes in any case.

    Raises:
        ChangedMeanwhile: the file is no longer the text that `was` marks.
        BadInput: the folder cannot be written or the disk is full; the file is as it was.
    """
    real = path.resolve()
    try:
        with _alone(real.parent) as alone:
            if alone:
                _sweep(real)
            if was is not None and mark_of(now := read_exact(real)) != was:
                raise ChangedMeanwhile(path, now)
            _replace(real, text.encode("utf-8"))
    except OSError as wrong:
        raise BadInput(_unwritable(path, wrong)) from None


def _replace(path: Path, raw: bytes) -> None:
    """Write beside, flush, rename. What is left beside after a failure is taken away."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=_PART)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(_mode(path))
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    _flush_folder(path.parent)


def _sweep(path: Path) -> None:
    """Take away what a killed writer left beside the file; only while no other can be writing."""
    for left in path.parent.glob(f".{path.name}.*{_PART}"):
        with contextlib.suppress(OSError):
            left.unlink()


def _mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode) if path.exists() else NEW_FILE_MODE


def _flush_folder(folder: Path) -> None:
    """Make the rename itself last, where folders can be flushed."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[bool]:
    """One writer in a folder at a time, in this process and others; whether that is certain.

    The folder itself is locked, so that no lock file is left lying about. Windows cannot lock a
    folder: there the rename is still whole, only the comparison with `was` is not watertight.
    """
    try:
        import fcntl
    except ImportError:
        yield False
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield True
    finally:
        os.close(handle)


def _unwritable(path: Path, wrong: OSError) -> Fault:
    return Fault(
        file=path.name,
        entry="",
        read=wrong.strerror or str(wrong),
        expected="a folder that can be written, with room on the disk",
        do=f"make room or check the permissions of {path.parent}; the file is as it was",
    )
