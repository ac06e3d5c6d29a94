"""Reading the job's text files: only plain UTF-8 of a sensible size."""

from __future__ import annotations

import unicodedata
from pathlib import Path

from barwright.job.errors import BadInput, Fault

LARGEST = 2_000_000
"""Bytes of a job file: 20,000 readings or 10,000 tables are well below."""

LONGEST_LINE = 4_000
"""Characters."""


def read_text(path: Path) -> str:
    """The text of a file, without byte order mark, in composed characters (NFC).

    Raises:
        BadInput: it cannot be read, is too large, or is not UTF-8.
    """
    raw = read_bytes(path)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as bad:
        raise BadInput(_not_utf8(path, raw, bad.start)) from None
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise BadInput(
                Fault(
                    file=path.name,
                    entry="",
                    line=number,
                    read=f"a line of {len(line)} characters",
                    expected=f"lines of at most {LONGEST_LINE} characters",
                    do="break the line, or take out what does not belong there",
                )
            )
    return unicodedata.normalize("NFC", text)


def read_bytes(path: Path) -> bytes:
    """The bytes of a file of at most `LARGEST`.

    Raises:
        BadInput: it cannot be read, or it is too large.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except OSError as error:
        raise BadInput(
            Fault(
                file=path.name,
                entry="",
                read=error.strerror or "nothing",
                expected="a file that can be read",
                do=f"check that {path} is there and may be read",
            )
        ) from None
    if len(raw) > LARGEST:
        raise BadInput(
            Fault(
                file=path.name,
                entry="",
                read="more than 2 MB",
                expected="a job file of at most 2 MB",
                do="check that this is the right file",
            )
        )
    return raw


def _not_utf8(path: Path, raw: bytes, at: int) -> Fault:
    wide = raw.startswith((b"\xff\xfe", b"\xfe\xff"))
    return Fault(
        file=path.name,
        entry="",
        line=None if wide else raw.count(b"\n", 0, at) + 1,
        read="UTF-16 text" if wide else f"the byte 0x{raw[at]:02x}",
        expected="text in UTF-8",
        do='save the file as UTF-8 (in a spreadsheet: "CSV UTF-8")',
    )
