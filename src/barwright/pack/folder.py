"""Writing a folder all at once: the old pack stays whole until the new one is."""

from __future__ import annotations

import ctypes
import errno
import hashlib
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import Any

from barwright.job.errors import BarwrightError

MANIFEST = "manifest.json"
WE_WROTE = "barwright pack"
"""What the manifest says under "kind", by which we know a folder as ours."""

_AT_FDCWD, _RENAME_EXCHANGE = -100, 2
"""linux/fcntl.h and linux/fs.h."""


def put(out: Path, files: Mapping[str, bytes]) -> None:
    """Make `out` hold just these files (posix path -> bytes), or leave it as it was.

    The files are written to a hidden folder beside `out` and flushed to the disk; then the two
    folders change names, in one step where the system can (Linux), else in two that a later
    `put` mends.

    Raises:
        BarwrightError: `out` is not a pack of ours, or cannot be written.
    """
    out = Path(os.path.abspath(out))  # noqa: PTH100 - resolve() would follow a link at `out`
    try:
        _mend(out)
        check_ours(out)
        out.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=f".{out.name}.new-", dir=out.parent))
        try:
            _fill(fresh, files)
            _swap(fresh, out)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)
    except OSError as error:
        raise BarwrightError(_why(out, error)) from error


def put_file(path: Path, data: bytes) -> None:
    """Write one file whole or not at all.

    Raises:
        BarwrightError: it cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        fresh = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            fresh.chmod(0o644)
            fresh.replace(path)
        finally:
            fresh.unlink(missing_ok=True)
    except OSError as error:
        raise BarwrightError(_why(path, error)) from error


def check_ours(out: Path) -> None:
    """Refuse a folder with anything in it that is not a pack.

    Raises:
        BarwrightError: it is a file, a link, or a folder with other things in it.
    """
    if out.is_symlink() or (out.exists() and not out.is_dir()):
        raise BarwrightError(f"{out} is not a folder: name another folder with --out")
    if not out.exists() or not any(out.iterdir()):
        return
    if read_manifest(out).get("kind") != WE_WROTE:
        raise BarwrightError(
            f"{out} holds other things and no pack: nothing was written. "
            "Name an empty folder, or one that does not exist yet, with --out"
        )
    listed = set(read_manifest(out).get("files", {})) | {MANIFEST}
    there = {p.relative_to(out).as_posix() for p in out.rglob("*") if not p.is_dir()}
    if there - listed:
        extra = sorted(there - listed)
        raise BarwrightError(
            f"{out} holds files that are not the pack's: {', '.join(extra[:3])}"
            f"{' …' if len(extra) > 3 else ''}. Move them out, or name another folder with --out"
        )


def read_manifest(folder: Path) -> dict[str, Any]:
    """What the pack's manifest says; empty where there is none to read."""
    try:
        read = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return read if isinstance(read, dict) else {}


def checksum(data: bytes) -> str:
    """SHA-256 in hexadecimal (FIPS 180-4)."""
    return hashlib.sha256(data).hexdigest()


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    folders = {folder}
    for name, data in files.items():
        path = folder.joinpath(*_inside(name).parts)
        path.parent.mkdir(parents=True, exist_ok=True)
        folders.add(path.parent)
        with path.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    for each in folders:
        _flush(each)
    folder.chmod(0o755)


def _inside(name: str) -> PurePosixPath:
    """The path, if it stays inside the folder."""
    path = PurePosixPath(name)
    if path.is_absolute() or not path.parts or ".." in path.parts or "\\" in name:
        raise BarwrightError(f"the name {name!r} leads out of the pack's folder: rename the part")
    return path


def _flush(folder: Path) -> None:
    """A folder's own list of names goes to the disk as well (not on Windows)."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _swap(fresh: Path, out: Path) -> None:
    if not out.exists():
        fresh.rename(out)
    elif not _exchange(fresh, out):
        old = _aside(out)
        out.rename(old)
        fresh.rename(out)
        shutil.rmtree(old, ignore_errors=True)
    _flush(out.parent)


def _exchange(one: Path, other: Path) -> bool:
    """Change two folders' names in one step; whether the system could."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError):
        return False
    here, there = os.fsencode(one), os.fsencode(other)
    return bool(renameat2(_AT_FDCWD, here, _AT_FDCWD, there, _RENAME_EXCHANGE) == 0)


def _aside(out: Path) -> Path:
    return out.with_name(f".{out.name}.old")


def _mend(out: Path) -> None:
    """Put an old pack back that an interrupted two-step swap left aside; clear what is left."""
    old = _aside(out)
    if old.is_dir() and not out.exists():
        old.rename(out)
    elif old.is_dir():
        shutil.rmtree(old, ignore_errors=True)
    for left in out.parent.glob(f".{out.name}.new-*"):
        shutil.rmtree(left, ignore_errors=True)


_REASONS = {
    errno.ENOSPC: "the disk is full: free some space and pack again",
    errno.EDQUOT: "your share of the disk is full: free some space and pack again",
    errno.EROFS: "the disk is read-only: name a folder you may write to with --out",
    errno.EACCES: "you may not write there: name a folder you may write to with --out",
    errno.EPERM: "you may not write there: name a folder you may write to with --out",
    errno.ENAMETOOLONG: "a name is too long for this disk: shorten the part's or the folder's name",
    errno.EEXIST: "part of the path is a file, not a folder: name another folder with --out",
    errno.ENOTDIR: "part of the path is a file, not a folder: name another folder with --out",
}


def _why(out: Path, error: OSError) -> str:
    reason = _REASONS.get(error.errno or 0, f"{error.strerror or error}")
    return f"the pack could not be written to {out}: {reason}. What was there before is untouched"
